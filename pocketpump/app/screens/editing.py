"""The form of an entry: a new one, or the newest version of the one that the route names.

The browser's back leads to forms of entries that were corrected or removed since. A correction
must never become a second entry, so the route's ``id`` is looked up here and nowhere else.
"""

from collections.abc import Callable

import flet as ft

from pocketpump.app.forms.form import Form
from pocketpump.app.parts import big_button, body, quiet_button
from pocketpump.app.screens.undo import remove_button
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.messages import message
from pocketpump.record import Entry

_GONE = {
    "check-in": message("This check-in was removed, or it is not in this record."),
    "contact": message("This number was removed, or it is not in this record."),
    "happening": message("This note was removed, or it is not in this record."),
    "measure": message("This measure was removed, or it is not in this record."),
    "programme": message("This dose setting was removed, or it is not in this record."),
    "refill": message("This refill was removed, or it is not in this record."),
    "trip": message("This trip was removed, or it is not in this record."),
}


def of_entry(
    app: App[Services], kind: str, form: Callable[[Entry | None], list[ft.Control]], then: str
) -> list[ft.Control]:
    """Draw ``form`` for the entry of ``kind`` that the route names, None for a new one.

    Where there is none left, say so and lead to the list at ``then``.
    """
    entry_id = app.query.get("id")
    if entry_id is None:
        return form(None)
    entry = app.services.newest_version(entry_id)
    if entry is not None and entry.kind == kind:
        return form(entry)
    return [
        body(_GONE[kind]),
        big_button(message("See the list"), lambda: app.go(then), icon=ft.Icons.LIST),
    ]


def correction_buttons(
    app: App[Services],
    form: Form,
    old: Entry | None,
    what: str,
    then: str,
    leave: Callable[[], None] | None = None,
) -> list[ft.Control]:
    """Return how to leave ``old`` as it was, or to remove it as ``what``; nothing for a new one.

    Both lead to the list at ``then``. In the first run ``leave`` leads on, and nothing is removed.
    """
    if old is None:
        return []
    if leave is not None:
        return [leave_button(form, leave)]
    return [leave_button(form, lambda: app.go(then)), remove_button(app, old.id, what, then)]


def leave_button(form: Form, leave: Callable[[], None]) -> ft.Control:
    """Return the button of a correction that forgets what was typed and does ``leave``."""

    def tapped() -> None:
        form.clear()
        leave()

    return quiet_button(message("Leave it as it was"), tapped)
