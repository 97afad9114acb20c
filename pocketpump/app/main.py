"""Puts the screens together: the map of routes and the function that flet calls for a tab."""

from collections.abc import Callable

import flet as ft

from pocketpump.app.fonts import name_fonts
from pocketpump.app.frame import Place
from pocketpump.app.notebook import Notebook
from pocketpump.app.screens.about_you import about_you
from pocketpump.app.screens.backup import backup
from pocketpump.app.screens.broken import broken
from pocketpump.app.screens.card import emergency_card
from pocketpump.app.screens.care import care
from pocketpump.app.screens.changes import changes
from pocketpump.app.screens.check_in import check_in
from pocketpump.app.screens.clinic_days import clinic_days
from pocketpump.app.screens.contacts import contact, contacts
from pocketpump.app.screens.device import device
from pocketpump.app.screens.diary import diary
from pocketpump.app.screens.dose import dose
from pocketpump.app.screens.doses import doses
from pocketpump.app.screens.happening import happening
from pocketpump.app.screens.log import log
from pocketpump.app.screens.measures import measure, measures
from pocketpump.app.screens.merge import merge
from pocketpump.app.screens.more import about, look, look_of, more
from pocketpump.app.screens.my_record import my_record, new_phone
from pocketpump.app.screens.papers import papers
from pocketpump.app.screens.pump import pump
from pocketpump.app.screens.questions import questions
from pocketpump.app.screens.reach import reach
from pocketpump.app.screens.refill import refill
from pocketpump.app.screens.refills import refills
from pocketpump.app.screens.sheet import sheet
from pocketpump.app.screens.signs import signs
from pocketpump.app.screens.start import start, start_dose, start_pump, start_refill
from pocketpump.app.screens.tables import tables
from pocketpump.app.screens.today import today
from pocketpump.app.screens.trip import trip, trip_form, trips
from pocketpump.app.screens.what_if import what_if
from pocketpump.app.shell import App, Stop

PLACES = (
    Place("/today", "Today", ft.Icons.WATER_DROP_OUTLINED),
    Place("/diary", "Diary", ft.Icons.SHOW_CHART),
    Place("/refills", "Refills", ft.Icons.EVENT_REPEAT),
    Place("/card", "Card", ft.Icons.BADGE_OUTLINED),
    Place("/more", "More", ft.Icons.MENU),
)

STOPS = {
    "/today": Stop(today, "Today", "/today"),
    "/check-in": Stop(
        check_in, "How is it now?", "/diary", up="/today", correcting="Correct a check-in"
    ),
    "/signs": Stop(signs, "Warning signs", "/diary", up="/check-in"),
    "/diary": Stop(diary, "Diary", "/diary"),
    "/happening": Stop(
        happening, "Something happened", "/diary", up="/diary", correcting="Correct what happened"
    ),
    "/changes": Stop(changes, "What each change did", "/diary", up="/diary"),
    "/log": Stop(log, "All check-ins and notes", "/diary", up="/diary"),
    "/measures": Stop(measures, "Measures and goals", "/diary", up="/diary"),
    "/measure": Stop(
        measure, "A new measure", "/diary", up="/measures", correcting="Correct a measure"
    ),
    "/refills": Stop(refills, "Refills", "/refills"),
    "/refill": Stop(refill, "A refill", "/refills", up="/refills", correcting="Correct a refill"),
    "/doses": Stop(doses, "Dose settings", "/more", up="/more"),
    "/dose": Stop(
        dose, "A new dose setting", "/more", up="/doses", correcting="Correct a dose setting"
    ),
    "/reach": Stop(reach, "What reaches the body", "/more", up="/doses"),
    "/what-if": Stop(what_if, "What if …", "/more", up="/more"),
    "/questions": Stop(questions, "Questions for the clinic", "/more", up="/more"),
    "/sheet": Stop(sheet, "Clinic sheet", "/refills", up="/refills"),
    "/about-you": Stop(about_you, "About you", "/more", up="/more"),
    "/pump": Stop(pump, "The pump", "/more", up="/more"),
    "/contacts": Stop(contacts, "Whom to call", "/more", up="/more"),
    "/contact": Stop(
        contact, "A new number to call", "/more", up="/contacts", correcting="Change a number"
    ),
    "/card": Stop(emergency_card, "Emergency card", "/card", up="/today", bare=True, awake=True),
    "/care": Stop(care, "Details on the card", "/card", up="/card"),
    "/papers": Stop(papers, "The clinic's papers", "/card", up="/care"),
    "/device": Stop(device, "Life of the pump", "/more", up="/more"),
    "/trips": Stop(trips, "Trips", "/more", up="/more"),
    "/trip": Stop(trip, "A trip", "/more", up="/trips"),
    "/trip-form": Stop(trip_form, "Plan a trip", "/more", up="/trips", correcting="Change a trip"),
    "/clinic-days": Stop(clinic_days, "Clinic days", "/more", up="/more"),
    "/look": Stop(look, "Text size and colours", "/more", up="/more"),
    "/about": Stop(about, "About and cautions", "/more", up="/more"),
    "/backup": Stop(backup, "Backup", "/more", up="/more"),
    "/merge": Stop(merge, "Bring in a copy", "/more", up="/more"),
    "/tables": Stop(tables, "Tables and other systems", "/more", up="/more"),
    "/record": Stop(my_record, "My record", "/more", up="/more"),
    "/new-phone": Stop(new_phone, "Move to a new phone", "/more", up="/more"),
    "/more": Stop(more, "More", "/more"),
    "/start": Stop(start, "Welcome", "/today", bare=True),
    "/start/pump": Stop(start_pump, "Your pump", "/today", up="/start", bare=True),
    "/start/refill": Stop(start_refill, "Your last refill", "/today", up="/start/pump", bare=True),
    "/start/copy": Stop(merge, "Bring in a copy", "/today", up="/start", bare=True),
    "/start/dose": Stop(start_dose, "Your dose setting", "/today", up="/start/refill", bare=True),
}


def tab(notebook: Notebook, fonts: str = "fonts") -> Callable[[ft.Page], None]:
    """Return what flet calls for every tab that is opened on ``notebook``.

    ``fonts`` is the address at which the bundled fonts are served.
    """

    def opened(page: ft.Page) -> None:
        home = "/today" if notebook.record.alive else "/start"
        scale, mode = look_of(notebook)
        App(
            page, notebook, STOPS, PLACES, home=home, now=notebook.now, broken=broken,
            scale=scale, mode=mode,
        ).start()  # fmt: skip
        # Fetched beside the first screen, not before it: most people never need them.
        name_fonts(page, fonts)
        page.update()

    return opened
