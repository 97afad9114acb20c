"""Something that happened: a scan, an alarm, a fall …, with its follow-up."""

from datetime import timedelta
from typing import Any

import flet as ft

from pocketpump.app.forms.fields import Choice, Clock, Day, Words
from pocketpump.app.forms.form import Form
from pocketpump.app.parts import body, choice, notice, quiet_button
from pocketpump.app.screens.editing import of_entry
from pocketpump.app.screens.link import link
from pocketpump.app.screens.safety.alerts import noted_advice
from pocketpump.app.screens.safety.calls import clinic_call
from pocketpump.app.screens.safety.signs import open_subject
from pocketpump.app.screens.safety.ticked_signs import open_signs
from pocketpump.app.screens.undo import remove_button, say_with_undo
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.diary.check_ins import DiaryEvent
from pocketpump.core.diary.events import HAPPENINGS, Known, known_event, signs_of_event
from pocketpump.core.errors import InputError
from pocketpump.core.messages import message
from pocketpump.record import Entry
from pocketpump.record.facts.diary import diary_events_of

_OTHER = "something else"
_YES_NO = (("yes", message("Yes")), ("no", message("Not yet")))
_DIFFERENT = "different"
_FEELS = (
    ("yes", message("Yes")),
    # Note: nobody has looked yet whether the pump is in its place.
    ("no", message("Not yet looked")),
    (_DIFFERENT, message("No, it feels different")),
)
_NOW = timedelta(hours=48)
"""What happened before is looked back at; what to do now is not asked of it (own choice)."""


def _own_words(text: str) -> str:
    if len(text) > 80:
        raise InputError(message("Use at most 80 letters here; the rest fits into the note."))
    return text


_FIELDS = (
    Words("own words", message("In your words"), reader=_own_words,
          needed=message("Write what happened.")),
    Day("day", message("Day")),
    Clock("time", message("Time, about")),
    Words("note", message("Note"), lines=2),
)  # fmt: skip


def diary_event(app: App[Services]) -> list[ft.Control]:
    """Draw the form, new or for the one that the route's ``id`` names."""
    return of_entry(app, "happening", lambda old: _form(app, old), "/diary")


def _form(app: App[Services], old: Entry | None) -> list[ft.Control]:
    services = app.services
    form_name = f"happening:{app.query.get('id', '')}"
    form = Form(app, form_name, _defaults(services, old), fields=_FIELDS)
    now = services.now_there(old)
    what = form.text("what")
    may_come = known_event(what).may_come
    at = form.instant("day", "time", latest=now, may_come=may_come)
    if not what:
        form.fail("what", message("Tap what happened."))
    if what == _OTHER:
        what = form.answer("own words") or ""
    known = known_event(what)

    def save() -> None:
        assert at is not None  # a form without an error has an instant
        payload = {"what": what, **form.payload("note")}
        if known.follow_up:
            payload["follow_up_done"] = form.text("done") == "yes"
        if known.if_different and form.text("done") == _DIFFERENT:
            payload["feels_different"] = True
        entry = services.save("happening", at, payload, old.id if old else "")
        form.clear()
        _lead_on(app, known, diary_events_of([entry])[0])
        say_with_undo(
            app,
            message("The note is corrected.") if old else message("The note is saved."),
            entry.id,
        )

    def choose(picked: str) -> None:
        app.draft(form_name)["choosing"] = ""
        form.put("what", picked)

    options = [(one.what, one.words.capitalize()) for one in HAPPENINGS]
    options.append((_OTHER, message("Something else")))
    chosen = [(one, words) for one, words in options if one == form.text("what")]
    # Once it is chosen the long list is in the way of what is asked about it.
    folded = bool(chosen) and not form.text("choosing")
    controls: list[ft.Control] = [
        choice(message("What happened?"), chosen if folded else options, form.text("what"), choose,
               error=form.error("what")),
    ]  # fmt: skip
    if folded:
        controls.append(
            quiet_button(message("It was something else"), lambda: form.put("choosing", "yes"),
                         icon=ft.Icons.EXPAND_MORE)
        )  # fmt: skip
    if form.text("what") == _OTHER:
        controls.append(form.ask("own words"))
    if known.told:
        controls.append(notice(known.told, needs_you=True, key="told"))
        controls.append(clinic_call(app))
    controls += [form.ask("day", now.date()), form.ask("time", now.time())]
    if known.follow_up:
        answers, in_row = (_FEELS, False) if known.if_different else (_YES_NO, True)
        controls.append(Choice("done", known.follow_up, options=answers, in_row=in_row).draw(form))
    controls += [
        form.ask("note"),
        body(message("If you feel unwell, look at the warning signs."), soft=True),
        link(app, message("Warning signs"), "/signs", ft.Icons.HEARING),
        *form.save_button(message("Save the note"), save),
    ]
    if old is not None:
        controls.append(remove_button(app, old.id, "note", "/diary"))
    return controls


def _lead_on(app: App[Services], known: Known, noted: DiaryEvent) -> None:
    """Show what belongs to what was just noted: the warning signs, with what it is ticked."""
    is_open = bool(known.follow_up) and not noted.follow_up_done
    now = app.services.now()
    # How the pump feels is asked of now, however long ago the fall was.
    is_lately = now - noted.at <= _NOW or noted.feels_different
    noticed = now if noted.feels_different else noted.at
    signs = dict.fromkeys(signs_of_event(noted), noticed)
    if is_lately and signs:
        open_signs(app, signs)
    elif is_lately and is_open and known.near:
        open_subject(app, known.near)
        app.go("/signs")
    else:
        # Open questions stand on Today, and what else asks for a call.
        app.go("/today" if is_open or noted_advice(app.services) else "/diary")


def _defaults(services: Services, old: Entry | None) -> dict[str, Any]:
    at = old.at if old else services.now()
    texts = {"day": at.date().isoformat(), "time": f"{at:%H:%M}", "done": "no"}
    if old is None:
        return texts
    what = str(old.payload.get("what", ""))
    known = any(one.what == what for one in HAPPENINGS)
    texts |= {"what": what if known else _OTHER, "own words": "" if known else what}
    texts["note"] = str(old.payload.get("note", ""))
    texts["done"] = "yes" if old.payload.get("follow_up_done") else "no"
    if texts["done"] == "no" and old.payload.get("feels_different"):
        texts["done"] = _DIFFERENT
    return texts
