"""The wallet print: ISO/IEC 7810 ID-1, front and back side by side.

Cut along the marks, fold at the dashed line. Under a translated card stands a second one
in the original. Nothing is smaller than 7 points, and the four facts have 9 or more: room is
made by shortening and leaving out, by rank, and the card says so. What must be known first
is never left out.
"""

import re
from dataclasses import replace
from datetime import date

from pocketpump.core.safety.card import Card
from pocketpump.exchange.papers.card_front import (
    Item,
    Step,
    dialable,
    front_items,
    labelled,
    own_words,
    set_items,
    shorter,
)
from pocketpump.exchange.papers.card_phrases import ORIGINAL, Phrases, phrases
from pocketpump.exchange.papers.card_title import Band, title_band
from pocketpump.exchange.papers.card_words import (
    Words,
    ages,
    contact_words,
    dysreflexia,
    lines_called,
    phrase,
    say_date,
    warnings,
)
from pocketpump.exchange.papers.drawing.fitting import CardArea
from pocketpump.exchange.papers.drawing.flow import SMALLEST, picture
from pocketpump.exchange.papers.drawing.page import MARK_AWAY, Drawn, Page, Rule, cut_marks, line
from pocketpump.exchange.papers.paper_size import A4, PaperSize
from pocketpump.exchange.papers.qr_code import (
    QUIET_MODULES,
    SMALLEST_MODULE,
    code_matrix,
    code_text,
)

CARD_WIDTH, CARD_HEIGHT = 85.60, 53.98
"""ISO/IEC 7810 ID-1, in mm."""
TOP = 30.0
BETWEEN = 30.0
"""From the foot of the translated card to the top of the original, in mm."""
_EDGE = 3.2
_TITLE = 6.2
_CODE_TOP, _CODE_SIDE, _CODE_EDGE = 6.8, 27.0, 1.0
_MARK = 5.0
_SIZES = [SMALLEST + 0.25 * step for step in range(9)]
"""Type sizes in points, from the smallest that can be read."""
_SOURCE = re.compile(r"\s*[(（][^()（）]*[)）]([.。]?)$")


def wallet_page(card: Card, language: str, today: date, paper: PaperSize = A4) -> Page:
    """Return the page with the wallet card; the original stands below a translation."""
    left = (paper.width - 2 * CARD_WIDTH) / 2
    languages = [language] if language == ORIGINAL else [language, ORIGINAL]
    drawn: list[Drawn] = [
        line("Print at 100 %. Cut along the marks, then fold at the dashed line.", left, 16, 10,
             width=2 * CARD_WIDTH)
    ]  # fmt: skip
    for i, code in enumerate(languages):
        top = TOP + i * (CARD_HEIGHT + BETWEEN)
        drawn += _marks(left, top)
        drawn += _front(card, phrases(code), today, left, top)
        drawn += _back(card, phrases(code), today, left + CARD_WIDTH, top)
    return Page(*paper, tuple(drawn))


def code_place(card: Card) -> tuple[float, float, float]:
    """Return x, y and side in mm of the code on a card at 0, 0, its white edge included."""
    modules = len(code_matrix(code_text(card))) + 2 * QUIET_MODULES
    side = max(_CODE_SIDE, modules * SMALLEST_MODULE)
    return CARD_WIDTH - side - _CODE_EDGE, _CODE_TOP, side


def _marks(left: float, top: float) -> list[Drawn]:
    """Return cut marks at the corners, and dashed fold marks between front and back."""
    fold, bottom = left + CARD_WIDTH, top + CARD_HEIGHT
    folds = (
        Rule(fold, y + out * MARK_AWAY, fold, y + out * (MARK_AWAY + _MARK), 0.2, 1.0)
        for y, out in ((top, -1), (bottom, 1))
    )
    return [*cut_marks(left, top, left + 2 * CARD_WIDTH, bottom, _MARK, _MARK), *folds]


def _front(card: Card, words: Phrases, today: date, x: float, y: float) -> list[Drawn]:
    items, steps = front_items(card, words, today)
    drawn = _title(words["title"], words, x, y, card.name, say_date(card.born_on, words.code))
    place = CardArea(
        x + _EDGE, y + _TITLE + 0.6, CARD_WIDTH - 2 * _EDGE, CARD_HEIGHT - _TITLE - 1.8
    )
    return drawn + set_items(items, steps, words, place, _SIZES, more=words["more"])


def _back(card: Card, words: Phrases, today: date, x: float, y: float) -> list[Drawn]:
    drawn = _title(words["signs"], words, x, y)
    left, top, side = code_place(card)
    matrix = code_matrix(code_text(card))
    drawn += picture(matrix, x + left, y + top, side, QUIET_MODULES)
    items = [Item(key, phrase(key, words)) for key in ("too_little", "too_much")]
    items += [Item(w.key, w, band=True) for w in list(warnings(card, words, today))[1:]]
    steps_told = [w for w in dysreflexia(card, words) if w.key == "own_steps"]
    items += [Item("own_steps", own_words(w)) for w in steps_told]
    items += [_care(key, words) for key in ("oral", "mri_check")]
    notes = [own_words(w) for w in lines_called(card, ("mri_notes",), words)]
    items += [Item("mri_notes", w) for w in notes]
    items.append(_care("breathing", words))
    items.append(Item("ages", Words("ages", "", labelled(ages(card, words)))))
    if words.needs_review:
        items.append(Item("unreviewed", phrase("unreviewed", words)))
    items += [_care(key, words) for key in ("infection", "trained", "mimic")]
    others = [("clinic", c) for c in card.clinics[1:2]] + [
        ("contact", c) for c in card.contacts[1:2]
    ]
    items += [Item(f"{kind} 2", contact_words(kind, dialable(c), words)) for kind, c in others]
    dated = list(ages(card, words))
    fewer = [w for w in dated if w.key != "last_entry"]
    fewest = [w for w in dated if w.key == "stale_from"] or fewer
    steps: list[Step] = [
        *(("own_steps", shorter(own_words(w), 90)) for w in steps_told),
        *(("mri_notes", shorter(w, 60)) for w in notes),
        ("contact 2", None), ("clinic 2", None), ("mimic", None), ("trained", None),
        ("infection", None), ("unreviewed", None), ("breathing", None),
        ("ages", Words("ages", "", labelled(iter(fewer)))),
        ("ages", Words("ages", "", labelled(iter(fewest)))), ("own_steps", None),
        ("mri_notes", None), ("mri_check", None), ("oral", None),
    ]  # fmt: skip
    place = CardArea(x + _EDGE, y + _TITLE + 0.6, CARD_WIDTH - 2 * _EDGE,
                     CARD_HEIGHT - _TITLE - 1.8, narrow=left - _EDGE - 1.0,
                     narrow_to=y + top + side)  # fmt: skip
    own = tuple(lines_called(card, ("tablets", "plan"), words))
    is_cut = bool(own) or len(card.clinics) > 2 or len(card.contacts) > 2
    return drawn + set_items(items, steps, words, place, _SIZES, more=words["more"], is_cut=is_cut)


def _care(key: str, words: Phrases) -> Item:
    return Item(key, _without_source(phrase(key, words)))


def _without_source(words: Words) -> Words:
    """Return a line for staff without the literature it rests on: the full page has that."""
    return replace(words, text=_SOURCE.sub(r"\1", words.text))


def _title(text: str, words: Phrases, x: float, y: float, *person: str) -> list[Drawn]:
    band = Band(x, y, CARD_WIDTH, _TITLE, _EDGE, 10, SMALLEST)
    return title_band(text, words, band, *person)
