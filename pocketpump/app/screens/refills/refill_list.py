"""Refills: the history, newest first."""

from collections.abc import Mapping
from datetime import date
from functools import partial
from typing import Any

import flet as ft

from pocketpump.app.parts import (
    big_button,
    body,
    card,
    chart_picture,
    fact_row,
    notice,
    section,
)
from pocketpump.app.screens.link import link
from pocketpump.app.screens.list_row import row
from pocketpump.app.screens.refills.visit import change_visit, standing_visit, visit_row
from pocketpump.app.screens.today.state_box import note_visit
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.messages import message
from pocketpump.core.pump.duplicates import duplicate_problems
from pocketpump.core.refill_check.visit_check import check_visit
from pocketpump.core.units.instants import date_text
from pocketpump.core.units.quantity import STRENGTH, VOLUME, entered_quantity
from pocketpump.exchange.charts.pace import pace_chart
from pocketpump.record import Entry
from pocketpump.record.facts.last_refill import last_refill
from pocketpump.record.facts.situation import origin_of, visit_of


def refills(app: App[Services]) -> list[ft.Control]:
    """Draw the refill history."""
    controls: list[ft.Control] = [
        big_button(message("Log a refill"), lambda: app.go("/refill"), icon=ft.Icons.ADD),
        *_booked(app),
        link(app, message("Clinic sheet and calendar"), "/sheet", ft.Icons.DESCRIPTION_OUTLINED),
        link(app, message("What if …"), "/what-if", ft.Icons.COMPARE_ARROWS),
    ]
    entries = app.services.of_kind("refill")
    if not entries:
        controls.append(body(message("No refill is noted yet.")))
    situation, _ = app.services.situation()
    duplicates = duplicate_problems(situation) if situation else ()
    controls += [
        notice(duplicate.sentence, needs_you=True, key=f"twins:{duplicate.ids[-1]}")
        for duplicate in duplicates
    ]
    last = {one.id for one in last_refill(app.services.record.alive, app.services.now())}
    controls += _pace(app)
    controls += [
        row(app, entry.id, partial(_refill, app, entry, is_last=entry.id in last))
        for entry in reversed(entries)
    ]
    return controls


def _booked(app: App[Services]) -> list[ft.Control]:
    """Draw the visit that is booked with the way to move or cancel it, or the way to note one."""
    booked = standing_visit(app.services)
    if booked is None:
        return [note_visit(app)]
    note = booked.entry.payload.get("note") if booked.entry.kind == "visit" else None
    return [card([visit_row(booked), *([body(str(note))] if note else []), change_visit(app)])]


def _pace(app: App[Services]) -> list[ft.Control]:
    """Draw what the refills have taught about this pump; nothing before the first that does."""
    answer, _ = app.services.forecast()
    if answer is None:
        return []
    pace = pace_chart(answer, app.services.zone)
    if pace is None:
        return []
    width = app.content_width - 40
    return [
        card(
            [
                section(message("This pump's pace")),
                chart_picture(pace, width=width, height=140, scale=app.scale),
                body(pace.spoken),
                body(pace.key, soft=True),
            ]
        )
    ]


def _asks(services: Services, entry: Entry) -> tuple[str, ...]:
    """Return what the numbers of a refill raised, so that it is not lost once it is saved."""
    situation, _ = services.situation()
    if situation is None:
        return ()
    origin = origin_of(services.record.alive, services.now())
    return check_visit(visit_of(entry), situation, services.zone, origin).asks


def _refill(app: App[Services], entry: Entry, *, is_last: bool) -> ft.Control:
    asks = _asks(app.services, entry) if is_last else ()
    payload: Mapping[str, Any] = entry.payload
    at = entry.at.astimezone(app.services.zone)
    rows = [
        fact_row(message("Filled"), entered_quantity(float(payload["filled_ml"]), VOLUME)),
        fact_row(
            message("Strength"), entered_quantity(float(payload["strength_mcg_per_ml"]), STRENGTH)
        ),
    ]
    expected, withdrawn = payload.get("expected_ml"), payload.get("withdrawn_ml")
    if withdrawn is not None:
        note = (
            ""
            if expected is None
            else message("expected {volume}", volume=entered_quantity(float(expected), VOLUME))
        )
        rows.append(
            fact_row(message("Withdrawn"), entered_quantity(float(withdrawn), VOLUME), note=note)
        )
    if payload.get("measured_after_ml") is not None:
        measured = entered_quantity(float(payload["measured_after_ml"]), VOLUME)
        rows.append(fact_row(message("Measured after the fill"), measured))
    if payload.get("printed_alarm_on"):
        printed = date.fromisoformat(str(payload["printed_alarm_on"]))
        rows.append(fact_row(message("Clinic's alarm date"), date_text(printed)))
    if payload.get("note"):
        rows.append(body(str(payload["note"])))

    return card(
        [
            section(date_text(at.date())),
            body(message("at {clock}", clock=f"{at:%H:%M}"), soft=True),
            *rows,
            *(notice(ask, needs_you=True, key=f"ask:{ask}") for ask in asks),
            link(
                app,
                message("Correct this refill"),
                f"/refill?id={entry.id}",
                ft.Icons.EDIT_OUTLINED,
                key=f"correct:{entry.id}",
            ),
        ]
    )
