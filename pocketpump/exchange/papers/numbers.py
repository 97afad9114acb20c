"""Numbers to call on a page, large enough to be dialled from: never cut."""

from collections.abc import Iterable, Iterator

from pocketpump.core.safety.card import one_line
from pocketpump.core.safety.contacts import Contact, whole_number
from pocketpump.exchange.papers.pieces import Piece, table_row, words

_LARGE = 1.7
_LONGEST_NUMBER = 40
LEFT_OUT = "…"
"""Stands for what could not be written whole."""


def number_on_paper(phone: str) -> str:
    """Return a number that takes one line: never cut, as part of one would mislead.

    A number that is longer however it is written becomes "…".
    """
    return whole_number(phone, _LONGEST_NUMBER) or LEFT_OUT if phone else ""


def number_rows(named: Iterable[tuple[str, Contact]]) -> Iterator[Piece]:
    """Yield a row for each number: what it is of, in type of one size, and the number, large."""
    for label, one in named:
        told = [label, one_line(one.name), one_line(one.relation), one_line(one.hours)]
        who = " · ".join(dict.fromkeys(part for part in told if part))
        phone = number_on_paper(one_line(one.phone)).replace(" ", "\u00a0")
        number = words(phone, _LARGE, bold=True, whole=True)
        yield table_row([words(who, bold=True), number], (1.1, 1.0))
