"""The tag for a wheelchair or a bag: the card on A6, to be read at arm's length.

Two tags on a page with cut marks; a translated one has the original as the second. Only one
side is printed. Nothing is smaller than 9 points; room is made as on the wallet card,
but no page is pointed to: a tag comes without one.
"""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date

from pocketpump.core.safety.card import Card
from pocketpump.exchange.papers.card_front import (
    Item,
    Step,
    dialable,
    front_items,
    in_one,
    labelled,
    set_items,
)
from pocketpump.exchange.papers.card_phrases import ORIGINAL, Phrases, phrases
from pocketpump.exchange.papers.card_title import Band, title_band
from pocketpump.exchange.papers.card_words import Words, ages, contact_words, phrase, say_date
from pocketpump.exchange.papers.drawing.fitting import CardArea
from pocketpump.exchange.papers.drawing.flow import picture
from pocketpump.exchange.papers.drawing.page import Drawn, Page, cut_marks, line
from pocketpump.exchange.papers.drawing.pdf import to_pdf
from pocketpump.exchange.papers.paper_size import A4, PaperSize
from pocketpump.exchange.papers.qr_code import QUIET_MODULES, code_matrix, code_text

TAG_WIDTH, TAG_HEIGHT = 148.0, 105.0
"""A6 (ISO 216), lying."""
SMALLEST_ON_TAG = 9.0
"""In points: to be read at arm's length (own default)."""
_APART = 9.0
_EDGE, _TITLE, _CODE_SIDE, _AWAY = 5.0, 11.0, 40.0, 3.0
_MARK_ACROSS, _MARK_DOWN = 6.0, 2.5
_SIZES = [SMALLEST_ON_TAG + 0.25 * step for step in range(25)]
_DANGER = 1.2
"""What the pump is and what kills, in type sizes."""
_MOST_WARNINGS = 2


def tag_file(card: Card, language: str, today: date, paper: PaperSize = A4) -> bytes:
    """Return the tags as PDF in ``language``, one of the card's; raises `InputError`."""
    page = tag_page(card, language, today, paper)
    return to_pdf([page], phrases(language)["title"], language)


def tag_page(card: Card, language: str, today: date, paper: PaperSize = A4) -> Page:
    """Return the page with two tags; raises `InputError` for an unknown language."""
    words = phrases(language)
    left = (paper[0] - TAG_WIDTH) / 2
    drawn: list[Drawn] = [
        line("Print at 100 %. Cut along the marks.", left, 15, 10, width=TAG_WIDTH)
    ]
    for code, top in zip((words.code, ORIGINAL), tag_tops(paper), strict=True):
        right, bottom = left + TAG_WIDTH, top + TAG_HEIGHT
        drawn += cut_marks(left, top, right, bottom, _MARK_ACROSS, _MARK_DOWN)
        drawn += _tag(card, phrases(code), today, left, top)
    return Page(*paper, tuple(drawn))


def tag_tops(paper: PaperSize) -> tuple[float, float]:
    """Return the y of the upper edge of each tag, in mm."""
    first = (paper[1] - 2 * TAG_HEIGHT - _APART) / 2 + 4.0
    return first, first + TAG_HEIGHT + _APART


def _tag(card: Card, words: Phrases, today: date, x: float, y: float) -> list[Drawn]:
    band = Band(x, y, TAG_WIDTH, _TITLE, _EDGE, 18, 12)
    drawn = title_band(words["title"], words, band, card.name, say_date(card.born_on, words.code))
    matrix = code_matrix(code_text(card))
    code_x, top = x + TAG_WIDTH - _CODE_SIDE - 1.5, y + _TITLE + 1.5
    drawn += picture(matrix, code_x, top, _CODE_SIDE, QUIET_MODULES)
    place = CardArea(
        x + _EDGE, y + _TITLE + 1.5, TAG_WIDTH - 2 * _EDGE, TAG_HEIGHT - _TITLE - 3.5,
        narrow=code_x - x - _EDGE - _AWAY, narrow_to=top + _CODE_SIDE,
    )  # fmt: skip
    first, steps = front_items(card, words, today, _MOST_WARNINGS)
    first = [replace(i, size=_DANGER) if i.key == "danger" else i for i in first]
    more = list(_more(card, words))
    return drawn + set_items(
        [*first, *more], [*_fewer(card, words, more), *steps], words, place, _SIZES
    )


def _more(card: Card, words: Phrases) -> Iterator[Item]:
    """Yield what the wallet card has on its back and a tag, which has none, on its front."""
    signs = [phrase(key, words) for key in ("tag_too_little", "tag_too_much", "tag_call")]
    yield Item("signs", in_one(signs, "strong", " "))
    for kind, contacts in (("clinic", card.clinics[1:2]), ("contact", card.contacts[1:2])):
        for one in contacts:
            yield Item(f"{kind} 2", contact_words(kind, dialable(one), words))
    if card.as_of:
        yield Item("ages", Words("ages", "", labelled(ages(card, words))))
    if words.needs_review:
        yield Item("unreviewed", phrase("unreviewed", words))


def _fewer(card: Card, words: Phrases, more: list[Item]) -> Iterator[Step]:
    stale = [w for w in ages(card, words) if w.key == "stale_from"]
    # The signs are the last of these to go.
    for item in (*more[1:], more[0]):
        if item.key != "ages":
            yield item.key, None
        elif stale:
            yield item.key, replace(item.words, text=labelled(stale))
