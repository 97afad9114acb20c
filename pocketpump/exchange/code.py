"""The code to scan: the card's essentials as plain text, which any phone shows offline."""

from functools import lru_cache

import segno

from pocketpump.core.card import Card, essentials

QUIET_MODULES = 4
"""The white edge a reader needs (ISO/IEC 18004)."""


def code_text(card: Card) -> str:
    """Return what the code holds."""
    return essentials(card)


@lru_cache(maxsize=16)
def code_matrix(text: str) -> tuple[tuple[bool, ...], ...]:
    """Return the modules of the code without its white edge, True is dark.

    Error correction M (about 15 % of the code may be damaged), more where it costs no room.
    """
    made = segno.make_qr(text, error="m", boost_error=True)
    return tuple(tuple(bool(module) for module in row) for row in made.matrix)
