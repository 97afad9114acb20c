"""One row of a list: where it cannot be drawn that is said, and the other rows are drawn."""

import traceback
from collections.abc import Callable

import flet as ft

from pocketpump.app.parts import notice
from pocketpump.app.screens.undo import remove_button
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.messages import message
from pocketpump.exchange.backup.import_preview import name_of


def row(app: App[Services], entry_id: str, draw: Callable[[], ft.Control]) -> ft.Control:
    """Return what ``draw`` makes of an entry; if it cannot, a box that names it and removes it.

    What cannot be read was left out before. This is for a defect of ours: the error itself
    goes to the error output.
    """
    try:
        return draw()
    except Exception:
        traceback.print_exc()
    entry = app.services.find(entry_id)
    what = name_of(entry, app.services.zone) if entry else ""
    below = [remove_button(app, entry.id, what, app.route)] if entry else []
    return notice(
        message("One entry here cannot be shown. It is kept, and the others are as they were."),
        needs_you=True, key=f"not shown:{entry_id}", below=below,
    )  # fmt: skip
