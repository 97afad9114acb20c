"""Undo and removal, the same for every kind of entry."""

from collections.abc import Callable

import flet as ft

from pocketpump.app.notebook import Notebook
from pocketpump.app.parts import big_button, body, quiet_button
from pocketpump.app.shell import App


def undo_of(app: App[Notebook], *entry_ids: str) -> Callable[[], None]:
    """Return what the Undo beside "saved" does: the entries are taken back."""

    def undo() -> None:
        for entry_id in entry_ids:
            app.services.record.undo(entry_id)
        app.say("That was taken back.")

    return undo


def remove_button(app: App[Notebook], entry_id: str, what: str, then: str) -> ft.Control:
    """Return the button that removes an entry; ``what`` names it, ``then`` is where it leads."""

    def remove() -> None:
        removal = app.services.record.remove(entry_id)

        def undo() -> None:
            app.services.record.undo(removal.id)
            app.say(f"The {what} is back.")

        app.go(then)
        app.say(f"The {what} was removed.", undo=undo)

    # A list may hold several with the same words.
    return quiet_button(f"Remove this {what}", app.attempt(remove), icon=ft.Icons.DELETE_OUTLINE,
                        key=f"remove:{entry_id}")  # fmt: skip


def gone(app: App[Notebook], what: str, then: str) -> list[ft.Control]:
    """Draw what stands where an entry was that is removed or replaced by now."""
    return [
        body(f"This {what} was removed or changed since."),
        big_button("See the list", lambda: app.go(then), icon=ft.Icons.LIST),
    ]
