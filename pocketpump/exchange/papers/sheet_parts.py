"""The parts of which the clinic sheet is made, and the whole of them in another language."""

from dataclasses import dataclass
from datetime import date, tzinfo

from pocketpump.core.messages import Locale, message
from pocketpump.core.units.instants import local_date
from pocketpump.exchange.charts.description import Picture, said_in
from pocketpump.record.entry.entries import Entry

STATE, NOW, CHANGE = "state", "now", "change"
ASKED, QUESTIONS, HAPPENED = "asked", "questions", "happened"
"""The sections of the first page."""


BY_HAND = (message("Name"), message("Born on"))
"""What is left to be filled in by hand where the person is not named."""

_LIVED = ("check-in", "happening", "measure")
"""The diary's kinds, whose day is the one the person lived, as its own screens have it."""


def day_of(entry: Entry, zone: tzinfo) -> date:
    """Return the one day on which ``entry`` stands on the sheet.

    Of the diary it is that of the wall clock where it was noted, of all else that in ``zone``.
    """
    return entry.at.date() if entry.kind in _LIVED else local_date(entry.at, zone)


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under a header; ``widths`` are the columns' shares of the page's width."""

    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    widths: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Section:
    """A heading and what stands under it, in this order; any of it may be empty.

    ``lead`` is read first and ``under`` it beside it, then ``picture``, ``facts`` (name, value),
    ``lines`` and ``table``. ``listed`` says that the lines are points to go through one by one,
    ``room`` how many empty lines to write on each gets on paper. ``name`` is one of the first
    page's, "" on the pages after it.
    """

    title: str
    name: str = ""
    lead: str = ""
    under: tuple[str, ...] = ()
    picture: Picture | None = None
    facts: tuple[tuple[str, str], ...] = ()
    lines: tuple[str, ...] = ()
    table: Table | None = None
    listed: bool = False
    room: int = 0


@dataclass(frozen=True, slots=True)
class Sheet:
    """The clinic sheet, from top to bottom; ``person`` is who it is of, "" unless asked for."""

    title: str
    person: str
    made: str
    caution: str
    sections: tuple[Section, ...]


def sheet_in(sheet: Sheet, locale: Locale | None) -> Sheet:
    """Return the sheet with every text in ``locale`` (None: English); what was typed stays."""
    return said_in(sheet, locale)
