"""Undo and removal, the same for every kind of entry."""

from collections.abc import Callable
from typing import NamedTuple

import flet as ft

from pocketpump.app.parts import quiet_button
from pocketpump.app.services import Notebook
from pocketpump.app.shell.shell import App
from pocketpump.core.messages import worded


class _Removed(NamedTuple):
    """The button that removes an entry, what is said then, and what when it is undone."""

    button: str
    gone: str
    back: str


_REMOVED = {
    "check-in": _Removed(
        worded("Remove this check-in"),
        worded("The check-in was removed."),
        worded("The check-in is back."),
    ),
    "dose setting": _Removed(
        worded("Remove this dose setting"),
        worded("The dose setting was removed."),
        worded("The dose setting is back."),
    ),
    "measure": _Removed(
        worded("Remove this measure"),
        worded("The measure was removed."),
        worded("The measure is back."),
    ),
    "note": _Removed(
        worded("Remove this note"), worded("The note was removed."), worded("The note is back.")
    ),
    "number": _Removed(
        worded("Remove this number"),
        worded("The number was removed."),
        worded("The number is back."),
    ),
    "picture": _Removed(
        worded("Remove this picture"),
        worded("The picture was removed."),
        worded("The picture is back."),
    ),
    "question": _Removed(
        worded("Remove this question"),
        worded("The question was removed."),
        worded("The question is back."),
    ),
    "refill": _Removed(
        worded("Remove this refill"),
        worded("The refill was removed."),
        worded("The refill is back."),
    ),
    "trip": _Removed(
        worded("Remove this trip"), worded("The trip was removed."), worded("The trip is back.")
    ),
}


def undo_of(app: App[Notebook], *entry_ids: str) -> Callable[[], None]:
    """Return what the Undo beside "saved" does: the entries are taken back."""

    def undo() -> None:
        app.services.record.undo_many(entry_ids)
        app.say(worded("That was taken back."))

    return undo


def remove_button(app: App[Notebook], entry_id: str, what: str, then: str) -> ft.Control:
    """Return the button that removes an entry; ``what`` names it, ``then`` is where it leads."""
    said = _REMOVED.get(what)
    # Note: {what} is an entry with its day, like "refill of Thu 26 Feb 2026".
    button = said.button if said else worded("Remove this {what}", what=what)

    def remove() -> None:
        removal = app.services.record.remove(entry_id)

        def undo() -> None:
            app.services.record.undo(removal.id)
            # Note: {what} is an entry with its day, like "refill of Thu 26 Feb 2026".
            app.say(said.back if said else worded("The {what} is back.", what=what))

        app.go(then)
        # Note: {what} is an entry with its day, like "refill of Thu 26 Feb 2026".
        words = said.gone if said else worded("The {what} was removed.", what=what)
        app.say(words, undo=undo)

    # A list may hold several with the same words.
    return quiet_button(button, remove, icon=ft.Icons.DELETE_OUTLINE,
                        key=f"remove:{entry_id}")  # fmt: skip
