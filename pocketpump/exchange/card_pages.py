"""The card as pages: the wallet print, the full page, and the picture to share.

The wallet print is ISO/IEC 7810 ID-1, front and back side by side: cut along the marks,
fold at the dashed line. A translated card has the original under it.
"""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from pocketpump.core.card import Card
from pocketpump.exchange.card_words import (
    DRUG_LABELS,
    OWN_LABELS,
    Words,
    card_words,
    contact_words,
    heading,
    line_words,
    phrase,
    say_date,
)
from pocketpump.exchange.code import QUIET_MODULES, code_matrix, code_text
from pocketpump.exchange.drawing.flow import (
    Block,
    Picture,
    flowed,
    height_of,
    picture,
    set_blocks,
)
from pocketpump.exchange.drawing.page import Box, Drawn, Page, Rule, line
from pocketpump.exchange.drawing.writing import LTR, isolated, shaped
from pocketpump.exchange.phrases import ORIGINAL, Phrases, phrases

CARD_WIDTH, CARD_HEIGHT = 85.60, 53.98
"""ISO/IEC 7810 ID-1, in mm."""
A4 = (210.0, 297.0)
LEFT = (A4[0] - 2 * CARD_WIDTH) / 2
TOP = 30.0
CODE_SIDE = 27.0
_EDGE = 3.2
_MARK, _AWAY = 5.0, 1.5
_SIZES = [8.5 - 0.25 * step for step in range(13)]
"""Type sizes tried, in points, down to the smallest that can be read."""
_PICTURE = (108.0, 6.0)


def wallet_page(card: Card, language: str, today: date) -> Page:
    """Return the page with the wallet card; the original stands below a translation."""
    languages = [language] if language == ORIGINAL else [language, ORIGINAL]
    drawn: list[Drawn] = [
        line("Print at 100 %. Cut along the marks, then fold at the dashed line.", LEFT, 16, 10,
             width=2 * CARD_WIDTH)
    ]  # fmt: skip
    for i, code in enumerate(languages):
        top = TOP + i * (CARD_HEIGHT + 30.0)
        drawn += _marks(top)
        drawn += _front(card, phrases(code), today, LEFT, top)
        drawn += _back(card, phrases(code), LEFT + CARD_WIDTH, top)
    return Page(*A4, tuple(drawn))


def full_pages(card: Card, language: str, today: date) -> list[Page]:
    """Return everything on the card on A4, a translation with its original beside it."""
    return flowed(_blocks(card, language, today, 11.5, beside=True))


def share_page(card: Card, language: str, today: date) -> Page:
    """Return the whole card as one tall page for a phone's screen, with the code at its end."""
    width, margin = _PICTURE
    return flowed(_blocks(card, language, today, 13.0, beside=False), width, None, margin)[0]


def card_pages(card: Card, language: str, today: date) -> list[Page]:
    """Return the pages to print: the wallet card first, then everything in large type."""
    return [wallet_page(card, language, today), *full_pages(card, language, today)]


def _blocks(
    card: Card, language: str, today: date, size: float, *, beside: bool
) -> list[Block | Picture]:
    own = phrases(language)["own_words"]
    blocks: list[Block | Picture] = []
    for words in card_words(card, language, today):
        block = _block(words, language, own, size)
        if not words.original:
            blocks.append(block)
        elif beside:
            blocks.append(replace(block, beside=words.original))
        elif words.label:
            named = f"{words.label} ({isolated(words.original, LTR)})"
            blocks.append(_block(replace(words, label=named), language, own, size))
        else:
            blocks += [block, Block(words.original, size * 0.75, gap=0.2)]
    blocks.append(Picture(code_matrix(code_text(card)), 55.0, 8.0))
    blocks.append(_block(phrase("code", phrases(language)), language, own, size))
    return blocks


def _block(words: Words, language: str, own: str, size: float) -> Block:
    direction = phrases(language).direction
    mark = f" ({own})" if words.own else ""
    label = f"{words.label}{mark}: " if words.label else ""
    factor = {"title": 1.8, "alarm": 1.15}.get(words.weight, 1.0)
    return Block(
        label + words.text, size * factor, words.weight != "plain", language, direction,
        band=words.weight in ("title", "alarm"), gap=1.8,
    )  # fmt: skip


def _marks(top: float) -> list[Drawn]:
    """Cut marks at the corners, fold marks between front and back, and thin outlines."""
    right, fold = LEFT + 2 * CARD_WIDTH, LEFT + CARD_WIDTH
    bottom = top + CARD_HEIGHT
    drawn: list[Drawn] = []
    for x, out in ((LEFT, -1), (right, 1)):
        for y in (top, bottom):
            drawn.append(Rule(x + out * _AWAY, y, x + out * (_AWAY + _MARK), y, 0.1))
    for y, out in ((top, -1), (bottom, 1)):
        for x in (LEFT, right):
            drawn.append(Rule(x, y + out * _AWAY, x, y + out * (_AWAY + _MARK), 0.1))
        drawn.append(Rule(fold, y + out * _AWAY, fold, y + out * (_AWAY + _MARK), 0.2, 1.0))
    return drawn


def _front(card: Card, words: Phrases, today: date, x: float, y: float) -> list[Drawn]:
    title, *rest = heading(card, words, today)
    drawn = _title(title.text, words, x, y)
    who = [phrase(key, words, "strong") for key in ("implant", "stopping", "mild")]
    name = ", ".join(filter(None, (card.name, say_date(card.born_on, words.code))))
    if name:
        who.append(Words("name", "", name, weight="strong"))
    who += [contact_words("clinic", clinic, words) for clinic in card.clinics[:2]]
    who += [phrase(key, words, "alarm") for key in card.risks]
    facts = " · ".join(
        f"{line.label}: {line.text}"
        for label in DRUG_LABELS
        for line in (line_words(line, words) for line in card.lines if line.label == label)
    )
    who.append(Words("facts", "", facts))
    dates = " · ".join(f"{w.label} {w.text}" for w in rest if w.label)
    who.append(Words("as_of", "", dates))
    who += [w for w in rest if not w.label]
    drawn += _fitted(who, words, x + _EDGE, y + 8.6, CARD_WIDTH - 2 * _EDGE, CARD_HEIGHT - 10.4)
    return drawn


def _back(card: Card, words: Phrases, x: float, y: float) -> list[Drawn]:
    drawn = _title(words["signs"], words, x, y)
    matrix = code_matrix(code_text(card))
    module = CODE_SIDE / (len(matrix) + 2 * QUIET_MODULES)
    code_x = x + CARD_WIDTH - CODE_SIDE - 1.0
    drawn += picture(matrix, code_x + QUIET_MODULES * module, y + 8.0 + QUIET_MODULES * module,
                     CODE_SIDE - 2 * QUIET_MODULES * module)  # fmt: skip
    side = CARD_WIDTH - CODE_SIDE - _EDGE - 2.0
    upper = 8.0 + CODE_SIDE
    signs = [phrase(key, words) for key in ("too_little", "mimic", "too_much")]
    drawn += _fitted(signs, words, x + _EDGE, y + 8.6, side, upper - 8.0)
    below = [contact_words("contacts", contact, words) for contact in card.contacts]
    below += [phrase(key, words) for key in ("trained", "mri_check")]
    below += [
        line_words(line, words)
        for label in OWN_LABELS
        for line in card.lines
        if line.label == label
    ]
    drawn += _fitted(below, words, x + _EDGE, y + upper + 0.6, CARD_WIDTH - 2 * _EDGE,
                     CARD_HEIGHT - upper - 2.0)  # fmt: skip
    return drawn


def _title(text: str, words: Phrases, x: float, y: float) -> list[Drawn]:
    return [
        Box(x, y, CARD_WIDTH, 7.4),
        line(shaped(text), x + _EDGE, y + 5.2, 11, width=CARD_WIDTH - 2 * _EDGE, bold=True,
             direction=words.direction, language=words.code, grey=1.0),
    ]  # fmt: skip


def _fitted(
    items: Sequence[Words], words: Phrases, x: float, y: float, width: float, height: float
) -> list[Drawn]:
    """Set ``items`` as large as they fit; what does not fit even small is left out from the end.

    A line of three dots says that something was left out: it is on the full page.
    """
    kept = list(items)
    while True:
        ended = [] if len(kept) == len(items) else [Words("more", "", "…")]
        for size in _SIZES:
            blocks = [
                replace(_block(w, words.code, words["own_words"], size), size=size, band=False,
                        gap=size * 0.05)
                for w in (*kept, *ended)
            ]  # fmt: skip
            if height_of(blocks, width) <= height:
                return set_blocks(blocks, x, y, width)[0]
        kept.pop()
