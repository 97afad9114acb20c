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
from pocketpump.app.screens.diary.event import diary_event
from pocketpump.app.screens.diary.log import log
from pocketpump.app.screens.diary.measures import measure, measures
from pocketpump.app.screens.error_screen import error_screen
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
from pocketpump.app.server.flet_patch import install_flet_patch
from pocketpump.app.services import Services
from pocketpump.app.shell.frame import Place
from pocketpump.app.shell.routes import ScreenRoute
from pocketpump.app.shell.shell import App
from pocketpump.core.messages import message
from pocketpump.exchange.language.locales import locale
from pocketpump.record.facts.situation import has_begun

PLACES = (
    # Note: the names in the bar at the bottom stand side by side: at most 8 letters each.
    Place("/today", message("Today"), ft.Icons.WATER_DROP_OUTLINED),
    Place("/diary", message("Diary"), ft.Icons.SHOW_CHART),
    Place("/refills", message("Refills"), ft.Icons.EVENT_REPEAT),
    Place("/card", message("Card"), ft.Icons.BADGE_OUTLINED),
    Place("/more", message("More"), ft.Icons.MENU),
)

ROUTES = {
    "/today": ScreenRoute(today, message("Today"), "/today"),
    "/check-in": ScreenRoute(
        check_in,
        message("How is it now?"),
        "/diary",
        up="/today",
        correcting=message("Correct a check-in"),
    ),
    "/signs": ScreenRoute(signs, message("Warning signs"), "/diary", up="/check-in"),
    "/diary": ScreenRoute(diary, message("Diary"), "/diary"),
    "/happening": ScreenRoute(
        diary_event,
        message("Something happened"),
        "/diary",
        up="/diary",
        correcting=message("Correct what happened"),
    ),
    "/changes": ScreenRoute(changes, message("After each dose change"), "/diary", up="/diary"),
    "/log": ScreenRoute(log, message("All check-ins and notes"), "/diary", up="/diary"),
    "/measures": ScreenRoute(measures, message("Measures and goals"), "/diary", up="/diary"),
    "/measure": ScreenRoute(
        measure,
        message("A new measure"),
        "/diary",
        up="/measures",
        correcting=message("Correct a measure"),
    ),
    "/refills": ScreenRoute(refills, message("Refills"), "/refills"),
    "/refill": ScreenRoute(
        refill,
        message("A refill"),
        "/refills",
        up="/refills",
        correcting=message("Correct a refill"),
    ),
    "/visit": ScreenRoute(visit, message("Visit booked"), "/refills", up="/refills"),
    "/doses": ScreenRoute(doses, message("Dose settings"), "/more", up="/more"),
    "/dose": ScreenRoute(
        dose,
        message("A new dose setting"),
        "/more",
        up="/doses",
        correcting=message("Correct a dose setting"),
    ),
    "/reach": ScreenRoute(reach, message("What reaches the body"), "/more", up="/doses"),
    "/what-if": ScreenRoute(what_if, message("What if …"), "/more", up="/more"),
    "/questions": ScreenRoute(questions, message("Questions for the clinic"), "/more", up="/more"),
    "/sheet": ScreenRoute(sheet, message("Clinic sheet"), "/refills", up="/refills"),
    "/about-you": ScreenRoute(about_you, message("About you"), "/more", up="/more"),
    "/pump": ScreenRoute(pump, message("The pump"), "/more", up="/more"),
    "/contacts": ScreenRoute(contacts, message("Whom to call"), "/more", up="/more"),
    "/contact": ScreenRoute(
        contact,
        message("A new number to call"),
        "/more",
        up="/contacts",
        correcting=message("Correct a number"),
    ),
    "/card": ScreenRoute(
        emergency_card, message("Emergency card"), "/card", up="/today", bare=True, awake=True
    ),
    "/care": ScreenRoute(care, message("Details on the card"), "/card", up="/card"),
    "/papers": ScreenRoute(papers, message("The clinic's papers"), "/card", up="/care"),
    "/device": ScreenRoute(device, message("Life of the pump"), "/more", up="/more"),
    "/trips": ScreenRoute(trips, message("Trips"), "/more", up="/more"),
    "/trip": ScreenRoute(trip, message("A trip"), "/more", up="/trips"),
    "/trip-form": ScreenRoute(
        trip_form,
        message("Plan a trip"),
        "/more",
        up="/trips",
        correcting=message("Correct a trip"),
    ),
    "/clinic-days": ScreenRoute(clinic_days, message("Clinic days"), "/more", up="/more"),
    "/look": ScreenRoute(look, message("Text size and colours"), "/more", up="/more"),
    "/about": ScreenRoute(about, message("About and cautions"), "/more", up="/more"),
    "/backup": ScreenRoute(backup, message("Backup"), "/more", up="/more"),
    "/merge": ScreenRoute(merge, message("Bring in a copy"), "/more", up="/more"),
    "/tables": ScreenRoute(tables, message("Tables and other systems"), "/more", up="/more"),
    "/record": ScreenRoute(my_record, message("My record"), "/more", up="/more"),
    "/new-phone": ScreenRoute(new_phone, message("Move to a new phone"), "/more", up="/more"),
    "/more": ScreenRoute(more, message("More"), "/more"),
    "/start": ScreenRoute(start, message("Welcome"), "/today", bare=True),
    "/start/pump": ScreenRoute(start_pump, message("Your pump"), "/today", up="/start", bare=True),
    "/start/refill": ScreenRoute(
        start_refill, message("Your last refill"), "/today", up="/start/pump", bare=True
    ),
    "/start/copy": ScreenRoute(merge, message("Bring in a copy"), "/today", up="/start", bare=True),
    "/start/dose": ScreenRoute(
        start_dose, message("Your dose setting"), "/today", up="/start/refill", bare=True
    ),
}


def _keep_in_step(app: App[Services], services: Services) -> None:
    """Let the tab ``app`` show what another one saves, until it is closed."""
    saved, ended = services.record.on_saved, services.on_ended
    saved.append(app.changed_elsewhere)
    ended.append(app.forget_typed)
    services.on_leaving.append(app.typed.half_filled)
    app.typed.take_up(services.left_behind())

    def closed() -> None:
        saved.remove(app.changed_elsewhere)
        ended.remove(app.forget_typed)
        services.on_leaving.remove(app.typed.half_filled)

    app.on_closed = closed


def tab(services: Services, fonts: str = "fonts") -> Callable[[ft.Page], None]:
    """Return what flet calls for every tab that is opened on ``services``.

    ``fonts`` is the address at which the bundled fonts are served.
    """
    install_flet_patch()

    def opened(page: ft.Page) -> None:
        # Who chose a language at the start, and nothing yet, goes on there.
        home = "/today" if has_begun(services.record.alive) else "/start"
        scale, mode = look_of(services)
        app = App(
            page, services, ROUTES, PLACES, home=home, now=services.now,
            next_turn=services.next_turn, error_screen=error_screen,
            scale=scale, mode=mode, locale=locale(language_of(services)),
            dials=not services.is_demo,
        )  # fmt: skip
        _keep_in_step(app, services)
        app.start()
        # Fetched beside the first screen, not before it: most people never need them.
        name_fonts(page, fonts)
        page.update()

    return opened
