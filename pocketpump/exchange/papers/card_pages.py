"""The card as pages: the wallet print, the full page, and the picture to share."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date
from itertools import groupby

from pocketpump.core.safety.card import Card
from pocketpump.exchange.papers.card_phrases import Phrases, phrases
from pocketpump.exchange.papers.card_title import Band, title_band
from pocketpump.exchange.papers.card_words import (
    DANGER,
    PERSON,
    REST,
    RISKS,
    SIGNS_PART,
    STAFF,
    WHO,
    Words,
    card_words,
    phrase,
    say_date,
)
from pocketpump.exchange.papers.drawing.fitting import CardArea, clipped, fitted
from pocketpump.exchange.papers.drawing.flow import SMALLEST, Block, Picture, flowed, picture
from pocketpump.exchange.papers.drawing.page import Drawn, Page
from pocketpump.exchange.papers.drawing.writing import LTR, isolated
from pocketpump.exchange.papers.paper_size import A4, PaperSize
from pocketpump.exchange.papers.qr_code import QUIET_MODULES, code_matrix, code_text
from pocketpump.exchange.papers.wallet import wallet_page

_PICTURE = (108.0, 6.0)
_MARGIN, _BAND, _CODE_SIDE, _AWAY = 12.0, 10.0, 46.0, 5.0
_SIZES = [SMALLEST + 0.25 * step for step in range(17)]
_FACTORS = {"title": 1.8, "alarm": 1.15, "fact": 1.5}
_LEADINGS = (1.2, 1.1)
_CUTS = (900, 400, 200, 100, 50)
"""To how many letters the person's own long texts are cut on the first page."""
_FEWEST = 24
_MAY_GO = (REST, PERSON, STAFF, SIGNS_PART)
"""The parts that go over to the next page when nothing else makes room, the first first."""
_SHORT = 40
"""The most letters of a fact that stands in one line with others."""
_FEW = 2
"""How many further numbers stay on the first page when room is short."""


def full_pages(card: Card, language: str, today: date, paper: PaperSize = A4) -> list[Page]:
    """Return everything on the card on one page, a translation with its original beside it.

    Own texts that are too long are cut there, and stand whole on the pages after it, as does
    what has no room at all.
    """
    words = phrases(language)
    told = card_words(card, language, today)
    items = _packed([w for w in told if w.weight != "title" and w.part != WHO])
    left, top = _MARGIN, _MARGIN + _BAND + 1.5
    wide = paper.width - 2 * _MARGIN
    high = paper.height - _MARGIN - top
    place = CardArea(left, top, wide, high, narrow=wide - _CODE_SIDE - _AWAY,
                  narrow_to=top + _CODE_SIDE)  # fmt: skip
    tried: list[Sequence[Words]] = []

    def layouts() -> Iterator[list[Block]]:
        # Closer together before anything is cut.
        for leading in _LEADINGS:
            tried.append(items)
            yield [_small(w, words, leading) for w in items]
        for layout in _shorter(items):
            tried.append(layout)
            yield [_small(w, words, _LEADINGS[-1]) for w in layout]

    drawn = _head(card, words, wide, top) + fitted(layouts(), _SIZES, place)
    first = Page(*paper, tuple(drawn))
    if tried[-1] is items:
        return [first]
    shown = set(tried[-1])
    cut = [_block(w, words, 10.0) for w in items if w not in shown]
    return [first, *flowed(cut, paper.width, paper.height)]


def share_page(card: Card, language: str, today: date) -> Page:
    """Return the whole card as one tall page for a phone's screen, with the code at its end."""
    width, margin = _PICTURE
    words = phrases(language)
    blocks: list[Block | Picture] = []
    for item in card_words(card, language, today):
        if item.original and item.label:
            named = f"{item.label} ({isolated(item.original, LTR)})"
            blocks.append(_block(replace(item, label=named), words, 13.0))
        else:
            blocks.append(_block(item, words, 13.0))
            blocks += [Block(item.original, 9.75, gap=0.2)] if item.original else []
    blocks.append(Picture(code_matrix(code_text(card)), 55.0, 8.0))
    blocks.append(_block(phrase("code", words), words, 13.0))
    return flowed(blocks, width, None, margin)[0]


def card_pages(card: Card, language: str, today: date, paper: PaperSize = A4) -> list[Page]:
    """Return the pages to print: the wallet card first, then everything in large type."""
    return [wallet_page(card, language, today, paper), *full_pages(card, language, today, paper)]


def _packed(items: list[Words]) -> list[Words]:
    """Return the short facts that follow each other as one paragraph, as are the risks."""
    packed: list[Words] = []
    for key, group in groupby(items, key=_pack):
        found = list(group)
        if not key or len(found) == 1:
            packed += found
            continue
        texts = (f"{w.label}: {w.text}" if w.label else w.text for w in found)
        originals = " · ".join(w.original for w in found if w.original)
        packed.append(replace(found[0], label="", text=" · ".join(texts), original=originals))
    return packed


def _pack(item: Words) -> str:
    if item.part == RISKS and item.weight == "alarm":
        return "risks"
    is_short = item.label and not item.own and item.weight == "plain" and len(item.text) < _SHORT
    return "facts" if item.part in (PERSON, REST) and is_short else ""


def _shorter(items: list[Words]) -> Iterator[list[Words]]:
    """Yield less and less of what may go on over the page."""
    for most in _CUTS:
        yield [_cut(w, most) for w in items]
    numbers = [w for w in items if w.part == REST and w.phone]
    fewer = [_cut(w, _CUTS[-1]) for w in items if w not in numbers[_FEW:]]
    yield fewer
    # That nobody has reviewed the words is no detail.
    may_go = [
        w for part in _MAY_GO for w in reversed(fewer) if w.part == part and w.key != "unreviewed"
    ]
    for gone in may_go:
        fewer = [w for w in fewer if w is not gone]
        yield fewer
    yield [_cut(w, _FEWEST) for w in fewer]


def _cut(item: Words, most: int) -> Words:
    # A number is never cut, and stands at its contact's end.
    if not item.own and item.key not in (
        "model",
        "serial",
        "surgeon",
        "clinic",
        "contact",
    ):
        return item
    if len(item.text) <= most + len(item.phone):
        return item
    if item.who is not None:
        short = clipped(item.who.name, most)
        return replace(item, text=f"{isolated(short)} · {isolated(item.phone, LTR)}")
    return replace(item, text=f"{isolated(clipped(item.text, most))} » 2")


def _head(card: Card, words: Phrases, wide: float, y: float) -> list[Drawn]:
    """Return the title and whose card it is on a band, and the code below, at the side."""
    matrix = code_matrix(code_text(card))
    x = _MARGIN + wide - _CODE_SIDE
    return [
        *title_band(words["title"], words, Band(_MARGIN, _MARGIN, wide, _BAND, 3.0, 18, 12),
                    card.name, say_date(card.born_on, words.code)),
        *picture(matrix, x, y, _CODE_SIDE, QUIET_MODULES),
    ]  # fmt: skip


def _small(item: Words, words: Phrases, leading: float) -> Block:
    """Return a block for the page that everything is fitted on: sizes in its type size."""
    block = _block(item, words, 1.0)
    return replace(block, beside=item.original, gap=0.1 * leading, leading=leading)


def _block(item: Words, words: Phrases, size: float) -> Block:
    mark = f" ({words['own_words']})" if item.own else ""
    label = f"{item.label}{mark}: " if item.label else ""
    factor = _FACTORS.get(item.weight, 1.25 if item.part == DANGER else 1.0)
    return Block(
        label + item.text, size * factor, item.weight != "plain",
        words.code, words.direction, band=item.weight in ("title", "alarm"), gap=1.8,
    )  # fmt: skip
