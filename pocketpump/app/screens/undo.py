"""Undo and removal, the same for every kind of entry."""

from collections.abc import Callable
from typing import NamedTuple

import flet as ft

from pocketpump.app.parts import quiet_button
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.messages import message


class _Removed(NamedTuple):
    """The button that removes an entry, what is said then, and what when it is undone."""

    button: str
    gone: str
    back: str


_REMOVED = {
    "check-in": _Removed(message("Remove this check-in"), message("The check-in was removed."),
                         message("The check-in is back.")),
    "dose setting": _Removed(message("Remove this dose setting"),
                             message("The dose setting was removed."),
                             message("The dose setting is back.")),
    "measure": _Removed(message("Remove this measure"), message("The measure was removed."),
                        message("The measure is back.")),
    "note": _Removed(message("Remove this note"), message("The note was removed."),
                     message("The note is back.")),
    "number": _Removed(message("Remove this number"), message("The number was removed."),
                       message("The number is back.")),
    "picture": _Removed(message("Remove this picture"), message("The picture was removed."),
                        message("The picture is back.")),
    "question": _Removed(message("Remove this question"), message("The question was removed."),
                         message("The question is back.")),
    "refill": _Removed(message("Remove this refill"), message("The refill was removed."),
                       message("The refill is back.")),
    "trip": _Removed(message("Remove this trip"), message("The trip was removed."),
                     message("The trip is back.")),
}  # fmt: skip


def undo_of(app: App[Services], *entry_ids: str) -> Callable[[], None]:
    """Return what the Undo beside "saved" does: the entries are taken back."""

    def undo() -> None:
        app.services.record.undo_many(entry_ids)
        app.say(message("That was taken back."))

    return undo


def say_with_undo(app: App[Services], text: str, *entry_ids: str) -> None:
    """Say ``text`` of the entries just saved, beside it what takes them back."""
    app.say(text, undo=undo_of(app, *entry_ids))


def remove_button(app: App[Services], entry_id: str, what: str, then: str) -> ft.Control:
    """Return the button that removes an entry; ``what`` names it, ``then`` is where it leads."""
    said = _REMOVED.get(what)
    # Note: {what} is an entry with its day, like "refill of Thu 26 Feb 2026".
    button = said.button if said else message("Remove this {what}", what=what)

    def remove() -> None:
        removal = app.services.record.remove(entry_id)

        def undo() -> None:
            app.services.record.undo(removal.id)
            # Note: {what} is an entry with its day, like "refill of Thu 26 Feb 2026".
            app.say(said.back if said else message("The {what} is back.", what=what))

        app.go(then)
        # Note: {what} is an entry with its day, like "refill of Thu 26 Feb 2026".
        words = said.gone if said else message("The {what} was removed.", what=what)
        app.say(words, undo=undo)

    # A list may hold several with the same words.
    return quiet_button(button, remove, icon=ft.Icons.DELETE_OUTLINE, key=f"remove:{entry_id}")
