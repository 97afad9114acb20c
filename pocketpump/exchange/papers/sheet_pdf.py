"""The clinic sheet as PDF, for printing and for sending."""

from pocketpump.core.messages import Locale, message, text_in
from pocketpump.exchange.papers.plain_pdf import Paper
from pocketpump.exchange.papers.sheet_parts import Section, Sheet, sheet_in

LOST = message(
    "Letters that cannot be printed here stand as ?. The sheet as a web page has them all."
)


def sheet_pdf(sheet: Sheet, locale: Locale | None = None) -> bytes:
    """Return the sheet as a PDF of A4 pages, in ``locale`` (None: English)."""
    sheet = sheet_in(sheet, locale)
    paper = Paper(locale)
    paper.heading(sheet.title, size=18, rule=False)
    paper.paragraph(sheet.made)
    paper.paragraph(sheet.caution, size=8.5)
    for section in sheet.sections:
        _section(paper, section)
    if paper.lost:
        paper.paragraph(text_in(LOST, locale), size=8.5)
    return paper.finish(sheet.title)


def _section(paper: Paper, section: Section) -> None:
    paper.heading(section.title)
    paper.facts(section.facts)
    for line in section.lines:
        paper.paragraph(line, box=section.listed)
    if section.table is not None:
        paper.table(section.table.header, section.table.rows, section.table.widths)
