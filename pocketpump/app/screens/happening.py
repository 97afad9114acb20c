"""Something that happened: a scan, an alarm, a fall …, with its follow-up."""

from typing import Any

import flet as ft

from pocketpump.app.forms import Form
from pocketpump.app.notebook import Notebook
from pocketpump.app.parts import body, choice, date_field, quiet_button, text_field, time_field
from pocketpump.app.screens.heed import noted_advice
from pocketpump.app.screens.taking_back import remove_button, undo_of
from pocketpump.app.shell import App
from pocketpump.core.errors import InputError
from pocketpump.core.happenings import HAPPENINGS, follow_up_of
from pocketpump.core.wording import worded
from pocketpump.record import Entry

_OTHER = "something else"
_YES_NO = (("yes", worded("Yes")), ("no", worded("Not yet")))


def happening(app: App[Notebook]) -> list[ft.Control]:
    """Draw the form, new or for the happening that the route's ``id`` names."""
    notebook = app.services
    old = notebook.find(app.query.get("id", ""))
    form = Form(app, f"happening:{old.id if old else ''}", _defaults(notebook, old))
    now = notebook.now_there(old)
    at = form.instant("day", "time", latest=now)
    what = form.text("what")
    if not what:
        form.fail("what", worded("Tap what happened."))
    if what == _OTHER:
        what = form.read("own words", _own_words, needed=worded("Write what happened.")) or ""
    follow_up = follow_up_of(what)

    def save() -> None:
        assert at is not None  # a form without trouble has an instant
        payload: dict[str, Any] = {"what": what}
        if form.text("note").strip():
            payload["note"] = form.text("note").strip()
        if follow_up:
            payload["follow_up_done"] = form.text("done") == "yes"
        entry = notebook.save("happening", at, payload, old.id if old else "")
        form.clear()
        # What asks for a call is told on Today, with the numbers to tap.
        app.go("/today" if noted_advice(notebook) else "/diary")
        app.say(
            worded("The note is corrected.") if old else worded("The note is saved."),
            undo=undo_of(app, entry.id),
        )

    options = [(known.what, known.words.capitalize()) for known in HAPPENINGS]
    controls: list[ft.Control] = [
        choice(worded("What happened?"), [*options, (_OTHER, worded("Something else"))],
               form.text("what"), form.typed("what"), error=form.error("what")),
    ]  # fmt: skip
    if form.text("what") == _OTHER:
        controls.append(
            text_field(worded("In your words"), form.text("own words"), form.typed("own words"),
                       error=form.error("own words"))
        )  # fmt: skip
    controls += [
        date_field(worded("Day"), form.text("day"), form.typed("day"), today=now.date(),
                   error=form.error("day")),
        time_field(worded("Time, about"), form.text("time"), form.typed("time"), now=now.time(),
                   error=form.error("time")),
    ]  # fmt: skip
    if follow_up:
        controls.append(
            choice(follow_up, _YES_NO, form.text("done"), form.typed("done"), in_row=True)
        )
    controls += [
        text_field(worded("Note"), form.text("note"), form.typed("note"), lines=2),
        body(worded("If you feel unwell, look at the warning signs."), soft=True),
        quiet_button(worded("Warning signs"), lambda: app.go("/signs"), icon=ft.Icons.HEARING),
        *form.save_button(worded("Save the note"), save),
    ]
    if old is not None:
        controls.append(remove_button(app, old.id, "note", "/diary"))
    return controls


def _own_words(text: str) -> str:
    if len(text) > 80:
        raise InputError(worded("Use at most 80 letters here; the rest fits into the note."))
    return text


def _defaults(notebook: Notebook, old: Entry | None) -> dict[str, Any]:
    at = old.at if old else notebook.now()
    texts = {"day": at.date().isoformat(), "time": f"{at:%H:%M}", "done": "no"}
    if old is None:
        return texts
    what = str(old.payload.get("what", ""))
    known = any(one.what == what for one in HAPPENINGS)
    texts |= {"what": what if known else _OTHER, "own words": "" if known else what}
    texts["note"] = str(old.payload.get("note", ""))
    texts["done"] = "yes" if old.payload.get("follow_up_done") else "no"
    return texts
