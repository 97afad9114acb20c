"""The card as plain text: what can be pasted into any message."""

from datetime import date
from unicodedata import bidirectional

from pocketpump.core.safety.card import Card
from pocketpump.exchange.papers.card_phrases import phrases
from pocketpump.exchange.papers.card_words import Words, card_words
from pocketpump.exchange.papers.drawing.writing import AUTO, END, LTR, RTL

_MARKS = {ord(mark): None for mark in (AUTO, END, LTR, RTL)}


def card_text(card: Card, language: str, today: date) -> str:
    """Return the card as lines of text; each translated line has its original under it."""
    own = phrases(language)["own_words"]
    lines = [_line(words, own) for words in card_words(card, language, today)]
    text = "\n".join(lines).replace("\u00a0", " ").replace("\u2011", "-") + "\n"
    return text if _needs_marks(text) else text.translate(_MARKS)


def _needs_marks(text: str) -> bool:
    """Whether anything runs from right to left; else the invisible marks only do harm."""
    return any(bidirectional(letter) in ("R", "AL") for letter in text)


def _line(words: Words, own: str) -> str:
    mark = f" [{own}]" if words.own else ""
    label = f"{words.label}{mark}: " if words.label else ""
    # Further lines are set in: what was typed must not look like a line of the card.
    text = f"{label}{words.text}".replace("\n", "\n    ")
    if words.weight in ("title", "alarm"):
        text = f"*** {text} ***"
    return f"{text}\n    ({words.original})" if words.original else text
