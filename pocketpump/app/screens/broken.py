"""What stands where a screen could not be drawn: what still helps, and no riddle."""

import flet as ft

from pocketpump.app.notebook import Notebook
from pocketpump.app.parts import body, notice, quiet_button
from pocketpump.app.shell import App
from pocketpump.app.words import EMERGENCY_SIGNS
from pocketpump.core.wording import worded


def broken(app: App[Notebook]) -> list[ft.Control]:
    """Draw the ways that do not depend on what went wrong."""
    return [
        notice(
            worded(
                "This screen could not be drawn from what is in your record. Nothing is lost. Look"
                " at what you entered last, and ask the clinic for the alarm date."
            ),
            needs_you=True,
            key="broken",
        ),
        body(EMERGENCY_SIGNS),
        quiet_button(worded("Whom to call"), lambda: app.go("/contacts"), icon=ft.Icons.CONTACTS),
        quiet_button(worded("Card"), lambda: app.go("/card"), icon=ft.Icons.BADGE_OUTLINED),
        quiet_button(worded("Refills"), lambda: app.go("/refills"), icon=ft.Icons.LIST),
        quiet_button(worded("Dose settings"), lambda: app.go("/doses"), icon=ft.Icons.TUNE),
        quiet_button(
            worded("My record"), lambda: app.go("/record"), icon=ft.Icons.FACT_CHECK_OUTLINED
        ),
        quiet_button(worded("Backup"), lambda: app.go("/backup"), icon=ft.Icons.SAVE_ALT),
    ]
