"""What Today says of the check-ins that were noted on the opening page and are not in yet."""

import flet as ft

from pocketpump.app.parts import notice, quiet_button
from pocketpump.app.screens.undo import say_with_undo
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.messages import joined, message, plural_message


def inbox_boxes(app: App[Services]) -> list[ft.Control]:
    """Draw what is not in the record yet, and why; nothing where all is in."""
    inbox = app.services.inbox
    if inbox is None:
        return []
    boxes: list[ft.Control] = []
    if inbox.problem:
        first = message("What you noted on the first page is kept, but not in the record yet.")
        words = joined(" ", (first, inbox.problem))
        boxes.append(notice(words, needs_you=True, key="inbox:problem"))
    if inbox.foreign:
        words = plural_message(
            "{count} entry was noted on the first page for a record that is no longer here. Is it"
            " yours?",
            "{count} entries were noted on the first page for a record that is no longer here. Are"
            " they yours?",
            len(inbox.foreign),
        )
        below = [
            quiet_button(message("Bring in"), lambda: _bring(app), key="inbox:bring"),
            quiet_button(message("Delete"), lambda: _drop(app), key="inbox:drop"),
        ]
        boxes.append(notice(words, key="inbox:foreign", below=below))
    return boxes


def _bring(app: App[Services]) -> None:
    assert app.services.inbox is not None  # the button stands only where there is one
    came = app.services.inbox.bring_foreign()
    if came:
        say_with_undo(app, message("It is in the record."), *(entry.id for entry in came))
    else:
        app.refresh()


def _drop(app: App[Services]) -> None:
    assert app.services.inbox is not None
    app.services.inbox.drop_foreign()
    app.say(message("It was deleted."))
