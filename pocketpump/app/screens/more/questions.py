"""Questions for the clinic: noted when they come to mind, ticked off at the visit."""

from collections.abc import Mapping
from functools import partial
from typing import Any

import flet as ft

from pocketpump.app.forms.fields import Words
from pocketpump.app.forms.form import Form
from pocketpump.app.parts import body, card, quiet_button, section
from pocketpump.app.screens.list_row import row
from pocketpump.app.screens.undo import remove_button, say_with_undo
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.messages import message
from pocketpump.record import Entry

_TEXT = Words("text", message("A question for the next visit"), lines=3,
              needed=message("Write the question first."),
              helper=message("Open questions stand on the clinic sheet."))  # fmt: skip


def questions(app: App[Services]) -> list[ft.Control]:
    """Draw the open questions, a box for a new one, and those that were answered."""
    services = app.services
    form = Form(app, "question", {}, fields=[_TEXT])

    def save() -> None:
        entry = services.save("question", services.now(), form.payload())
        form.clear()
        say_with_undo(app, message("The question is saved."), entry.id)

    entries = services.of_kind("question")
    asked = [entry for entry in entries if not entry.payload.get("answered")]
    answered = [entry for entry in entries if entry.payload.get("answered")]
    controls: list[ft.Control] = [
        form.ask("text"),
        *form.save_button(message("Save the question"), save),
    ]
    if asked:
        # Note: questions that are still open.
        controls.append(section(message("Open")))
    controls += [row(app, e.id, partial(_question, app, e)) for e in reversed(asked)]
    if answered:
        controls.append(section(message("Answered")))
    controls += [row(app, e.id, partial(_question, app, e)) for e in reversed(answered)]
    return controls


def _question(app: App[Services], entry: Entry) -> ft.Control:
    payload: Mapping[str, Any] = entry.payload
    answered = bool(payload.get("answered"))

    def turn() -> None:
        changed = app.services.save(
            "question", entry.at, {"text": payload["text"], "answered": not answered}, entry.id
        )
        say_with_undo(
            app,
            message("The question is noted as open again.")
            if answered
            else message("The question is noted as answered."),
            changed.id,
        )

    return card(
        [
            body(str(payload["text"])),
            # No icon: beside one, "answered" would break on a small phone with the largest text.
            quiet_button(
                message("Open again") if answered else message("Answered"),
                turn,
                key=f"turn:{entry.id}",
            ),
            remove_button(app, entry.id, "question", "/questions"),
        ]
    )
