"""What came after each change of the dose setting, newest first."""

import flet as ft

from pocketpump.app.notebook import Notebook
from pocketpump.app.parts import body, card, quiet_button, section
from pocketpump.app.shell import App
from pocketpump.core.instants import date_text
from pocketpump.core.programme_text import describe_programme
from pocketpump.core.response import Response
from pocketpump.core.wording import worded, worded_count
from pocketpump.record.findings import findings_of
from pocketpump.record.situation import settling_days_of


def changes(app: App[Notebook]) -> list[ft.Control]:
    """Draw the response to each change, for stiffness and for spasms."""
    notebook = app.services
    situation, _ = notebook.situation()
    found = findings_of(notebook.record.alive, situation, notebook.now())
    controls: list[ft.Control] = [
        body(
            worded(
                "Days before each change are compared with days after it, once it has settled."
                " Changes that follow each other closely are looked at together."
            )
        )
    ]
    pairs = list(zip(found.responses, found.spasm_responses, strict=True))
    if not pairs:
        controls.append(body(worded("There is no change of the dose setting yet.")))
    controls += [_change(app, stiffness, spasms) for stiffness, spasms in reversed(pairs)]
    days = settling_days_of(notebook.record.alive, notebook.now())
    left_out = worded_count(
        "The first day after a change is left out, while it settles.",
        "The first {count} days after a change are left out, while it settles.",
        days,
    )
    controls += [
        body(left_out),
        quiet_button(
            worded("Change the settling days"), lambda: app.go("/about-you"), icon=ft.Icons.TUNE
        ),
    ]
    return controls


def _change(app: App[Notebook], stiffness: Response, spasms: Response) -> ft.Control:
    rows: list[ft.Control] = []
    for step in stiffness.steps:
        rows += [
            section(date_text(step.at.astimezone(app.services.zone).date())),
            # Note: the dose was changed to this setting, like "constant rate of 8.3 mcg/h".
            body(worded("To {setting}", setting=describe_programme(step.programme)), soft=True),
        ]
    for response in (stiffness, spasms):
        rows += [
            body(response.sentence),
            *map(body, response.cautions),
            app.explain(
                f"{response.scale} {response.setting.id}", [("", line) for line in response.lines]
            ),
        ]
    if stiffness.also:
        rows.append(body(stiffness.also))
    return card(rows)
