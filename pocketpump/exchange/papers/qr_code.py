"""The code to scan: the card's essentials as plain text, which any phone shows offline."""

from functools import lru_cache
from html import escape

import segno

from pocketpump.core.safety.card import Card
from pocketpump.core.safety.card_essentials import essentials

QUIET_MODULES = 4
"""The white edge a reader needs (ISO/IEC 18004)."""
SMALLEST_MODULE = 0.335
"""In mm on paper: what phones read from a printed card (common practice, no source)."""


def code_text(card: Card) -> str:
    """Return what the code holds; short enough for a code, whatever the card says."""
    return essentials(card)


@lru_cache(maxsize=16)
def code_matrix(text: str) -> tuple[tuple[bool, ...], ...]:
    """Return the modules of the code without its white edge, True is dark.

    Error correction M (about 15 % of the code may be damaged), more where it costs no room.
    """
    made = segno.make_qr(text, error="m", boost_error=True)
    return tuple(tuple(bool(module) for module in row) for row in made.matrix)


def code_svg(card: Card) -> str:
    """Return the code to scan as an SVG element."""
    matrix = code_matrix(code_text(card))
    side = len(matrix) + 2 * QUIET_MODULES
    path = "".join(
        f"M{x + QUIET_MODULES} {y + QUIET_MODULES}h1v1h-1z"
        for y, row in enumerate(matrix)
        for x, dark in enumerate(row)
        if dark
    )
    return (
        f'<svg class="code" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {side} {side}"'
        f' role="img" aria-label="{escape(code_text(card))}"><rect width="{side}"'
        f' height="{side}" fill="#fff"/><path d="{path}"/></svg>'
    )
