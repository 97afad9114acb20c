"""The check-in: one tap on a number and one on Save; everything else folds out."""

from datetime import datetime
from typing import Any

import flet as ft

from pocketpump.app.forms.fields import Choice, Clock, Day, Score, Words, YesNo
from pocketpump.app.forms.form import Form
from pocketpump.app.parts import body, check_boxes, quiet_button
from pocketpump.app.screens.editing import of_entry
from pocketpump.app.screens.link import link
from pocketpump.app.screens.safety.ticked_signs import (
    DRAFT,
    FIELD,
    SEDATIVES,
    asks_for_sedatives,
    question,
)
from pocketpump.app.screens.undo import remove_button, say_with_undo
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.diary.check_ins import (
    SEVERITY_WORDS,
    SIDE_EFFECTS,
    SPASM_WORDS,
    side_effect_words,
)
from pocketpump.core.messages import message
from pocketpump.core.safety.signs import sign_words
from pocketpump.record import Entry

_WHEN = Choice("when", message("When was it?"), in_row=True,
               options=(("now", message("Now")), ("earlier", message("Earlier"))))  # fmt: skip
_MORE_SCORES = (
    Score("pain", message("Pain"), helper=message("0 no pain, 10 the worst pain")),
    Score("sleep", message("Sleep last night"), helper=message("0 very bad, 10 very good")),
    Score("sleepiness", message("Sleepiness"),
          helper=message("0 wide awake, 10 cannot stay awake")),
    Score("ease", message("Walking and moving over"),
          helper=message("0 not possible, 10 very easy")),
)  # fmt: skip
STIFFNESS_NOW = Score("stiffness", message("Stiffness now"),
                      helper=message("0 none, 10 the worst"),
                      needed=message("Tap a number for stiffness."))  # fmt: skip
SPASMS_NOW = Score("spasms", message("Spasms"), most=4, columns=3,
                   helper=message("0 none, 4 more than ten an hour; may stay empty"))  # fmt: skip
_FIELDS = (
    STIFFNESS_NOW,
    SPASMS_NOW,
    Choice("severity", message("How strong?"), in_row=True,
           options=[(str(level), word) for level, word in enumerate(SEVERITY_WORDS, start=1)]),
    *_MORE_SCORES,
    YesNo("tablets_as_planned", message("Tablets taken as planned?")),
    # Note: a few words of the person's own.
    Words("note", message("Note"), lines=2),
)  # fmt: skip


def check_in(app: App[Services]) -> list[ft.Control]:
    """Draw the check-in, new or the one that the route's ``id`` names."""
    return of_entry(app, "check-in", lambda old: _form(app, old), "/log")


def _form(app: App[Services], old: Entry | None) -> list[ft.Control]:
    services = app.services
    name = f"{DRAFT}{app.query.get('id', '')}"
    form = Form(app, name, _defaults(services, old), fields=_FIELDS, kind="check-in")
    now = services.now()
    there = services.now_there(old)
    at = now if form.text("when") == "now" else form.instant("day", "time", latest=there)
    payload = _read(form)
    asked = question(form, services.now) if old is None else []
    if asked:
        form.fail(FIELD, message("Say first whether what you ticked is still there."))

    def save() -> None:
        assert at is not None  # a form without an error has an instant
        entry = services.save("check-in", at, payload, old.id if old else "")
        form.clear()
        app.go("/log" if old else "/today")
        words = message("The check-in is corrected.") if old else message("The check-in is saved.")
        say_with_undo(app, words, entry.id)

    more = _more(form, there) if form.text("more") else []
    controls: list[ft.Control] = [
        form.ask("stiffness"),
        *_spasms(form),
        *form.beside(FIELD, asked),
        *form.save_button(message("Save"), save),
        *_worries(app, form, new=old is None, asked=bool(asked)),
    ]
    if not more:
        controls.append(
            quiet_button(
                message("Add more"), lambda: form.put("more", "yes"), icon=ft.Icons.EXPAND_MORE
            )
        )
        return controls
    controls += more
    # Once folded out, the way back up to Save is long.
    controls += form.save_button(message("Save the check-in"), save)
    if old is not None:
        controls.append(remove_button(app, old.id, "check-in", "/log"))
    return controls


def _spasms(form: Form) -> list[ft.Control]:
    said = form.text("spasms")
    if not said:
        return [form.ask("spasms")]
    grid = form.ask("spasms", helper=SPASM_WORDS[int(said)])
    return [grid, form.ask("severity")] if said != "0" else [grid]


def _worries(app: App[Services], form: Form, *, new: bool, asked: bool) -> list[ft.Control]:
    ticked = list(form.value(FIELD))
    controls: list[ft.Control] = []
    if ticked and not asked:
        controls.append(body(message("You ticked: {signs}.", signs=sign_words(ticked))))
    if new:
        controls.append(link(app, message("Something worries me"), "/signs", ft.Icons.HEARING))
    return controls


def _more(form: Form, now: datetime) -> list[ft.Control]:
    controls = [_WHEN.draw(form)]
    if form.text("when") == "earlier":
        controls += [
            Day("day", message("Day")).draw(form, now.date()),
            Clock("time", message("Time, about")).draw(form, now.time()),
        ]
    controls += [form.ask(field.name) for field in _MORE_SCORES]
    effects: list[str] = form.value("side_effects")
    offered = [(effect, side_effect_words(effect).capitalize()) for effect in SIDE_EFFECTS]

    def toggle(effect: str) -> None:
        form.put("side_effects", [e for e in effects if e != effect] if effect in effects
                 else [*effects, effect])  # fmt: skip

    controls += [
        check_boxes(message("Side effects"), offered, effects, toggle),
        form.ask("tablets_as_planned"),
        form.ask("note"),
    ]
    return controls


def _read(form: Form) -> dict[str, Any]:
    payload = form.payload()
    severity = payload.pop("severity", None)
    if severity and payload.get("spasms"):
        payload["severity"] = int(severity)
    for field in (FIELD, "side_effects"):
        if form.value(field):
            payload[field] = list(form.value(field))
    if form.text(SEDATIVES) == "yes" and asks_for_sedatives(form.value(FIELD)):
        payload[SEDATIVES] = True
    return payload


def _defaults(services: Services, old: Entry | None) -> dict[str, Any]:
    at = old.at if old else services.now()  # as the log shows it: by the wall clock there
    begin: dict[str, Any] = {
        "when": "now", "day": at.date().isoformat(), "time": f"{at:%H:%M}",
        FIELD: {}, "side_effects": [], SEDATIVES: "",
    }  # fmt: skip
    if old is None:
        return begin
    taken = "yes" if old.payload.get(SEDATIVES) else ""
    return {**begin, **old.payload, SEDATIVES: taken, "when": "earlier", "more": "yes"}
