"""The clinic sheet as PDF, for printing and for sending."""

from pocketpump.core.messages import Tongue, said_in, worded
from pocketpump.exchange.papers.plain_pdf import Paper
from pocketpump.exchange.papers.sheet_parts import Section, Sheet, sheet_in

LOST = worded(
    "Letters that cannot be printed here stand as ?. The sheet as a web page has them all."
)


def sheet_pdf(sheet: Sheet, tongue: Tongue | None = None) -> bytes:
    """Return the sheet as a PDF of A4 pages, in ``tongue`` (None: English)."""
    sheet = sheet_in(sheet, tongue)
    paper = Paper(tongue)
    paper.heading(sheet.title, size=18, rule=False)
    paper.paragraph(sheet.made)
    paper.paragraph(sheet.caution, size=8.5)
    for section in sheet.sections:
        _section(paper, section)
    if paper.lost:
        paper.paragraph(said_in(LOST, tongue), size=8.5)
    return paper.finish(sheet.title)


def _section(paper: Paper, section: Section) -> None:
    paper.heading(section.title)
    paper.facts(section.facts)
    for line in section.lines:
        paper.paragraph(line, box=section.listed)
    if section.table is not None:
        paper.table(section.table.header, section.table.rows, section.table.widths)
