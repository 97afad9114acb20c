"""Puts the screens together: the map of routes and the function that flet calls for a tab."""

from collections.abc import Callable

import flet as ft

from pocketpump.app.look.fonts import name_fonts
from pocketpump.app.screens.card.card import emergency_card
from pocketpump.app.screens.card.care import care
from pocketpump.app.screens.card.papers import papers
from pocketpump.app.screens.diary.changes import changes
from pocketpump.app.screens.diary.check_in import check_in
from pocketpump.app.screens.diary.diary import diary
from pocketpump.app.screens.diary.event import happening
from pocketpump.app.screens.diary.log import log
from pocketpump.app.screens.diary.measures import measure, measures
from pocketpump.app.screens.error_screen import broken
from pocketpump.app.screens.more.about_you import about_you
from pocketpump.app.screens.more.language import language_of
from pocketpump.app.screens.more.more import about, look, look_of, more
from pocketpump.app.screens.more.questions import questions
from pocketpump.app.screens.more.trip import trip, trip_form, trips
from pocketpump.app.screens.pump.clinic_days import clinic_days
from pocketpump.app.screens.pump.device_life import device
from pocketpump.app.screens.pump.dose import dose
from pocketpump.app.screens.pump.doses import doses
from pocketpump.app.screens.pump.pump import pump
from pocketpump.app.screens.pump.tip_delivery import reach
from pocketpump.app.screens.pump.what_if import what_if
from pocketpump.app.screens.record.backup import backup
from pocketpump.app.screens.record.merge import merge
from pocketpump.app.screens.record.my_record import my_record, new_phone
from pocketpump.app.screens.record.tables import tables
from pocketpump.app.screens.refills.clinic_sheet import sheet
from pocketpump.app.screens.refills.refill import refill
from pocketpump.app.screens.refills.refills import refills
from pocketpump.app.screens.refills.visit import visit
from pocketpump.app.screens.safety.contacts import contact, contacts
from pocketpump.app.screens.safety.signs import signs
from pocketpump.app.screens.today.first_run import start, start_dose, start_pump, start_refill
from pocketpump.app.screens.today.today import today
from pocketpump.app.server.flet_patch import outlive_late_answers
from pocketpump.app.services import Notebook
from pocketpump.app.shell.frame import Place
from pocketpump.app.shell.routes import Stop
from pocketpump.app.shell.shell import App
from pocketpump.core.messages import worded
from pocketpump.exchange.language.locales import tongue
from pocketpump.record.facts.situation import has_begun

PLACES = (
    # Note: the names in the bar at the bottom stand side by side: at most 8 letters each.
    Place("/today", worded("Today"), ft.Icons.WATER_DROP_OUTLINED),
    Place("/diary", worded("Diary"), ft.Icons.SHOW_CHART),
    Place("/refills", worded("Refills"), ft.Icons.EVENT_REPEAT),
    Place("/card", worded("Card"), ft.Icons.BADGE_OUTLINED),
    Place("/more", worded("More"), ft.Icons.MENU),
)

STOPS = {
    "/today": Stop(today, worded("Today"), "/today"),
    "/check-in": Stop(
        check_in,
        worded("How is it now?"),
        "/diary",
        up="/today",
        correcting=worded("Correct a check-in"),
    ),
    "/signs": Stop(signs, worded("Warning signs"), "/diary", up="/check-in"),
    "/diary": Stop(diary, worded("Diary"), "/diary"),
    "/happening": Stop(
        happening,
        worded("Something happened"),
        "/diary",
        up="/diary",
        correcting=worded("Correct what happened"),
    ),
    "/changes": Stop(changes, worded("After each dose change"), "/diary", up="/diary"),
    "/log": Stop(log, worded("All check-ins and notes"), "/diary", up="/diary"),
    "/measures": Stop(measures, worded("Measures and goals"), "/diary", up="/diary"),
    "/measure": Stop(
        measure,
        worded("A new measure"),
        "/diary",
        up="/measures",
        correcting=worded("Correct a measure"),
    ),
    "/refills": Stop(refills, worded("Refills"), "/refills"),
    "/refill": Stop(
        refill, worded("A refill"), "/refills", up="/refills", correcting=worded("Correct a refill")
    ),
    "/visit": Stop(visit, worded("Visit booked"), "/refills", up="/refills"),
    "/doses": Stop(doses, worded("Dose settings"), "/more", up="/more"),
    "/dose": Stop(
        dose,
        worded("A new dose setting"),
        "/more",
        up="/doses",
        correcting=worded("Correct a dose setting"),
    ),
    "/reach": Stop(reach, worded("What reaches the body"), "/more", up="/doses"),
    "/what-if": Stop(what_if, worded("What if …"), "/more", up="/more"),
    "/questions": Stop(questions, worded("Questions for the clinic"), "/more", up="/more"),
    "/sheet": Stop(sheet, worded("Clinic sheet"), "/refills", up="/refills"),
    "/about-you": Stop(about_you, worded("About you"), "/more", up="/more"),
    "/pump": Stop(pump, worded("The pump"), "/more", up="/more"),
    "/contacts": Stop(contacts, worded("Whom to call"), "/more", up="/more"),
    "/contact": Stop(
        contact,
        worded("A new number to call"),
        "/more",
        up="/contacts",
        correcting=worded("Correct a number"),
    ),
    "/card": Stop(
        emergency_card, worded("Emergency card"), "/card", up="/today", bare=True, awake=True
    ),
    "/care": Stop(care, worded("Details on the card"), "/card", up="/card"),
    "/papers": Stop(papers, worded("The clinic's papers"), "/card", up="/care"),
    "/device": Stop(device, worded("Life of the pump"), "/more", up="/more"),
    "/trips": Stop(trips, worded("Trips"), "/more", up="/more"),
    "/trip": Stop(trip, worded("A trip"), "/more", up="/trips"),
    "/trip-form": Stop(
        trip_form, worded("Plan a trip"), "/more", up="/trips", correcting=worded("Correct a trip")
    ),
    "/clinic-days": Stop(clinic_days, worded("Clinic days"), "/more", up="/more"),
    "/look": Stop(look, worded("Text size and colours"), "/more", up="/more"),
    "/about": Stop(about, worded("About and cautions"), "/more", up="/more"),
    "/backup": Stop(backup, worded("Backup"), "/more", up="/more"),
    "/merge": Stop(merge, worded("Bring in a copy"), "/more", up="/more"),
    "/tables": Stop(tables, worded("Tables and other systems"), "/more", up="/more"),
    "/record": Stop(my_record, worded("My record"), "/more", up="/more"),
    "/new-phone": Stop(new_phone, worded("Move to a new phone"), "/more", up="/more"),
    "/more": Stop(more, worded("More"), "/more"),
    "/start": Stop(start, worded("Welcome"), "/today", bare=True),
    "/start/pump": Stop(start_pump, worded("Your pump"), "/today", up="/start", bare=True),
    "/start/refill": Stop(
        start_refill, worded("Your last refill"), "/today", up="/start/pump", bare=True
    ),
    "/start/copy": Stop(merge, worded("Bring in a copy"), "/today", up="/start", bare=True),
    "/start/dose": Stop(
        start_dose, worded("Your dose setting"), "/today", up="/start/refill", bare=True
    ),
}


def _keep_in_step(app: App[Notebook], notebook: Notebook) -> None:
    """Let the tab ``app`` show what another one saves, until it is closed."""
    saved, ended = notebook.record.on_saved, notebook.on_ended
    saved.append(app.changed_elsewhere)
    ended.append(app.forget_typed)
    notebook.on_leaving.append(app.typed.half_filled)
    app.typed.take_up(notebook.left_behind())

    def closed() -> None:
        saved.remove(app.changed_elsewhere)
        ended.remove(app.forget_typed)
        notebook.on_leaving.remove(app.typed.half_filled)

    app.on_closed = closed


def tab(notebook: Notebook, fonts: str = "fonts") -> Callable[[ft.Page], None]:
    """Return what flet calls for every tab that is opened on ``notebook``.

    ``fonts`` is the address at which the bundled fonts are served.
    """
    outlive_late_answers()

    def opened(page: ft.Page) -> None:
        # Who chose a language at the start, and nothing yet, goes on there.
        home = "/today" if has_begun(notebook.record.alive) else "/start"
        scale, mode = look_of(notebook)
        app = App(
            page, notebook, STOPS, PLACES, home=home, now=notebook.now,
            next_turn=notebook.next_turn, broken=broken,
            scale=scale, mode=mode, tongue=tongue(language_of(notebook)),
            dials=not notebook.is_demo,
        )  # fmt: skip
        _keep_in_step(app, notebook)
        app.start()
        # Fetched beside the first screen, not before it: most people never need them.
        name_fonts(page, fonts)
        page.update()

    return opened
