"""Draws everything a record can be seen as, and tells what could not be drawn.

A screen is drawn by the app's own frame, route by route, over a page that only listens.
"""

import asyncio
import contextlib
import io
import itertools
import traceback
from datetime import datetime
from types import SimpleNamespace
from zoneinfo import ZoneInfo

import pytest
from flet.controls.services import url_launcher
from mangling import NAME
from screen_hand import controls_in

from pocketpump.app.main import tab
from pocketpump.app.screens.card.printed import card_of
from pocketpump.app.screens.more.language import language_of
from pocketpump.app.screens.routes import ROUTES
from pocketpump.app.services import Services
from pocketpump.cli import main as command_line
from pocketpump.core.errors import PocketPumpError
from pocketpump.exchange.backup.backup import read_backup
from pocketpump.exchange.backup.encrypted import make_backup
from pocketpump.exchange.backup.record_check import check_up, support_file
from pocketpump.exchange.calendar.record_calendar import calendar_of
from pocketpump.exchange.fhir.bundle import write_bundle
from pocketpump.exchange.language.locales import locale
from pocketpump.exchange.papers.card_files import card_file, card_problems
from pocketpump.exchange.papers.carer_sheet import DETAILS, carer_file, carer_sheet_of
from pocketpump.exchange.papers.letter import letter_file
from pocketpump.exchange.papers.sheet import clinic_sheet
from pocketpump.exchange.papers.sheet_html import sheet_html
from pocketpump.exchange.papers.sheet_pdf import sheet_pdf
from pocketpump.exchange.papers.tag import tag_file
from pocketpump.exchange.papers.travel_sheet import TravelSheet, travel_pages
from pocketpump.exchange.tables.tables import TABLES, write_table
from pocketpump.record import MemoryFiles, Record
from pocketpump.record.facts.booked_visit import booked_visit
from pocketpump.record.facts.card_facts import care_of, trip_of
from pocketpump.record.facts.diary import contacts_of
from pocketpump.record.facts.state import since_refill
from pocketpump.web.glance import glance_facts

ZONE = "Europe/Amsterdam"
BY_ID = {
    "check-in": "/check-in", "happening": "/happening", "measure": "/measure",
    "refill": "/refill", "programme": "/dose", "contact": "/contact", "trip": "/trip",
}  # fmt: skip
"""Which screen shows or corrects one entry of a kind."""


class ListeningPage:
    """As much of flet's page as the frame uses; a route is a step, nothing is sent."""

    def __init__(self) -> None:
        self.route, self.width = "", 390
        self.views = [SimpleNamespace(controls=[])]
        self.fonts = {}
        self.client_storage = None

    def navigate(self, route: str) -> None:
        self.route = route
        self.on_route_change(None)

    def run_task(self, *_task, **_named):
        return SimpleNamespace(cancel=lambda: None)

    def update(self) -> None:
        pass


def routes_of(record: Record, pick: int | None = None) -> list[str]:
    """Every screen, and of each kind with screens of its own the newest, oldest and a lost one.

    With a number to ``pick`` by, one of these of each kind: thousands of records take turns.
    """
    routes = list(ROUTES)
    for kind, route in BY_ID.items():
        ids = [entry.id for entry in record.entries if entry.kind == kind]
        chosen = list(dict.fromkeys((*ids[:1], *ids[-2:], "lost")))
        if pick is not None:
            chosen = [chosen[pick % len(chosen)]]
        routes += [f"{route}?id={one}" for one in chosen]
    routes += [f"/trip-form?id={one.id}" for one in record.entries if one.kind == "trip"][:2]
    return routes


def drawn_screens(record: Record, now: datetime, pick: int | None = None) -> dict[str, str]:
    """Draw all screens (see `routes_of`); return by route what went wrong."""
    page, wrong = ListeningPage(), {}
    services = Services(record, lambda: now, ZONE)
    with _told_tracebacks() as told:
        try:
            tab(services)(page)
        except Exception:
            return {"start": traceback.format_exc()}
        for route in routes_of(record, pick):
            told.clear()
            try:
                page.navigate(route)
            except Exception:
                wrong[route] = traceback.format_exc()
                continue
            if told:
                wrong[route] = told[0]
            elif any(control.key == "broken" for control in controls_in(page.views[0].controls)):
                wrong[route] = "the screen is dead"
    return wrong


@contextlib.contextmanager
def _told_tracebacks():
    told: list[str] = []
    patch = pytest.MonkeyPatch()
    # A link that dials asks for a page of its own; there is none here.
    patch.setattr(url_launcher, "shared_service", lambda _type: SimpleNamespace(_i=1))
    patch.setattr(traceback, "print_exc", lambda *_a, **_n: told.append(traceback.format_exc()))
    try:
        yield told
    finally:
        patch.undo()


def files_of(record: Record, now: datetime, *, drawn: bool = True) -> dict[str, str]:
    """Make every page, table and code of the record; return by name what went wrong.

    Without ``drawn`` the pages that are measured letter by letter are left out, for speed.
    """
    wrong: dict[str, str] = {}
    zone = ZoneInfo(ZONE)
    here = now.astimezone(zone)
    services = Services(record, lambda: now, ZONE)
    alive = record.alive

    def attempt(name, make, told=()):
        try:
            return make()
        except told:
            return None
        except Exception:
            wrong[name] = traceback.format_exc()
            return None

    language = attempt("language", lambda: language_of(services)) or "en"
    card = attempt("card", lambda: card_of(services, here))
    if card is not None:
        for ending in ("pdf", "html", "svg", "txt") if drawn else ("txt",):
            attempt(f"card.{ending}", lambda e=ending: card_file(card, e, language, here.date()))
        attempt("card problems", lambda: card_problems(card, "pdf"))
        answer, _ = services.forecast()
        if drawn:
            attempt("tag", lambda: tag_file(card, language, here.date()))
            attempt("letter", lambda: letter_file(card, language, here.date()))
            attempt("page for a carer", lambda: carer_file(
                carer_sheet_of(care_of(alive, here), answer, DETAILS), here.date(),
                locale(language)))  # fmt: skip
        booked = attempt("visit", lambda: booked_visit(alive, here))
        attempt("glance", lambda: glance_facts(
            card, answer, booked.on if booked else None, language,
            since=since_refill(alive, answer) if answer else None))  # fmt: skip
    # A sheet cannot be made without a pump, a refill and a setting, and says so in a sentence.
    sheet = attempt("sheet", lambda: clinic_sheet(alive, here, zone), PocketPumpError)
    if sheet is not None:
        attempt("sheet.pdf", lambda: sheet_pdf(sheet, locale(language)))
        attempt("sheet.html", lambda: sheet_html(sheet, locale(language)))
    attempt("calendar", lambda: calendar_of(record.entries, here, zone), PocketPumpError)
    attempt("fhir", lambda: write_bundle(alive, here))
    for kind in TABLES:
        attempt(f"table of {kind}", lambda k=kind: write_table(alive, k))
    for entry in services.of_kind("trip"):
        attempt("travel sheet", lambda e=entry: travel_pages(
            TravelSheet(trip_of(e), None, None, str(e.payload.get("clinic") or ""),
                        contacts_of(alive), ()), here.date(), locale(language)))  # fmt: skip
    found = attempt("check-up", lambda: check_up(record, here, zone))
    if found is not None:
        attempt("support file", lambda: support_file(found, here))
    saved = attempt("backup", lambda: asyncio.run(make_backup(record.entries, here, "")))
    if saved is not None:
        attempt("backup read", lambda: read_backup(saved))
    return wrong


def opened(kind: str, data: bytes, now: datetime) -> Record | None:
    """Return the record a file gives; None when it is refused in a sentence.

    A backup is brought into an empty record, as on a new phone.
    """
    try:
        files = MemoryFiles()
        if kind == "record":
            files.append(NAME, data)
            return Record.open(files, clock=lambda: now)
        found = read_backup(data)
        record = Record.open(files, clock=lambda: now)
        record.import_entries(found.entries)
        return record
    except PocketPumpError:
        return None


def undone(record: Record) -> dict[str, str]:
    """Take back what was written last; return what went wrong."""
    try:
        note = record.add("question", record._clock(), "", {"text": "And now?"})
        record.undo(note.id)
    except Exception:
        return {"undo": traceback.format_exc()}
    return {}


def said_by_commands(folder, now: datetime) -> dict[str, str]:
    """Run each command that reads a record; one sentence and status 2 is no failure."""
    wrong = {}
    out = folder.parent
    count = itertools.count()
    commands = [
        ["dates"], ["dates", "--json"], ["check-record"],
        *([name, "--out", str(out / f"{next(count)}{ending}")] for name, ending in
          (("card", ".txt"), ("card", ".html"), ("sheet", ".html"), ("calendar", ".ics"))),
        ["export", "csv", str(out / f"t{next(count)}")],
        ["export", "fhir", str(out / f"{next(count)}.json")],
        ["backup", str(out / f"{next(count)}-backup.json")],
    ]  # fmt: skip
    for command in commands:
        words, errors = io.StringIO(), io.StringIO()
        try:
            with contextlib.redirect_stdout(words), contextlib.redirect_stderr(errors):
                status = command_line([*command, "--record", str(folder)], lambda: now)
            assert status == 0 or errors.getvalue().strip()
            assert "Traceback" not in errors.getvalue()
        except Exception:
            wrong[f"pocketpump {command[0]}"] = traceback.format_exc()
    return wrong
