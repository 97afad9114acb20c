"""Dose settings: the history with what each change was, newest first."""

from itertools import pairwise

import flet as ft

from pocketpump.app.notebook import Notebook
from pocketpump.app.parts import big_button, body, card, fact_row, quiet_button, section
from pocketpump.app.shell import App
from pocketpump.core.programme_text import describe_programme
from pocketpump.core.quantity import format_number
from pocketpump.core.timeline import Setting
from pocketpump.core.working import date_text


def doses(app: App[Notebook]) -> list[ft.Control]:
    """Draw the history of dose settings."""
    controls: list[ft.Control] = [
        big_button("Log a dose change", lambda: app.go("/dose"), icon=ft.Icons.ADD)
    ]
    situation, _ = app.services.situation()
    settings = situation.settings if situation else ()
    if not settings:
        controls.append(body("No dose setting is noted yet."))
    pairs = list(pairwise([None, *settings]))
    controls += [_setting(app, now, before) for before, now in reversed(pairs) if now]
    return controls


def _setting(app: App[Notebook], setting: Setting, before: Setting | None) -> ft.Control:
    at = setting.at.astimezone(app.services.zone)
    programme = setting.programme
    day = date_text(at.date())
    rows = [
        fact_row("Mode", programme.mode),
        fact_row(
            "Daily dose",
            f"{format_number(programme.dose_mcg_per_day, 1)} mcg/day",
            note=_change(programme.dose_mcg_per_day, before),
        ),
    ]
    if programme.mode not in ("constant rate", "stopped"):
        rows.append(body(describe_programme(programme)))

    return card(
        [
            section(f"From {day}"),
            body(f"at {at:%H:%M}", soft=True),
            *rows,
            quiet_button("Correct this setting",
                         lambda: app.go(f"/dose?id={setting.id}"),
                         icon=ft.Icons.EDIT_OUTLINED, key=f"correct:{setting.id}"),
        ]
    )  # fmt: skip


def _change(dose: float, before: Setting | None) -> str:
    if before is None or before.programme.dose_mcg_per_day == 0:
        return ""
    was = before.programme.dose_mcg_per_day
    percent = (dose - was) / was * 100
    if abs(percent) < 0.05:
        return "no change of the daily dose"
    sign = "+" if percent > 0 else "−"
    return f"{sign}{format_number(abs(percent), 1)} % from {format_number(was, 1)} mcg/day"
