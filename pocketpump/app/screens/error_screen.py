"""The screen in the place of one that could not be drawn: what still helps, and the way there."""

import flet as ft

from pocketpump.app.parts import body, notice, quiet_button
from pocketpump.app.screens.undo import undo_of
from pocketpump.app.services import Services
from pocketpump.app.shared_texts import EMERGENCY_SIGNS
from pocketpump.app.shell.shell import App
from pocketpump.core.messages import message
from pocketpump.exchange.backup.import_preview import name_of


def _take_back(app: App[Services]) -> list[ft.Control]:
    """Draw what takes back the entry saved last, likely the one that cannot be drawn."""
    last = app.services.record.last_saved
    if last is None:
        return []

    def take_back() -> None:
        removal = app.services.record.undo(last.id)
        app.say(message("That was taken back."), undo=undo_of(app, removal.id))

    what = name_of(last, app.services.zone)
    return [
        # Note: {what} is an entry with its day, like "refill of Thu 26 Feb 2026".
        quiet_button(message("Take back what was saved last: {what}", what=what),
                     take_back, icon=ft.Icons.UNDO, key="take back"),
    ]  # fmt: skip


def error_screen(app: App[Services]) -> list[ft.Control]:
    """Draw the ways that do not depend on what went wrong."""
    return [
        notice(
            message(
                "This screen could not be drawn from what is in your record. Nothing is lost. Look"
                " at what you entered last, and ask the clinic for the alarm date."
            ),
            needs_you=True,
            key="broken",
        ),
        body(EMERGENCY_SIGNS),
        quiet_button(message("Whom to call"), lambda: app.go("/contacts"), icon=ft.Icons.CONTACTS),
        quiet_button(message("Card"), lambda: app.go("/card"), icon=ft.Icons.BADGE_OUTLINED),
        quiet_button(message("Backup"), lambda: app.go("/backup"), icon=ft.Icons.SAVE_ALT),
        *_take_back(app),
        quiet_button(message("Refills"), lambda: app.go("/refills"), icon=ft.Icons.LIST),
        quiet_button(message("Dose settings"), lambda: app.go("/doses"), icon=ft.Icons.TUNE),
        quiet_button(
            message("My record"), lambda: app.go("/record"), icon=ft.Icons.FACT_CHECK_OUTLINED
        ),
    ]
