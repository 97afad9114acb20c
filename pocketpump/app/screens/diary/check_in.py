"""The check-in: one tap on a number and one on Save; everything else folds out."""

from datetime import datetime
from typing import Any

import flet as ft

from pocketpump.app.forms.form import Form
from pocketpump.app.parts import (
    body,
    check_boxes,
    choice,
    date_field,
    number_grid,
    quiet_button,
    text_field,
    time_field,
)
from pocketpump.app.screens.editing import of_entry
from pocketpump.app.screens.safety.ticked_signs import (
    DRAFT,
    FIELD,
    SEDATIVES,
    asks_for_sedatives,
    question,
)
from pocketpump.app.screens.undo import remove_button, undo_of
from pocketpump.app.services import Services
from pocketpump.app.shared_texts import YES_NO
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

_WHEN = (("now", message("Now")), ("earlier", message("Earlier")))
# label, field, what 0 and 10 mean
_MORE_SCORES = (
    (message("Pain"), "pain", message("0 no pain, 10 the worst pain")),
    (message("Sleep last night"), "sleep", message("0 very bad, 10 very good")),
    (message("Sleepiness"), "sleepiness", message("0 wide awake, 10 cannot stay awake")),
    (message("Walking and moving over"), "ease", message("0 not possible, 10 very easy")),
)
_SCORES = ("stiffness", "spasms", "severity", *(field for _, field, _ in _MORE_SCORES))


def check_in(app: App[Services]) -> list[ft.Control]:
    """Draw the check-in, new or the one that the route's ``id`` names."""
    return of_entry(app, "check-in", lambda old: _form(app, old), "/log")


def _form(app: App[Services], old: Entry | None) -> list[ft.Control]:
    services = app.services
    form = Form(app, f"{DRAFT}{app.query.get('id', '')}", _defaults(services, old))
    now = services.now()
    there = services.now_there(old)
    at = now if form.text("when") == "now" else form.instant("day", "time", latest=there)
    payload = _read(form)
    asked = question(form, services.now) if old is None else []
    if asked:
        form.fail(FIELD, message("Say first whether what you ticked is still there."))

    def save() -> None:
        assert at is not None  # a form without trouble has an instant
        entry = services.save("check-in", at, payload, old.id if old else "")
        form.clear()
        app.go("/log" if old else "/today")
        words = message("The check-in is corrected.") if old else message("The check-in is saved.")
        app.say(words, undo=undo_of(app, entry.id))

    more = _more(form, there) if form.text("more") else []
    controls: list[ft.Control] = [
        number_grid(message("Stiffness now"), 10, form.text("stiffness"), form.typed("stiffness"),
                    helper=message("0 none, 10 the worst"), error=form.error("stiffness")),
        *_spasms(form),
        *form.beside(FIELD, asked),
        *form.save_button(message("Save"), save),
        *_worries(app, form, new=old is None, asked=bool(asked)),
    ]  # fmt: skip
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
    helper = message("0 none, 4 more than ten an hour; may stay empty")
    if said:
        helper = SPASM_WORDS[int(said)]
    controls: list[ft.Control] = [
        number_grid(message("Spasms"), 4, said, form.typed("spasms"), columns=3, helper=helper)
    ]
    if said and said != "0":
        options = [(str(level), word) for level, word in enumerate(SEVERITY_WORDS, start=1)]
        controls.append(choice(message("How strong?"), options, form.text("severity"),
                               form.typed("severity"), in_row=True))  # fmt: skip
    return controls


def _worries(app: App[Services], form: Form, *, new: bool, asked: bool) -> list[ft.Control]:
    ticked = list(form.value(FIELD))
    controls: list[ft.Control] = []
    if ticked and not asked:
        controls.append(body(message("You ticked: {signs}.", signs=sign_words(ticked))))
    if new:
        controls.append(
            quiet_button(
                message("Something worries me"), lambda: app.go("/signs"), icon=ft.Icons.HEARING
            )
        )
    return controls


def _more(form: Form, now: datetime) -> list[ft.Control]:
    controls: list[ft.Control] = [
        choice(message("When was it?"), _WHEN, form.text("when"), form.typed("when"), in_row=True)
    ]
    if form.text("when") == "earlier":
        controls += [
            date_field(message("Day"), form.text("day"), form.typed("day"), today=now.date(),
                       error=form.error("day")),
            time_field(message("Time, about"), form.text("time"), form.typed("time"),
                       now=now.time(), error=form.error("time")),
        ]  # fmt: skip
    controls += [
        number_grid(label, 10, form.text(field), form.typed(field), helper=helper)
        for label, field, helper in _MORE_SCORES
    ]
    effects: list[str] = form.value("side_effects")
    offered = [(effect, side_effect_words(effect).capitalize()) for effect in SIDE_EFFECTS]

    def toggle(effect: str) -> None:
        form.put("side_effects", [e for e in effects if e != effect] if effect in effects
                 else [*effects, effect])  # fmt: skip

    controls += [
        check_boxes(message("Side effects"), offered, effects, toggle),
        choice(message("Tablets taken as planned?"), YES_NO, form.text("tablets"),
               form.typed("tablets"), in_row=True),
        # Note: a few words of the person's own.
        text_field(message("Note"), form.text("note"), form.typed("note"), lines=2),
    ]  # fmt: skip
    return controls


def _read(form: Form) -> dict[str, Any]:
    if not form.text("stiffness"):
        form.fail("stiffness", message("Tap a number for stiffness."))
    payload: dict[str, Any] = {f: _score(form.text(f)) for f in _SCORES if form.text(f)}
    if not payload.get("spasms"):
        payload.pop("severity", None)
    if form.text("tablets"):
        payload["tablets_as_planned"] = form.text("tablets") == "yes"
    if form.text("note").strip():
        payload["note"] = form.text("note").strip()
    for field in (FIELD, "side_effects"):
        if form.value(field):
            payload[field] = list(form.value(field))
    if form.text(SEDATIVES) == "yes" and asks_for_sedatives(form.value(FIELD)):
        payload[SEDATIVES] = True
    return payload


def _score(text: str) -> float:
    """Return a score: whole when tapped here, but another program may have noted 2.5."""
    return int(text) if text.isdecimal() else float(text)


def _defaults(services: Services, old: Entry | None) -> dict[str, Any]:
    now = services.now()
    texts: dict[str, Any] = {
        "when": "now", "day": now.date().isoformat(), "time": f"{now:%H:%M}",
        FIELD: {}, "side_effects": [], SEDATIVES: "",
    }  # fmt: skip
    if old is None:
        return texts
    at = old.at  # as the log shows it: by the wall clock there
    texts |= {"when": "earlier", "day": at.date().isoformat(), "time": f"{at:%H:%M}", "more": "yes"}
    payload: dict[str, Any] = dict(old.payload)
    texts |= {field: f"{payload[field]:g}" for field in _SCORES if field in payload}
    texts |= {f: list(payload[f]) for f in (FIELD, "side_effects") if f in payload}
    texts["note"] = str(payload.get("note", ""))
    texts[SEDATIVES] = "yes" if payload.get(SEDATIVES) else ""
    if "tablets_as_planned" in payload:
        texts["tablets"] = "yes" if payload["tablets_as_planned"] else "no"
    return texts
