"""The screen in the place of one that could not be drawn: what still helps, and the way there."""

import flet as ft

from pocketpump.app.parts import body, notice, quiet_button
from pocketpump.app.screens.link import link
from pocketpump.app.screens.undo import say_with_undo
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
        say_with_undo(app, message("That was taken back."), removal.id)

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
        link(app, message("Whom to call"), "/contacts", ft.Icons.CONTACTS),
        link(app, message("Card"), "/card", ft.Icons.BADGE_OUTLINED),
        link(app, message("Backup"), "/backup", ft.Icons.SAVE_ALT),
        *_take_back(app),
        link(app, message("Refills"), "/refills", ft.Icons.LIST),
        link(app, message("Dose settings"), "/doses", ft.Icons.TUNE),
        link(app, message("My record"), "/record", ft.Icons.FACT_CHECK_OUTLINED),
    ]
