"""What came after each change of the dose setting, newest first."""

import flet as ft

from pocketpump.app.parts import body, card, chart_picture, section
from pocketpump.app.screens.link import link
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.diary.check_ins import SPASMS, STIFFNESS
from pocketpump.core.diary.response import Response
from pocketpump.core.diary.response_text import NOT_THE_CAUSE
from pocketpump.core.messages import message, plural_message
from pocketpump.core.pump.programme_text import describe_programme
from pocketpump.core.units.instants import date_text
from pocketpump.exchange.charts.changes import periods_chart
from pocketpump.record.facts.findings import findings_of
from pocketpump.record.facts.situation import settling_days_of


def changes(app: App[Services]) -> list[ft.Control]:
    """Draw the response to each change, for stiffness and for spasms."""
    services = app.services
    situation, _ = services.situation()
    found = findings_of(services.record.alive, situation, services.now())
    controls: list[ft.Control] = [
        body(
            message(
                "Days before each change are compared with days after it, once it has settled."
                " Changes that follow each other closely are looked at together."
            )
        )
    ]
    pairs = list(zip(found.responses, found.spasm_responses, strict=True))
    if not pairs:
        controls.append(body(message("There is no change of the dose setting yet.")))
    else:
        controls += [body(NOT_THE_CAUSE), body(_KEY)]
    controls += [_change(app, stiffness, spasms) for stiffness, spasms in reversed(pairs)]
    days = settling_days_of(services.record.alive, services.now())
    left_out = plural_message(
        "The first day after a change is left out, while it settles.",
        "The first {count} days after a change are left out, while it settles.",
        days,
    )
    controls += [
        body(left_out),
        link(app, message("Set the settling days"), "/about-you", ft.Icons.TUNE),
    ]
    return controls


def _change(app: App[Services], stiffness: Response, spasms: Response) -> ft.Control:
    rows: list[ft.Control] = []
    for step in stiffness.steps:
        rows += [
            section(date_text(step.at.astimezone(app.services.zone).date())),
            # Note: the dose was changed to this setting, like "constant rate of 8.3 mcg/h".
            body(message("To {setting}", setting=describe_programme(step.programme)), soft=True),
        ]
    for response in (stiffness, spasms):
        rows += [
            body(response.sentence),
            *map(body, response.cautions),
            *_picture(app, response),
            app.explain(
                f"{response.scale} {response.setting.id}", [("", line) for line in response.lines]
            ),
        ]
    if stiffness.also:
        rows.append(body(stiffness.also))
    return card(rows)


def _picture(app: App[Services], response: Response) -> list[ft.Control]:
    """Draw the days that were compared, so that one sees how much there is."""
    chart = periods_chart(response, _TITLES[response.scale])
    if chart is None:
        return []
    return [chart_picture(chart, width=app.content_width - 40, height=130, scale=app.scale)]


_TITLES = {
    STIFFNESS: message("Picture: stiffness, each day before and after the change"),
    SPASMS: message("Picture: spasms, each day before and after the change"),
}
_KEY = message(
    "In the pictures each dot is a day, and a dashed line is a change. The line across is the"
    " middle of the days before; the band is where that of the days after likely is. Pale dots are"
    " not compared."
)
