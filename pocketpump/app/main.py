"""Puts the screens together: the map of routes and the function that flet calls for a tab."""

from collections.abc import Callable

import flet as ft

from pocketpump.app.frame import Place
from pocketpump.app.notebook import Notebook
from pocketpump.app.screens.about_you import about_you
from pocketpump.app.screens.backup import backup
from pocketpump.app.screens.clinic_days import clinic_days
from pocketpump.app.screens.dose import dose
from pocketpump.app.screens.doses import doses
from pocketpump.app.screens.merge import merge
from pocketpump.app.screens.more import about, look, look_of, more
from pocketpump.app.screens.my_record import my_record, new_phone
from pocketpump.app.screens.pump import pump
from pocketpump.app.screens.questions import questions
from pocketpump.app.screens.reach import reach
from pocketpump.app.screens.refill import refill
from pocketpump.app.screens.refills import refills
from pocketpump.app.screens.sheet import sheet
from pocketpump.app.screens.start import start, start_dose, start_pump, start_refill
from pocketpump.app.screens.tables import tables
from pocketpump.app.screens.today import today
from pocketpump.app.screens.what_if import what_if
from pocketpump.app.shell import App, Stop

PLACES = (
    Place("/today", "Today", ft.Icons.WATER_DROP_OUTLINED),
    Place("/refills", "Refills", ft.Icons.EVENT_REPEAT),
    Place("/more", "More", ft.Icons.MENU),
)

STOPS = {
    "/today": Stop(today, "Today", "/today"),
    "/refills": Stop(refills, "Refills", "/refills"),
    "/refill": Stop(refill, "A refill", "/refills", up="/refills"),
    "/doses": Stop(doses, "Dose settings", "/more", up="/more"),
    "/dose": Stop(dose, "A dose setting", "/more", up="/doses"),
    "/reach": Stop(reach, "What reaches the body", "/more", up="/doses"),
    "/what-if": Stop(what_if, "What if …", "/more", up="/more"),
    "/questions": Stop(questions, "Questions for the clinic", "/more", up="/more"),
    "/sheet": Stop(sheet, "Clinic sheet", "/refills", up="/refills"),
    "/about-you": Stop(about_you, "About you", "/more", up="/more"),
    "/pump": Stop(pump, "The pump", "/more", up="/more"),
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


def tab(notebook: Notebook) -> Callable[[ft.Page], None]:
    """Return what flet calls for every tab that is opened on ``notebook``."""

    def opened(page: ft.Page) -> None:
        home = "/today" if notebook.record.alive else "/start"
        scale, mode = look_of(notebook)
        App(page, notebook, STOPS, PLACES, home=home, scale=scale, mode=mode).start()

    return opened
