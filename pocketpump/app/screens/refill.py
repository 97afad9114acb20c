"""One refill: log it as the clinic printed it, or correct it."""

from collections.abc import Callable, Mapping
from datetime import date, datetime
from typing import Any

import flet as ft

from pocketpump.app.forms import Form
from pocketpump.app.notebook import Notebook
from pocketpump.app.parts import (
    body,
    choice,
    date_field,
    notice,
    quiet_button,
    stepper,
    text_field,
    time_field,
)
from pocketpump.app.screens.taking_back import remove_button, undo_of
from pocketpump.app.shell import App
from pocketpump.core.quantity import STRENGTH, VOLUME, format_number
from pocketpump.core.timeline import Fill
from pocketpump.core.visit import Visit, VisitCheck, check_visit
from pocketpump.record import Entry

_BRIDGES = (("yes", "Yes, with a bridge"), ("no", "No bridge, or I do not know"))
_NEEDED = {"filled_ml", "strength_mcg_per_ml"}


def refill(app: App[Notebook]) -> list[ft.Control]:
    """Draw the form for a new refill, or for the one that the route's ``id`` names."""
    return refill_form(app, lambda: app.go("/today"))


def refill_form(app: App[Notebook], after: Callable[[], None]) -> list[ft.Control]:
    """Draw the form; ``after`` leads on when it is saved."""
    notebook = app.services
    old = notebook.find(app.query.get("id", ""))
    before = _before(notebook, old)
    form = Form(app, f"refill:{old.id if old else ''}", _defaults(notebook, old, before))
    now = notebook.now()
    at = form.instant("day", "time", latest=now)
    payload = _read(form, before)

    def save() -> None:
        assert at is not None  # a form without trouble has an instant
        entry = notebook.save("refill", at, payload, old.id if old else "")
        form.clear()
        after()
        words = "The refill is corrected." if old else "The refill is saved."
        app.say(words, undo=undo_of(app, entry.id))

    controls: list[ft.Control] = [
        date_field("Day of the refill", form.text("day"), form.typed("day"), today=now.date(),
                   error=form.error("day")),
        time_field("Time, about", form.text("time"), form.typed("time"), now=now.time(),
                   error=form.error("time")),
        _volume(form, "filled_ml", "Filled volume", "What the reservoir holds after the refill."),
        stepper("Strength", form.text("strength_mcg_per_ml"), form.typed("strength_mcg_per_ml"),
                unit="mcg/mL", step="500", least="500",
                helper="On the printout or the label. You may write it like 2 mg/mL.",
                error=form.error("strength_mcg_per_ml")),
        date_field("Clinic's alarm date", form.text("printed_alarm_on"),
                   form.typed("printed_alarm_on"), today=now.date(),
                   helper="As printed. It is checked against the computed date.",
                   error=form.error("printed_alarm_on")),
    ]  # fmt: skip
    if before is not None:
        controls += [
            _volume(form, "expected_ml", "Expected volume", "What should have been left before."),
            _volume(form, "withdrawn_ml", "Withdrawn volume", "What was taken out before."),
        ]
    if _strength_changed(payload, before):
        controls.append(
            choice("Did the clinic program a bridge for the new strength?", _BRIDGES,
                   form.text("bridged"), form.typed("bridged"),
                   helper="Old drug stays in the line for a while after a change.")
        )  # fmt: skip
    controls.append(text_field("Note", form.text("note"), form.typed("note"), lines=2))
    check = _check(notebook, at, payload)
    controls += [notice(text, needs_you=True, key=f"ask:{text}") for text in check.asks]
    controls += [body(text) for text in check.agrees]
    controls += form.save_button("Save the refill", save)
    if old is not None:
        controls += [
            quiet_button("Leave it as it was", lambda: _leave(app, form)),
            remove_button(app, old.id, "refill", "/refills"),
        ]
    return controls


def _leave(app: App[Notebook], form: Form) -> None:
    form.clear()
    app.go("/refills")


def _volume(form: Form, field: str, label: str, helper: str) -> ft.Control:
    return stepper(label, form.text(field), form.typed(field), unit="mL", step="0.5", least="0",
                   helper=helper, error=form.error(field))  # fmt: skip


def _before(notebook: Notebook, old: Entry | None) -> Entry | None:
    """Return the refill before this one: what was in the pump when it was emptied."""
    others = [
        entry
        for entry in notebook.of_kind("refill")
        if old is None or (entry.id != old.id and entry.at < old.at)
    ]
    return others[-1] if others else None


def _defaults(notebook: Notebook, old: Entry | None, before: Entry | None) -> dict[str, str]:
    now = notebook.now()
    if old is not None:
        at = old.at.astimezone(notebook.zone)
        texts = {"day": at.date().isoformat(), "time": f"{at:%H:%M}"}
        payload: Mapping[str, Any] = old.payload
    else:
        texts = {"day": now.date().isoformat(), "time": f"{now.hour:02d}:{now.minute:02d}"}
        kept = ("filled_ml", "strength_mcg_per_ml")
        last: Mapping[str, Any] = before.payload if before else {}
        payload = {field: last[field] for field in kept if field in last}
    for field in ("filled_ml", "strength_mcg_per_ml", "expected_ml", "withdrawn_ml"):
        if payload.get(field) is not None:
            texts[field] = format_number(float(payload[field]))
    texts["printed_alarm_on"] = str(payload.get("printed_alarm_on", ""))
    texts["note"] = str(payload.get("note", ""))
    if "bridged" in payload:
        texts["bridged"] = "yes" if payload["bridged"] else "no"
    return texts


def _read(form: Form, before: Entry | None) -> dict[str, Any]:
    printed = form.day("printed_alarm_on")
    payload: dict[str, Any] = {
        "filled_ml": form.amount("filled_ml", VOLUME, needed="Write the filled volume in mL.",
                                 above_zero=True, most=100),
        "strength_mcg_per_ml": form.amount(
            "strength_mcg_per_ml", STRENGTH, needed="Write the strength, like 500 mcg/mL.",
            above_zero=True),
        "expected_ml": form.amount("expected_ml", VOLUME, most=100),
        "withdrawn_ml": form.amount("withdrawn_ml", VOLUME, most=100),
        "printed_alarm_on": printed.isoformat() if printed else None,
        "note": form.text("note").strip() or None,
    }  # fmt: skip
    payload = {field: value for field, value in payload.items() if value is not None}
    if _strength_changed(payload, before):
        payload["bridged"] = form.text("bridged") == "yes"
    return payload


def _strength_changed(payload: Mapping[str, Any], before: Entry | None) -> bool:
    now = payload.get("strength_mcg_per_ml")
    return before is not None and now is not None and now != before.payload["strength_mcg_per_ml"]


def _check(notebook: Notebook, at: datetime | None, payload: Mapping[str, Any]) -> VisitCheck:
    """Return what is worth asking about before leaving the room."""
    situation, _ = notebook.situation()
    if situation is None or at is None or not payload.keys() >= _NEEDED:
        return VisitCheck(None, (), ())
    printed = payload.get("printed_alarm_on")
    visit = Visit(
        fill=Fill(
            at,
            payload["filled_ml"],
            payload["strength_mcg_per_ml"],
            payload.get("bridged", False),
        ),
        printed_alarm_on=date.fromisoformat(printed) if printed else None,
        expected_ml=payload.get("expected_ml"),
        withdrawn_ml=payload.get("withdrawn_ml"),
    )
    return check_visit(visit, situation, notebook.zone)
