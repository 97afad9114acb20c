"""The letter for the border and the hand luggage: one page, with room for a doctor to sign.

What it asks for (a search by hand, medicine in the hand luggage) is common practice, no source.
A translation has the English beside it, line for line. Of the record it holds the person's name
and birth date, where the pump is and the clinic's number, nothing else.
"""

from collections.abc import Iterator
from datetime import date

from pocketpump.core.errors import Problem
from pocketpump.core.messages import message
from pocketpump.core.safety.card import Card
from pocketpump.exchange.papers.card_phrases import ORIGINAL, Phrases, phrases
from pocketpump.exchange.papers.card_title import Band, title_band
from pocketpump.exchange.papers.card_words import say_date
from pocketpump.exchange.papers.drawing.fitting import CardArea, clipped, fitted
from pocketpump.exchange.papers.drawing.flow import SMALLEST, Block, set_blocks
from pocketpump.exchange.papers.drawing.fonts import undrawable
from pocketpump.exchange.papers.drawing.page import Box, Drawn, Page, Rule, framed, line
from pocketpump.exchange.papers.drawing.pdf import to_pdf
from pocketpump.exchange.papers.drawing.writing import LTR, isolated
from pocketpump.exchange.papers.numbers import number_on_paper
from pocketpump.exchange.papers.paper_size import A4, PaperSize

SAID = ("device", "stopping", "detector", "handle", "search", "medicine", "ill")
"""What the letter says, in this order; "stopping" is the card's phrase."""
_MARGIN, _BAND, _UNDER = 15.0, 11.0, 6.5
_DOCTOR = 92.0
"""The height of the doctor's part at the foot, in mm."""
_STAMP, _BETWEEN, _INSIDE = 52.0, 6.0, 4.0
_LINES = (
    ("letter_carries", (1.0, 1.75, 2.5)), ("letter_doctor_name", (3.6,)),
    ("letter_signature", (4.7,)), ("letter_day", (5.8,)),
)  # fmt: skip
"""What is written on which lines, counted from the top in shares of the height."""
_LABEL = 9.0
_SIZES = [SMALLEST / 0.85 + 0.25 * step for step in range(20)]
"""Of the letter itself; what is set a little smaller still has the smallest size."""
_COLUMNS = (200, 60, 30, 14)
"""To how much the name and the clinic's are cut when room is short; a number never is."""
_BLANK = "_" * 26
"""To be written by hand where the record knows nothing."""


def letter_file(card: Card, language: str, today: date, paper: PaperSize = A4) -> bytes:
    """Return the letter as PDF in ``language``, one of the card's; raises `InputError`."""
    page = letter_page(card, language, today, paper)
    return to_pdf([page], phrases(language)["letter_title"], language)


def letter_page(card: Card, language: str, today: date, paper: PaperSize = A4) -> Page:
    """Return the one page of the letter; raises `InputError` for an unknown language."""
    words = phrases(language)
    wide, high = paper[0] - 2 * _MARGIN, paper[1] - 2 * _MARGIN
    heads = _head(words, wide)
    top = _MARGIN + (_BAND if words.is_original else _BAND + _UNDER) + 2.0
    place = CardArea(_MARGIN, top, wide, _MARGIN + high - _DOCTOR - 3.0 - top)
    layouts = (list(_body(card, words, today, columns)) for columns in _COLUMNS)
    drawn = heads + fitted(layouts, _SIZES, place)
    drawn += _doctor(words, _MARGIN, _MARGIN + high - _DOCTOR, wide)
    return Page(*paper, tuple(drawn))


def _head(words: Phrases, wide: float) -> list[Drawn]:
    """Return the dark band with the title, and with the English one under a translation."""
    band = Band(_MARGIN, _MARGIN, wide, _BAND, 3.0, 16, 10)
    drawn = title_band(words["letter_title"], words, band)
    if words.is_original:
        return drawn
    under = Box(_MARGIN, _MARGIN + _BAND - 0.05, wide, _UNDER)
    base = _MARGIN + _BAND + 0.5 * _UNDER
    text = phrases(ORIGINAL)["letter_title"]
    return [*drawn, under,
            line(text, _MARGIN + 3.0, base, 11, width=wide - 6.0, bold=True, grey=1.0)]  # fmt: skip


def letter_problems(card: Card) -> tuple[Problem, ...]:
    """Return what of the person's own words the letter cannot show."""
    own = (
        card.name
        + card.value("position")
        + "".join(clinic.name + clinic.phone for clinic in card.clinics[:1])
    )
    return undrawable(own, message("Write them on the paper by hand, or use Latin letters."))


def _body(card: Card, words: Phrases, today: date, columns: int) -> Iterator[Block]:
    if not words.is_original:
        yield _block(words, words["unreviewed"], phrases(ORIGINAL)["unreviewed"], size=0.85)
    yield _said("letter_to", words, bold=True)
    yield from _person(card, words, columns)
    for key in SAID:
        named = key if key == "stopping" else f"letter_{key}"
        yield _said(named, words, bold=key in ("handle", "stopping"))
    own, english = (f"{w['as_of']} {_day(today.isoformat(), w)}. {w['letter_notes']}"
                    for w in (words, phrases(ORIGINAL)))  # fmt: skip
    yield _block(words, own, english, size=0.85)


def _person(card: Card, words: Phrases, columns: int) -> Iterator[Block]:
    """Yield who carries it and whom to ask, in larger type: what is compared with a passport."""
    clinic = card.clinics[0] if card.clinics else None
    phone = number_on_paper(clinic.phone) if clinic else ""
    number = isolated(phone.replace(" ", "\u00a0"), LTR)
    called = isolated(clipped(clinic.name, columns)) if clinic else ""
    told = {
        "name": isolated(clipped(card.name, columns)) or _BLANK,
        "clinic": " · ".join(part for part in (called, number) if part) or _BLANK,
    }
    site = isolated(clipped(card.value("position"), columns))
    if site:
        told["position"] = site
    for key in ("name", "born", *(["position"] if site else []), "clinic"):
        own, english = (
            f"{w[key]}: {told.get(key) or _day(card.born_on, w)}"
            for w in (words, phrases(ORIGINAL))
        )
        yield _block(words, own, english, bold=True, size=1.1, gap=0.35 if key == "name" else 0.06)


def _day(iso: str, words: Phrases) -> str:
    return isolated(say_date(iso, words.code), LTR) if iso else _BLANK


def _said(key: str, words: Phrases, *, bold: bool = False) -> Block:
    return _block(words, words[key], phrases(ORIGINAL)[key], bold=bold)


def _block(
    words: Phrases, text: str, english: str, *, bold: bool = False, size: float = 1.0,
    gap: float = 0.25,
) -> Block:  # fmt: skip
    """Return a paragraph with its English; ``gap`` is in mm for each point of type."""
    beside = "" if words.is_original else english
    return Block(text, size, bold, words.code, words.direction, beside=beside, gap=gap)


def _doctor(words: Phrases, x: float, y: float, width: float) -> list[Drawn]:
    """Return the frame that a doctor fills in: what is carried, who signs, and room to stamp."""
    right, bottom = x + width, y + _DOCTOR
    inner = width - 2 * _INSIDE
    head = [
        _block(words, words[key], phrases(ORIGINAL)[key], bold=bold, size=9.5, gap=gap)
        for key, bold, gap in (("letter_doctor", True, 2.5), ("letter_confirm", False, 1.2))
    ]
    set_head, top = set_blocks(head, x + _INSIDE, y, inner)
    top += 2.5
    drawn = [*framed(x, y, right, bottom, 0.3), *set_head]
    # The stamp stands where a line ends, in either direction of writing.
    is_rtl = words.direction == "rtl"
    stamp = x + _INSIDE if is_rtl else right - _INSIDE - _STAMP
    left = x + _INSIDE + (_STAMP + _BETWEEN if is_rtl else 0.0)
    wide = inner - _STAMP - _BETWEEN
    drawn += framed(stamp, top, stamp + _STAMP, bottom - _INSIDE, 0.3)
    drawn += _label("letter_stamp", words, stamp + 2.0, top + 1.0, _STAMP - 4.0)
    unit = (bottom - _INSIDE - top) / _LINES[-1][1][-1]
    label_y = top
    for key, lines in _LINES:
        drawn += _label(key, words, left, label_y, wide)
        drawn += [Rule(left, top + at * unit, left + wide, top + at * unit) for at in lines]
        label_y = top + lines[-1] * unit + 0.8
    return drawn


def _label(key: str, words: Phrases, x: float, y: float, width: float) -> list[Drawn]:
    english = phrases(ORIGINAL)[key]
    both = words[key] if words[key] == english else f"{words[key]} · {isolated(english, LTR)}"
    text = words[key] if words.is_original else both
    block = Block(text, _LABEL, language=words.code, direction=words.direction, gap=0.0)
    return set_blocks([block], x, y, width)[0]
