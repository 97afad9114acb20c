"""Letters in the order in which they stand on paper, from left to right.

The Unicode Bidirectional Algorithm (UAX #9) comes with fpdf2; Arabic letters are joined by
arabic-reshaper. Both are imported when a text first needs them.
"""

from functools import lru_cache
from typing import Any
from unicodedata import bidirectional

LTR, RTL, AUTO, END = "\u2066", "\u2067", "\u2068", "\u2069"
"""Isolates: from the opening one to ``END`` a text has a direction of its own."""
_WITHOUT_ISOLATES = str.maketrans("", "", LTR + RTL + AUTO + END)
_MIRRORS = dict(zip("()[]{}<>«»", ")(][}{><»«", strict=True))
# Bidirectional types that are written from right to left, or that ask for it.
_RIGHT_TO_LEFT = {"R", "AL", "AN", "RLE", "RLO", "RLI"}


def isolated(text: str, opener: str = AUTO) -> str:
    """Return ``text`` kept whole, with its own direction."""
    return f"{opener}{text}{END}" if text else ""


def shaped(text: str) -> str:
    """Return ``text`` with Arabic letters joined to their neighbours, in reading order."""
    if not any("\u0600" <= letter <= "\u06ff" for letter in text):
        return text
    return str(_shaper().reshape(text))


def on_paper(text: str, direction: str = "ltr") -> str:
    """Return one line of shaped ``text`` from left to right, isolates resolved."""
    if direction == "ltr" and not any(bidirectional(c) in _RIGHT_TO_LEFT for c in text):
        return text.translate(_WITHOUT_ISOLATES)
    from fpdf.bidi import BidiParagraph
    from fpdf.enums import TextDirection

    base = TextDirection.RTL if direction == "rtl" else TextDirection.LTR
    placed = BidiParagraph(text, base).get_reordered_characters()
    # Rule L4, which fpdf2 leaves to whoever draws.
    drawn = (_MIRRORS.get(c.character, c.character) if c.embedding_level % 2 else c.character
             for c in placed)  # fmt: skip
    return "".join(drawn).translate(_WITHOUT_ISOLATES)


@lru_cache(maxsize=1)
def _shaper() -> Any:
    from arabic_reshaper import ArabicReshaper

    # Of the ligatures only lam-alef is obligatory; the others need letters no font may have.
    return ArabicReshaper(
        {"delete_harakat": False, "delete_tatweel": False, "support_ligatures": True}
        | dict.fromkeys(("ARABIC LIGATURE ALLAH", "RIAL SIGN"), False)
    )
