"""One refill: log it in the order in which the nurse says it, or correct it."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

import flet as ft

from pocketpump.app.draft_keeping import Keep
from pocketpump.app.forms.form import Form
from pocketpump.app.parts import body, notice, quiet_button
from pocketpump.app.screens.editing import correction_buttons, of_entry
from pocketpump.app.screens.pump.dose_fields import mode_fields, read_programme
from pocketpump.app.screens.pump.dose_texts import dose_words, odd_notices, question_of, say_saved
from pocketpump.app.screens.pump.pump_clock import clock_fields, clock_offset
from pocketpump.app.screens.refills.refill_fields import (
    REFILL_FIELDS,
    defaults,
    read_refill,
    strength_changed,
)
from pocketpump.app.screens.refills.refill_saving import (
    RefillAnswers,
    check_refill,
    known_odds,
    late_next_visit,
    refill_odds,
    save_refill,
)
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.messages import joined, message
from pocketpump.core.pump.timeline import minute_of
from pocketpump.core.refill_check.plausibility import Odd
from pocketpump.core.units.instants import date_text, to_seconds
from pocketpump.core.units.quantity import STRENGTH, VOLUME, entered_quantity, format_quantity
from pocketpump.record import Entry
from pocketpump.record.entry.entries import by_minute
from pocketpump.record.facts.booked_visit import booked_visit


@dataclass(frozen=True)
class _Asked:
    """What is asked beside the refill itself."""

    dose: bool
    alarm_volume: bool


def _asked(services: Services, old: Entry | None, at: datetime | None) -> _Asked:
    newest = services.newest("refill")
    if old is not None or newest is None:  # in the first run pump and dose have their own steps
        return _Asked(False, False)
    # A refill added to the history says nothing of what the pump is set to now.
    return _Asked(True, at is None or to_seconds(at) > to_seconds(newest.at))


def refill(app: App[Services]) -> list[ft.Control]:
    """Draw the form for a new refill, or for the one that the route's ``id`` names."""
    return of_entry(
        app, "refill", lambda old: refill_form(app, lambda: app.go("/today"), old), "/refills"
    )


def refill_form(
    app: App[Services],
    after: Callable[[], None],
    old: Entry | None = None,
    *,
    is_step: bool = False,
) -> list[ft.Control]:
    """Draw the form, to correct ``old`` if given; ``after`` leads on when it is saved.

    As a step of the first run it leads on too where ``old`` is left as it was.
    """
    services = app.services
    name = f"refill:{app.query.get('id', old.id if old else '')}"
    keep = Keep(name, lambda: services.record.draft(name), lambda v: services.save_draft(name, v))
    form = Form(
        app,
        name,
        defaults(services, old, _before(services, old, None)),
        fields=REFILL_FIELDS,
        kind="refill",
        keep=keep,
        pinned=("day", "time", "begun"),
    )
    at = form.instant("day", "time", latest=services.now())
    before = _before(services, old, at)
    asked = _asked(services, old, at)
    read = _read(form, services, at, before, old, asked)

    def save() -> None:
        ids = save_refill(services, read, old)
        form.clear()
        after()
        done = message("The refill is corrected.") if old else message("The refill is saved.")
        say_saved(app, done, ids, is_new=old is None)

    check = check_refill(services, read, old)
    alarm_on = check.computed_alarm_on or services.now().date()
    odds = refill_odds(services, read)
    told = {odd.sentence for odd in odds}
    controls = _begun(app, form) + _fields(form, services, read, before, old, asked, alarm_on, odds)
    controls += [
        notice(text, needs_you=True, key=f"ask:{text}")
        for text in (*check.asks, *check.other_notes)
        if text not in told
    ]
    controls += [body(text) for text in check.agrees]
    late = late_next_visit(services, read, old)
    controls += [notice(late, needs_you=True, key="late visit")] if late else []
    ask = question_of(odds, known_odds(services, read, old or before))
    controls += form.save_button(message("Save the refill"), save, ask=ask)
    leave = after if is_step else None
    return [*controls, *correction_buttons(app, form, old, "refill", "/refills", leave)]


def _fields(
    form: Form,
    services: Services,
    read: RefillAnswers,
    before: Entry | None,
    old: Entry | None,
    asked: _Asked,
    alarm_on: date,
    odds: tuple[Odd, ...],
) -> list[ft.Control]:
    now = services.now()
    controls = [
        form.ask("day", now.date(), helper=_day_words(before, old)),
        form.ask("time", now.time()),
    ]
    if before is not None:
        controls += [
            form.ask("expected_ml", helper=_expected_words(services, read, asked)),
            form.ask("withdrawn_ml"),
        ]
    controls += [
        form.ask("filled_ml"),
        *odd_notices(odds, "filled"),
        form.ask("strength_mcg_per_ml"),
        # How long it lasts is told under the dose where that is new too.
        *odd_notices(odds, "strength", *(() if read.programme else ("flow",))),
    ]
    if strength_changed(read.payload, before):
        controls += [_strength_words(read, before), form.ask("bridged")]
    if asked.dose:
        controls.append(form.ask("dose changed"))
        if form.text("dose changed") == "yes":
            controls += mode_fields(form)
            controls += dose_words(services, read.programme, read.at or now, odds)
            controls += clock_fields(form, read.programme, services.now)
    if asked.alarm_volume:
        controls += [form.ask("alarm_volume_ml"), *odd_notices(odds, "alarm_volume")]
    controls += [
        form.ask("printed_alarm_on", alarm_on),
        form.ask("next_visit_on", alarm_on, helper=_visit_words(services, old)),
    ]
    if form.text("measured_after_ml") or form.value("measure"):
        controls.append(form.ask("measured_after_ml"))
    else:
        measure = quiet_button(
            message("The clinic measured it again"), lambda: form.put("measure", True)
        )
        controls.append(measure)
    return [*controls, form.ask("note")]


def _begun(app: App[Services], form: Form) -> list[ft.Control]:
    """Draw what says that this was begun on an earlier day, and the way to start anew."""
    if form.text("begun") == app.services.now().date().isoformat():
        return []

    def anew() -> None:
        form.clear()
        app.refresh()

    return [
        notice(message("You began this on an earlier day and did not save it. Look at the day"
                      " first."), key="begun"),
        quiet_button(message("Start anew"), anew, icon=ft.Icons.RESTART_ALT),
    ]  # fmt: skip


def _expected_words(services: Services, read: RefillAnswers, asked: _Asked) -> str:
    """Say what should have been left, and what it is by the record, to compare it with."""
    words = message("What should have been left before.")
    answer, _ = services.forecast()
    if answer is None or read.at is None or not asked.dose:
        return words
    left_ml = answer.timeline.volume_at(to_seconds(read.at))
    if left_ml is None:
        return words
    by_record = message(
        "By your record it is {volume}.", volume=format_quantity(left_ml, VOLUME, 1)
    )
    return joined(" ", (words, by_record))


def _strength_words(read: RefillAnswers, before: Entry | None) -> ft.Control:
    assert before is not None  # a strength that changed was another one before
    payloads: tuple[Mapping[str, Any], ...] = (before.payload, read.payload)
    was, now = (entered_quantity(float(p["strength_mcg_per_ml"]), STRENGTH) for p in payloads)
    text = message(
        "The strength was {before} last time and is {now} now: is that planned?",
        before=was,
        now=now,
    )
    return notice(text, needs_you=True, key="strength changed")


def _day_words(before: Entry | None, old: Entry | None) -> str:
    """Say that the first refill logged is mostly an earlier one; the box begins with today."""
    if before is not None or old is not None:
        return ""
    return message("This is today: change it if your last refill was earlier.")


def _visit_words(services: Services, old: Entry | None) -> str:
    """Say what the next visit is for, and what was noted of it since the refill ``old``."""
    booked = booked_visit(services.record.alive, services.now())
    if old is None or booked is None or booked.entry.kind != "visit":
        return message("If it is booked already.")
    return message(
        "As it was said at the refill. Since then {day} was noted, and that counts: move it"
        " under “Visit booked”.",
        day=date_text(booked.on),
    )


def _before(services: Services, old: Entry | None, at: datetime | None) -> Entry | None:
    """Return the refill before ``at`` (the newest without one): what was in the pump then."""
    end = at or (old.at if old else services.now())
    others = [
        entry
        for entry in services.of_kind("refill")
        if minute_of(entry.at) < minute_of(end) and (old is None or entry.id != old.id)
    ]
    return max(others, key=by_minute, default=None)


def _read(
    form: Form,
    services: Services,
    at: datetime | None,
    before: Entry | None,
    old: Entry | None,
    asked: _Asked,
) -> RefillAnswers:
    payload = read_refill(form, before, old)
    programme = None
    if asked.dose and form.text("dose changed") == "yes":
        programme = read_programme(form)
        now = services.now()
        offset = clock_offset(form, programme, at or now, now)
        programme = programme and replace(programme, clock_offset_minutes=offset)
    alarm = form.answer("alarm_volume_ml") if asked.alarm_volume else None
    return RefillAnswers(at, payload, programme, alarm)
