"""The clinic sheet: of what time, what stands on it, and the files to take along."""

from collections.abc import Mapping
from datetime import date
from functools import partial
from typing import Any

import flet as ft

from pocketpump.app.parts import (
    big_button,
    body,
    card,
    chart_picture,
    check_boxes,
    choice,
    date_field,
    fact_row,
    quiet_button,
    section,
    shift_pictures,
)
from pocketpump.app.screens.draft import put
from pocketpump.app.screens.link import link
from pocketpump.app.screens.pages import Paper
from pocketpump.app.screens.saved_files import paper_choice, paper_chosen, saved_name, saved_stem
from pocketpump.app.server.file_saving import save_file
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.errors import InputError
from pocketpump.core.messages import joined, message, text_in
from pocketpump.core.units.instants import local_date, parse_date
from pocketpump.core.units.typed_dates import read_day
from pocketpump.exchange.calendar.record_calendar import calendar_of
from pocketpump.exchange.charts.description import Chart, Shifts
from pocketpump.exchange.language.code_of import code_of
from pocketpump.exchange.papers import sheet as made
from pocketpump.exchange.papers import sheet_html, sheet_pdf
from pocketpump.exchange.papers.paper_size import PAPERS
from pocketpump.exchange.papers.sheet_parts import Section, Table

_TITLES = (
    ("plain", message("Plain: nothing about health")),
    ("full", message("Full: what each date is")),
)
_PANEL_HEIGHT = 90
_NAME = "name"
_SAYS_ITSELF = ("More", "Note")
"""The columns of a table that need no name before them."""


def sheet(app: App[Services]) -> list[ft.Control]:
    """Draw the sheet as it would be printed now, and the buttons that save it."""
    services = app.services
    entries, now = services.record.alive, services.now()
    draft = app.draft("sheet")
    asked = _asked(app, draft)
    try:
        since = _since(services, draft)
        named = bool(draft.get(_NAME))
        content = made.clinic_sheet(entries, now, services.zone, since, named=named)
    except InputError as error:
        return [*asked, body(str(error))]
    paper = paper_chosen(services)

    async def save_pdf() -> None:
        await save_file(
            app, saved_name(app, "sheet", "pdf"), sheet_pdf.sheet_pdf(content, app.locale, paper)
        )

    async def save_page() -> None:
        await save_file(
            app, saved_name(app, "sheet", "html"), sheet_html.sheet_html(content, app.locale)
        )

    return [
        body(message("One or two pages for the next visit, made from what you have noted.")),
        *asked,
        paper_choice(app),
        big_button(message("Save as PDF"), save_pdf, icon=ft.Icons.PICTURE_AS_PDF_OUTLINED),
        link(app, message("Look at the pages and print"),
             f"/pages?of=sheet&since={since}&paper={paper}&named={'yes' if named else 'no'}",
             ft.Icons.PRINT_OUTLINED),
        quiet_button(message("Save as a web page"), save_page, icon=ft.Icons.SAVE_ALT),
        *_calendar(app),
        link(app, message("Write a question for the clinic"), "/questions", ft.Icons.HELP_OUTLINE),
        *([section(content.person)] if content.person else []),
        *(_section(app, one) for one in content.sections),
        body(content.caution, soft=True),
    ]  # fmt: skip


def sheet_paper(app: App[Services], asked: Mapping[str, str]) -> Paper:
    """Return the sheet to print: ``since`` a day, ``paper`` a size, ``named`` "yes" or "no".

    A size that is not known is the one chosen.
    Raises `InputError` for a day that is none, and as `clinic_sheet` does.
    """
    services = app.services
    since = parse_date(asked["since"], "since") if "since" in asked else None
    named = asked.get("named") == "yes"
    content = made.clinic_sheet(
        services.record.alive, services.now(), services.zone, since, named=named
    )
    paper = asked.get("paper", "")
    size = paper if paper in PAPERS else paper_chosen(services)
    pages = sheet_pdf.sheet_pages(content, app.locale, size)
    title = text_in(content.title, app.locale)
    return Paper(title, saved_stem(app, "sheet"), tuple(pages), code_of(app.locale))


def _asked(app: App[Services], draft: dict[str, Any]) -> list[ft.Control]:
    """Draw the questions whose answers decide what stands on the sheet."""
    period = draft.setdefault("period", made.SINCE_VISIT)
    controls = [
        choice(message("How far back?"), made.PERIODS, period, partial(put, app, draft, "period"),
               in_row=True)
    ]  # fmt: skip
    if period == made.ONE_DAY:
        services = app.services
        today = local_date(services.now(), services.zone)
        controls.append(
            date_field(message("First day"), draft.setdefault("day", ""),
                       partial(put, app, draft, "day"), today=today, error=_trouble(draft))
        )  # fmt: skip
    ticked = [_NAME] if draft.get(_NAME) else []

    def toggle(_what: str) -> None:
        put(app, draft, _NAME, not ticked)

    whose = [(_NAME, message("Name and birth date on the sheet"))]
    return [*controls, check_boxes(message("Whose sheet it is"), whose, ticked, toggle)]


def _since(services: Services, draft: Mapping[str, Any]) -> date:
    """Return the first day asked for; while none can be read, that of the last visit."""
    now, zone, period = services.now(), services.zone, draft["period"]
    if period == made.ONE_DAY:
        if draft["day"].strip() and not _trouble(draft):
            return read_day(draft["day"])
        period = made.SINCE_VISIT
    return made.first_day(period, services.record.alive, now, zone)


def _trouble(draft: Mapping[str, Any]) -> str:
    """Return what is wrong with the day typed; "" while there is none."""
    try:
        if draft["day"].strip():
            read_day(draft["day"])
    except InputError as error:
        return str(error)
    return ""


def _prefer(app: App[Services], name: str, value: str) -> None:
    app.services.prefer(name, value)
    app.refresh()


def _calendar(app: App[Services]) -> list[ft.Control]:
    services = app.services

    async def save_calendar() -> None:
        _, calendar = calendar_of(
            services.record.entries, services.now(), services.zone, locale=app.locale
        )
        await save_file(app, saved_name(app, "calendar", "ics"), calendar)

    full = services.preferences().get("calendar titles") == "full"
    return [
        choice(message("Titles in a calendar"), _TITLES, "full" if full else "plain",
               partial(_prefer, app, "calendar titles"),
               helper=message("Others may see your calendar.")),
        quiet_button(message("Save the coming dates for a calendar"), save_calendar,
                     icon=ft.Icons.EVENT_OUTLINED),
    ]  # fmt: skip


def _section(app: App[Services], one: Section) -> ft.Control:
    controls = [section(one.title)]
    if one.lead:
        controls.append(section(one.lead, level=3))
    controls += map(body, one.under)
    if isinstance(one.picture, Chart):
        controls += _chart(app, one.picture)
    elif isinstance(one.picture, Shifts):
        controls += _shifts(app, one.picture)
    controls += [fact_row(name, value) for name, value in one.facts]
    controls += [body(joined("", ("• ", line)) if one.listed else line) for line in one.lines]
    if one.table is not None:
        controls += _rows(one.table)
    return card(controls)


def _chart(app: App[Services], chart: Chart) -> list[ft.Control]:
    height = _PANEL_HEIGHT * len(chart.panels)
    picture = chart_picture(chart, width=app.content_width - 40, height=height, scale=app.scale)
    return [picture, *([body(chart.key, soft=True)] if chart.key else [])]


def _shifts(app: App[Services], shifts: Shifts) -> list[ft.Control]:
    """Draw each change with its pictures, and what belongs in sight beside them."""
    controls: list[ft.Control] = []
    pictures = shift_pictures(shifts, width=app.content_width - 40, scale=app.scale)
    for row, drawn in zip(shifts.rows, pictures, strict=True):
        found = [interval.words for interval in row.intervals if interval] or [row.instead]
        counted = row.counts
        if row.cautions:
            counted = joined("", (counted, " (", row.cautions, ")"))
        told = joined("; ", filter(None, (row.detail, counted)))
        controls += [fact_row(row.label, joined("; ", found), note=told), *drawn]
        controls += [body(row.note, soft=True)] if row.note else []
    for number, caution in enumerate(shifts.cautions, 1):
        controls.append(body(joined(" ", (f"({number})", caution)), soft=True))
    return controls


def _rows(table: Table) -> list[ft.Control]:
    """A phone is too narrow for columns: each row becomes a fact with the rest under it."""
    rows = []
    for first, second, *others in table.rows:
        named = zip(table.header[2:], others, strict=True)
        notes = [
            value if name in _SAYS_ITSELF else message("{name}: {value}", name=name, value=value)
            for name, value in named
            if value != "–"
        ]
        rows.append(fact_row(first, second, note=joined("; ", notes)))
    return rows
