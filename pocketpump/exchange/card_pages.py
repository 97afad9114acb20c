"""The card as pages: the wallet print, the full page, and the picture to share."""

from dataclasses import replace
from datetime import date

from pocketpump.core.card import Card
from pocketpump.exchange.card_words import Words, card_words, phrase
from pocketpump.exchange.code import code_matrix, code_text
from pocketpump.exchange.drawing.flow import Block, Picture, flowed
from pocketpump.exchange.drawing.page import Page
from pocketpump.exchange.drawing.writing import LTR, isolated
from pocketpump.exchange.phrases import phrases
from pocketpump.exchange.wallet import wallet_page

_PICTURE = (108.0, 6.0)


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
