"""The clinic sheet: what stands on it, and the files to take along."""

import flet as ft

from pocketpump.app.parts import big_button, body, card, choice, fact_row, quiet_button, section
from pocketpump.app.screens.link import link
from pocketpump.app.server.file_saving import save_file
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.errors import InputError
from pocketpump.core.messages import joined, message
from pocketpump.exchange.calendar.record_calendar import calendar_of
from pocketpump.exchange.papers.sheet import clinic_sheet
from pocketpump.exchange.papers.sheet_html import sheet_html
from pocketpump.exchange.papers.sheet_parts import Section, Table
from pocketpump.exchange.papers.sheet_pdf import sheet_pdf

_TITLES = (
    ("plain", message("Plain: nothing about health")),
    ("full", message("Full: what each date is")),
)


def sheet(app: App[Services]) -> list[ft.Control]:
    """Draw the sheet as it would be printed now, and the buttons that save it."""
    services = app.services
    entries, now = services.record.alive, services.now()
    try:
        content = clinic_sheet(entries, now, services.zone)
    except InputError as error:
        return [body(str(error))]

    async def save_pdf() -> None:
        await save_file(app, "clinic-sheet.pdf", sheet_pdf(content, app.locale))

    async def save_page() -> None:
        await save_file(app, "clinic-sheet.html", sheet_html(content, app.locale))

    async def save_calendar() -> None:
        ever = services.record.entries
        _, calendar = calendar_of(ever, now, services.zone, locale=app.locale)
        await save_file(app, "dates.ics", calendar)

    full = services.preferences().get("calendar titles") == "full"

    def keep_titles(value: str) -> None:
        services.prefer("calendar titles", value)
        app.refresh()

    return [
        body(message("One or two pages for the next visit, made from what you have noted.")),
        big_button(message("Save as PDF"), save_pdf, icon=ft.Icons.PICTURE_AS_PDF_OUTLINED),
        quiet_button(message("Save as a web page"), save_page, icon=ft.Icons.PRINT_OUTLINED),
        choice(message("Titles in a calendar"), _TITLES, "full" if full else "plain",
               keep_titles,
               helper=message("Others may see your calendar.")),
        quiet_button(message("Save the coming dates for a calendar"), save_calendar,
                     icon=ft.Icons.EVENT_OUTLINED),
        link(app, message("Write a question for the clinic"), "/questions", ft.Icons.HELP_OUTLINE),
        *(_section(one) for one in content.sections),
        body(content.caution, soft=True),
    ]  # fmt: skip


def _section(one: Section) -> ft.Control:
    controls = [section(one.title)]
    controls += [fact_row(name, value) for name, value in one.facts]
    controls += [body(joined("", ("• ", line)) if one.listed else line) for line in one.lines]
    if one.table is not None:
        controls += _rows(one.table)
    return card(controls)


def _rows(table: Table) -> list[ft.Control]:
    """A phone is too narrow for columns: each row becomes a fact with the rest under it."""
    rows = []
    for first, second, *others in table.rows:
        named = zip(table.header[2:], others, strict=True)
        notes = [
            value if name == "More" else message("{name}: {value}", name=name, value=value)
            for name, value in named
            if value != "–"
        ]
        rows.append(fact_row(first, second, note=joined("; ", notes)))
    return rows
