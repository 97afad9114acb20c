"""Dose settings: the history with what each change was, newest first."""

from functools import partial
from itertools import pairwise

import flet as ft

from pocketpump.app.parts import big_button, body, card, fact_row, section
from pocketpump.app.screens.link import link
from pocketpump.app.screens.list_row import row
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.messages import message
from pocketpump.core.pump.dose_steps import (
    NO_CHANGE_PERCENT,
    SOURCE,
    StepInfo,
    percent_text,
    step_information,
)
from pocketpump.core.pump.programme_text import describe_programme
from pocketpump.core.pump.timeline import Setting
from pocketpump.core.units.instants import date_text
from pocketpump.core.units.quantity import DOSE, entered_quantity
from pocketpump.record.facts.situation import origin_of


def doses(app: App[Services]) -> list[ft.Control]:
    """Draw the history of dose settings."""
    controls: list[ft.Control] = [
        big_button(message("Log a dose change"), lambda: app.go("/dose"), icon=ft.Icons.ADD),
        link(app, message("What reaches the body"), "/reach", ft.Icons.TIMELINE),
    ]
    situation, _ = app.services.situation()
    settings = (*situation.settings, *situation.settings_ahead) if situation else ()
    if not settings:
        controls.append(body(message("No dose setting is noted yet.")))
    pairs = list(pairwise([None, *settings]))
    controls += [
        row(app, now.id, partial(_setting, app, now, before))
        for before, now in reversed(pairs)
        if now
    ]
    return controls


def _setting(app: App[Services], setting: Setting, before: Setting | None) -> ft.Control:
    at = setting.at.astimezone(app.services.zone)
    programme = setting.programme
    day = date_text(at.date())
    dose = programme.dose_mcg_per_day
    was = before.programme.dose_mcg_per_day if before else 0.0
    info = step_information(was, dose, origin_of(app.services.record.alive, app.services.now()))
    rows = [
        fact_row(message("Mode"), programme.mode),
        fact_row(message("Daily dose"), entered_quantity(dose, DOSE), note=_change(info, was)),
    ]
    if programme.mode not in ("constant rate", "stopped"):
        rows.append(body(describe_programme(programme)))
    if info.sentences:
        lines = [("", sentence) for sentence in info.sentences]
        rows.append(app.explain(f"step:{setting.id}", [*lines, (message("Source"), SOURCE)],
                                title=message("What the label says about steps")))  # fmt: skip

    return card(
        [
            # Note: the dose setting runs from that day on.
            section(message("From {day}", day=day)),
            body(message("at {clock}", clock=f"{at:%H:%M}"), soft=True),
            *rows,
            link(app, message("Correct this setting"), f"/dose?id={setting.id}",
                 ft.Icons.EDIT_OUTLINED, key=f"correct:{setting.id}"),
        ]
    )  # fmt: skip


def _change(info: StepInfo, was: float) -> str:
    if info.percent is None:
        return ""
    if abs(info.percent) < NO_CHANGE_PERCENT:
        return message("no change of the daily dose")
    return message(
        "{percent} from {dose}",
        percent=percent_text(info.percent),
        dose=entered_quantity(was, DOSE),
    )
