"""What each change of the dose setting was followed by, newest first."""

import flet as ft

from pocketpump.app.notebook import Notebook
from pocketpump.app.parts import body, card, section, stepper
from pocketpump.app.shell import App
from pocketpump.core.programme_text import describe_programme
from pocketpump.core.response import Response
from pocketpump.core.working import date_text
from pocketpump.record.findings import SETTLING_PREFERENCE, findings_of, settling_days_of


def changes(app: App[Notebook]) -> list[ft.Control]:
    """Draw the response to each change, for stiffness and for spasms."""
    notebook = app.services
    situation, _ = notebook.situation()
    found = findings_of(notebook.record.alive, situation, notebook.now())
    controls: list[ft.Control] = [
        body("Days before each change are compared with days after it, once it has settled.")
    ]
    pairs = list(zip(found.responses, found.spasm_responses, strict=True))
    if not pairs:
        controls.append(body("There is no change of the dose setting yet."))
    controls += [_change(app, stiffness, spasms) for stiffness, spasms in reversed(pairs)]
    controls.append(_settling(app))
    return controls


def _change(app: App[Notebook], stiffness: Response, spasms: Response) -> ft.Control:
    setting = stiffness.setting
    day = date_text(setting.at.astimezone(app.services.zone).date())
    rows: list[ft.Control] = [
        section(day),
        body(f"To {describe_programme(setting.programme)}", soft=True),
    ]
    for response in (stiffness, spasms):
        rows += [
            body(response.sentence),
            app.explain(f"{response.scale} {setting.id}", [("", line) for line in response.lines]),
        ]
    return card(rows)


def _settling(app: App[Notebook]) -> ft.Control:
    notebook = app.services
    days = str(settling_days_of(notebook.record.alive))

    def keep(text: str) -> None:
        whole = text.strip()
        if whole.isascii() and whole.isdigit() and int(whole) <= 60 and whole != days:
            notebook.save(
                "preference", notebook.now(), {"name": SETTLING_PREFERENCE, "value": whole}
            )
        app.refresh()

    return stepper(
        "Settling days after a change",
        days,
        keep,
        unit="days",
        least="0",
        most="60",
        helper="Left out before judging. 3 to 5 is common; ask your clinic.",
    )
