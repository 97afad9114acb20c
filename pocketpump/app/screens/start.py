"""The first run: from nothing to a countdown in three steps."""

import flet as ft

from pocketpump.app.notebook import Notebook
from pocketpump.app.parts import big_button, body, quiet_button
from pocketpump.app.screens.dose import dose_form
from pocketpump.app.screens.pump import pump_form
from pocketpump.app.screens.refill import refill_form
from pocketpump.app.shell import App
from pocketpump.app.words import CAUTION


def start(app: App[Notebook]) -> list[ft.Control]:
    """Draw the welcome."""
    return [
        body(
            "PocketPump keeps what your clinic tells you about your baclofen pump and works out"
            " when it must be refilled."
        ),
        body("Have the printout of your last refill ready. Three short steps follow."),
        big_button("Begin", lambda: app.go("/start/pump"), icon=ft.Icons.ARROW_FORWARD),
        quiet_button("I have a backup", lambda: app.go("/start/copy"), icon=ft.Icons.FOLDER_OPEN),
        body("What you enter stays on this device. Nothing is sent anywhere.", soft=True),
        body(CAUTION, soft=True),
    ]


def start_pump(app: App[Notebook]) -> list[ft.Control]:
    """Draw step 1."""
    return [body("Step 1 of 3.", soft=True), *pump_form(app, lambda: app.go("/start/refill"))]


def start_refill(app: App[Notebook]) -> list[ft.Control]:
    """Draw step 2."""
    return [body("Step 2 of 3.", soft=True), *refill_form(app, lambda: app.go("/start/dose"))]


def start_dose(app: App[Notebook]) -> list[ft.Control]:
    """Draw step 3."""
    return [body("Step 3 of 3.", soft=True), *dose_form(app, lambda: app.go("/today"))]
