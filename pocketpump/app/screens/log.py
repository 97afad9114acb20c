"""All check-ins and notes, newest first, to look up and to correct."""

from datetime import datetime

import flet as ft

from pocketpump.app.notebook import Notebook
from pocketpump.app.parts import body, card, fact_row, quiet_button, section
from pocketpump.app.shell import App
from pocketpump.core.diary import SEVERITY_WORDS
from pocketpump.core.instants import date_text
from pocketpump.core.signs import sign_words
from pocketpump.record import Entry

_PAGE = 30


def log(app: App[Notebook]) -> list[ft.Control]:
    """Draw the newest entries, and a way to older ones."""
    notebook = app.services
    draft = app.draft("log")
    shown = int(draft.setdefault("shown", _PAGE))
    entries = [e for e in notebook.record.alive if e.kind in ("check-in", "happening")]
    controls: list[ft.Control] = []
    if not entries:
        controls.append(body("Nothing is noted yet."))
    by_day: dict[datetime, list[Entry]] = {}
    for entry in reversed(entries[-shown:]):
        day = entry.at.replace(hour=0, minute=0, second=0, microsecond=0, tzinfo=None)
        by_day.setdefault(day, []).append(entry)
    for day, members in by_day.items():
        rows: list[ft.Control] = [section(date_text(day.date()))]
        for entry in members:
            rows += _entry(app, entry)
        controls.append(card(rows))

    def older() -> None:
        draft["shown"] = shown + _PAGE
        app.refresh()

    if len(entries) > shown:
        controls.append(quiet_button("Show older ones", older, icon=ft.Icons.EXPAND_MORE))
    return controls


def _entry(app: App[Notebook], entry: Entry) -> list[ft.Control]:
    route = "/check-in" if entry.kind == "check-in" else "/happening"
    label, value, note = _check_in(entry) if entry.kind == "check-in" else _happening(entry)
    return [
        fact_row(f"{entry.at:%H:%M}  {label}", value, note=note),
        quiet_button("Change", lambda: app.go(f"{route}?id={entry.id}"),
                     icon=ft.Icons.EDIT_OUTLINED, key=f"correct:{entry.id}"),
    ]  # fmt: skip


def _check_in(entry: Entry) -> tuple[str, str, str]:
    payload = entry.payload
    value = f"{payload.get('stiffness', '–'):g}" if "stiffness" in payload else "–"
    notes = []
    if payload.get("spasms") is not None:
        spasms = f"spasms {payload['spasms']}"
        severity = payload.get("severity")
        if isinstance(severity, int) and 1 <= severity <= len(SEVERITY_WORDS):
            spasms += f", {SEVERITY_WORDS[severity - 1]}"
        notes.append(spasms)
    notes += [f"{name} {payload[name]:g}" for name in ("pain", "sleep", "sleepiness", "ease")
              if isinstance(payload.get(name), (int, float))]  # fmt: skip
    worries = payload.get("worries") or ()
    effects = payload.get("side_effects") or ()
    if worries:
        notes.append(sign_words(worries))  # type: ignore[arg-type]
    notes += [str(effect) for effect in effects]  # type: ignore[union-attr]
    if payload.get("tablets_as_planned") is False:
        notes.append("tablets not as planned")
    if payload.get("note"):
        notes.append(str(payload["note"]))
    return "Stiffness", value, "; ".join(notes)


def _happening(entry: Entry) -> tuple[str, str, str]:
    return str(entry.payload.get("what", "")).capitalize(), "", str(entry.payload.get("note", ""))
