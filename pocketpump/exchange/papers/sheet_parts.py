"""The parts of which the clinic sheet is made, and the whole of them in another language."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from pocketpump.core.messages import Locale, text_in


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under a header; ``widths`` are the columns' shares of the page's width."""

    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    widths: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Section:
    """A heading and what stands under it: facts (name, value), lines, a table; any may be empty.

    ``listed`` says that the lines are points to go through one by one.
    """

    title: str
    facts: tuple[tuple[str, str], ...] = ()
    lines: tuple[str, ...] = ()
    table: Table | None = None
    listed: bool = False


@dataclass(frozen=True, slots=True)
class Sheet:
    """The clinic sheet, from top to bottom."""

    title: str
    made: str
    caution: str
    sections: tuple[Section, ...]


def sheet_in(sheet: Sheet, locale: Locale | None) -> Sheet:
    """Return the sheet with every text in ``locale`` (None: English); what was typed stays."""

    def said(texts: Iterable[str]) -> tuple[str, ...]:
        return tuple(text_in(text, locale) for text in texts)

    def table_in(table: Table) -> Table:
        return replace(table, header=said(table.header), rows=tuple(map(said, table.rows)))

    sections = tuple(
        replace(
            section,
            title=text_in(section.title, locale),
            facts=tuple((text_in(n, locale), text_in(v, locale)) for n, v in section.facts),
            lines=said(section.lines),
            table=section.table and table_in(section.table),
        )
        for section in sheet.sections
    )
    return Sheet(
        text_in(sheet.title, locale),
        text_in(sheet.made, locale),
        text_in(sheet.caution, locale),
        sections,
    )
