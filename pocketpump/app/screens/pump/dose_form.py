"""One dose setting: enter it as the clinic printed it, or correct it."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime

import flet as ft

from pocketpump.app.forms.fields import Choice, Clock, Day, Words
from pocketpump.app.forms.form import Form
from pocketpump.app.parts import body, notice
from pocketpump.app.screens.editing import correction_buttons, of_entry
from pocketpump.app.screens.pump.dose_fields import (
    DOSE_FIELDS,
    defaults,
    mode_fields,
    read_programme,
)
from pocketpump.app.screens.pump.dose_texts import (
    dose_odds,
    dose_words,
    kept_odds,
    question_of,
    say_saved,
)
from pocketpump.app.screens.pump.pump_clock import clock_fields, clock_offset
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.messages import message
from pocketpump.core.pump.programme import Programme
from pocketpump.core.pump.programme_payload import programme_to_payload
from pocketpump.core.pump.timeline import Setting
from pocketpump.core.refill_check.visit_check import VisitCheck, check_change
from pocketpump.core.units.instants import local_date
from pocketpump.record import Entry

_FIELDS = (
    *DOSE_FIELDS,
    Choice("from", message("Since when?"),
           options=(("refill", message("Since the last refill")),
                    ("day", message("Since another day")))),
    Day("day", message("Day of the change")),
    Clock("time", message("Time, about")),
    Day("printed_alarm_on", message("Clinic's new alarm date"),
        helper=message("If a new printout was handed out with this change.")),
    Words("note", message("Note"), lines=2),
)  # fmt: skip


def dose(app: App[Services]) -> list[ft.Control]:
    """Draw the form for a new dose setting, or for the one that the route's ``id`` names."""
    return of_entry(
        app, "programme", lambda old: dose_form(app, lambda: app.go("/today"), old), "/doses"
    )


def dose_form(
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
    name = f"dose:{app.query.get('id', old.id if old else '')}"
    form = Form(app, name, defaults(services, old), fields=_FIELDS, kind="programme")
    now = services.now()
    at = _instant(form, services, now)
    programme = read_programme(form)
    changed_on = None if at is None else local_date(at, services.zone)
    printed = form.day_after("printed_alarm_on", changed_on, message("the change"))
    offset = clock_offset(form, programme, at or now, now)

    def save() -> None:
        assert at is not None  # a form without an error has an instant
        assert programme is not None  # and a programme
        payload = {
            "programme": programme_to_payload(replace(programme, clock_offset_minutes=offset)),
            **form.payload("printed_alarm_on", "note"),
        }
        entry = services.save("programme", at, payload, old.id if old else "")
        form.clear()
        after()
        done = (
            message("The dose setting is corrected.")
            if old
            else message("The dose setting is saved.")
        )
        say_saved(app, done, [entry.id], is_new=old is None)

    correcting = old.id if old else ""
    odds = dose_odds(services, programme, at or now, correcting)
    controls: list[ft.Control] = [
        *mode_fields(form),
        *dose_words(services, programme, at or now, odds, correcting),
    ]
    controls += clock_fields(form, programme, services.now)
    controls += _from_fields(form, services, now)
    controls.append(form.ask("printed_alarm_on", now.date()))
    check = _check(services, at, programme, printed, old)
    controls += [notice(text, needs_you=True, key=f"ask:{text}") for text in check.asks]
    controls += [body(text) for text in check.agrees]
    controls.append(form.ask("note"))
    ask = question_of(odds, kept_odds(services, at or now, correcting))
    controls += form.save_button(message("Save the dose setting"), save, ask=ask)
    leave = after if is_step else None
    return [*controls, *correction_buttons(app, form, old, "dose setting", "/doses", leave)]


def _check(
    services: Services,
    at: datetime | None,
    programme: Programme | None,
    printed: date | None,
    old: Entry | None,
) -> VisitCheck:
    situation, _ = services.situation()
    if situation is None or at is None or programme is None or printed is None:
        return VisitCheck(None, (), ())
    setting = Setting(at, programme, old.id if old else "")
    return check_change(setting, printed, situation, services.now(), services.zone)


def _instant(form: Form, services: Services, now: datetime) -> datetime | None:
    last = services.newest("refill")
    if form.text("from") == "refill" and last is not None:
        return last.at
    return form.instant("day", "time", latest=now)


def _from_fields(form: Form, services: Services, now: datetime) -> list[ft.Control]:
    controls = [] if services.newest("refill") is None else [form.ask("from")]
    if form.text("from") != "refill":
        controls += [form.ask("day", now.date()), form.ask("time", now.time())]
    return controls
