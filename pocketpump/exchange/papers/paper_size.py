"""The papers that pages are made for; width and height in mm."""

from typing import NamedTuple


class PaperSize(NamedTuple):
    """A size of paper, in mm."""

    width: float
    height: float


A4 = PaperSize(210.0, 297.0)
"""ISO 216."""
LETTER = PaperSize(215.9, 279.4)
"""8.5 × 11 inches."""

PAPERS = {"a4": A4, "letter": LETTER}
"""By the name that is given on the command line."""
