"""All check-ins and notes, newest first, to look up and to correct."""

from datetime import datetime
from functools import partial

import flet as ft

from pocketpump.app.parts import body, card, column, fact_row, quiet_button, section
from pocketpump.app.screens.draft import put
from pocketpump.app.screens.link import link
from pocketpump.app.screens.list_row import row
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.diary.check_ins import SCALE_WORDS, SEVERITY_WORDS, side_effect_words
from pocketpump.core.diary.events import event_words
from pocketpump.core.messages import joined, localized_number, message
from pocketpump.core.safety.signs import sign_words
from pocketpump.core.units.instants import date_text
from pocketpump.record import Entry

_PAGE = 30
_SCORES = ("pain", "sleep", "sleepiness", "ease")


def log(app: App[Services]) -> list[ft.Control]:
    """Draw the newest entries, and a way to older ones."""
    services = app.services
    draft = app.draft("log")
    shown = int(draft.setdefault("shown", _PAGE))
    entries = [e for e in services.record.alive if e.kind in ("check-in", "happening")]
    controls: list[ft.Control] = []
    if not entries:
        controls.append(body(message("Nothing is noted yet.")))
    by_day: dict[datetime, list[Entry]] = {}
    for entry in reversed(entries[-shown:]):
        day = entry.at.replace(hour=0, minute=0, second=0, microsecond=0, tzinfo=None)
        by_day.setdefault(day, []).append(entry)
    for day, members in by_day.items():
        rows: list[ft.Control] = [section(date_text(day.date()))]
        rows += [row(app, entry.id, partial(_entry, app, entry)) for entry in members]
        controls.append(card(rows))
    if len(entries) > shown:
        older = partial(put, app, draft, "shown", shown + _PAGE)
        controls.append(quiet_button(message("Show older ones"), older, icon=ft.Icons.EXPAND_MORE))
    return controls


def _entry(app: App[Services], entry: Entry) -> ft.Control:
    route = "/check-in" if entry.kind == "check-in" else "/happening"
    label, value, note = _check_in(entry) if entry.kind == "check-in" else _diary_event(entry)
    lines: list[ft.Control] = [
        fact_row(joined("  ", (f"{entry.at:%H:%M}", label)), value, note=note),
        # Note: opens the entry above it to be corrected.
        link(app, message("Correct"), f"{route}?id={entry.id}",
             ft.Icons.EDIT_OUTLINED, key=f"correct:{entry.id}"),
    ]  # fmt: skip
    return column(lines)


def _check_in(entry: Entry) -> tuple[str, str, str]:
    payload = entry.payload
    value = localized_number(f"{payload['stiffness']:g}") if "stiffness" in payload else "–"
    notes: list[str] = []
    if payload.get("spasms") is not None:
        number, severity = payload["spasms"], payload.get("severity")
        if isinstance(severity, int) and 1 <= severity <= len(SEVERITY_WORDS):
            how = SEVERITY_WORDS[severity - 1]
            notes.append(message("spasms {number}, {severity}", number=number, severity=how))
        else:
            notes.append(message("spasms {number}", number=number))
    notes += [
        message(
            "{what} {score}", what=SCALE_WORDS[name], score=localized_number(f"{payload[name]:g}")
        )
        for name in _SCORES
        if isinstance(payload.get(name), (int, float))
    ]
    worries = payload.get("worries") or ()
    effects = payload.get("side_effects") or ()
    if worries:
        notes.append(sign_words(worries))  # type: ignore[arg-type]
    notes += [side_effect_words(str(effect)) for effect in effects]  # type: ignore[union-attr]
    if payload.get("tablets_as_planned") is False:
        notes.append(message("tablets not as planned"))
    if payload.get("note"):
        notes.append(str(payload["note"]))
    return message("Stiffness"), value, joined("; ", notes)


def _diary_event(entry: Entry) -> tuple[str, str, str]:
    what = event_words(str(entry.payload.get("what", "")))
    return what.capitalize(), "", str(entry.payload.get("note", ""))
