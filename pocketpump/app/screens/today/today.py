"""Today: where the person stands, how full the pump is, how many days are left, what is due."""

from collections.abc import Sequence
from datetime import timedelta

import flet as ft

from pocketpump.app.look import theme
from pocketpump.app.parts import big_button, body, card, fact_row, notice, reservoir_chart
from pocketpump.app.screens.link import link
from pocketpump.app.screens.more.home_screen import offer_home_screen
from pocketpump.app.screens.more.remind import offer_reminder
from pocketpump.app.screens.safety.alerts import alerts
from pocketpump.app.screens.today.diary_box import how_is_it
from pocketpump.app.screens.today.inbox_box import inbox_boxes
from pocketpump.app.screens.today.problem_boxes import (
    file_problem_boxes,
    numbers_missing,
    problem_boxes,
    unread_problem_boxes,
)
from pocketpump.app.screens.today.reservoir import capacity_ml, level_marks, spoken_level
from pocketpump.app.screens.today.state_box import away_box, note_visit, state_box
from pocketpump.app.screens.today.upcoming import coming
from pocketpump.app.screens.whole_record.backup import reminder
from pocketpump.app.services import Services
from pocketpump.app.shared_texts import DEMO
from pocketpump.app.shell.shell import App
from pocketpump.core.errors import Problem
from pocketpump.core.messages import joined, message, plural_message
from pocketpump.core.pump.forecast import Forecast
from pocketpump.core.pump.forecast_explanation import all_explanations
from pocketpump.core.pump.reminders import booked_on
from pocketpump.core.pump.state import State
from pocketpump.core.units.instants import date_text
from pocketpump.core.units.quantity import DOSE, VOLUME, entered_quantity, format_quantity
from pocketpump.record.facts.away import away_of
from pocketpump.record.facts.booked_visit import BookedVisit, booked_visit
from pocketpump.record.facts.state import state_by

_TELLING = 0.01


def today(app: App[Services]) -> list[ft.Control]:
    """Draw Today, or the way to it while something is missing."""
    answer, problems = app.services.forecast()
    if answer is None:
        return _missing(app, problems)
    entries = app.services.record.alive
    state = state_by(entries, answer)
    booked = booked_visit(entries, answer.now)
    away = away_of(entries, answer)
    noted = alerts(app)
    slips, others = problem_boxes(app, answer, problems, state)
    # The sentence first, and the number; above them only a danger that was noted itself.
    controls: list[ft.Control] = [
        *noted,
        state_box(app, state, booked, away, calls=not noted),
        *slips,
        _head(app, answer, state),
    ]
    if app.services.is_demo:
        controls.append(notice(DEMO, key="demo"))
    if away is not None and state.word != "calm":
        controls.append(away_box(app, away))
    controls += others
    controls += inbox_boxes(app)
    controls += how_is_it(app)
    controls += [
        link(app, message("Warning signs"), "/signs", ft.Icons.HEARING),
        link(app, message("Log a refill"), "/refill", ft.Icons.WATER_DROP_OUTLINED),
        link(app, message("Show my card"), "/card", ft.Icons.BADGE_OUTLINED),
        card(
            [
                fact_row(message("Alarm date"), _alarm_text(answer), note=_window_text(answer)),
                *_call_row(answer, booked),
                fact_row(message("Daily dose now"), _dose_text(answer)),
            ]
        ),
        app.explain("today", _workings(answer)),
        *([] if away else _to_book(app, answer, state, booked)),
        link(app, message("Log a dose change"), "/dose", ft.Icons.TUNE),
        *coming(app, answer),
    ]
    # In a grave state the way to the numbers stands in place of the calls already.
    controls += [] if state.is_grave else numbers_missing(app)
    controls += [*reminder(app), *file_problem_boxes(app)]
    controls += offer_reminder(app, answer) or offer_home_screen(app)
    return controls


def _call_row(answer: Forecast, visit: BookedVisit | None) -> list[ft.Control]:
    if visit and booked_on(answer, visit.on):
        return []
    note = message("that day is past: call now") if answer.today > answer.call_by else ""
    return [fact_row(message("Call the clinic by"), date_text(answer.call_by), note=note)]


def _to_book(
    app: App[Services], answer: Forecast, state: State, visit: BookedVisit | None
) -> list[ft.Control]:
    """Draw the way to note a visit while nothing is due; else it stands at the sentence."""
    if state.word != "calm" or (visit and booked_on(answer, visit.on)):
        return []
    return [note_visit(app)]


def _dose_text(answer: Forecast) -> str:
    dose = entered_quantity(answer.dose_mcg_per_day, DOSE)
    return message("up to {dose}", dose=dose) if answer.programme.requested else dose


def _workings(answer: Forecast) -> list[tuple[str, str]]:
    workings = all_explanations(answer)
    return [(w.title if i == 0 else "", line) for w in workings for i, line in enumerate(w.lines)]


def _missing(app: App[Services], problems: Sequence[Problem]) -> list[ft.Control]:
    # What is there already is not asked for again: the path goes on where it was left.
    services = app.services
    if services.newest("pump") is None:
        step = "/start"
    elif not services.of_kind("refill"):
        step = "/start/refill"
    elif not services.of_kind("programme"):
        step = "/start/dose"
    else:  # all is there, but it makes no sense
        return [
            *problem_boxes(app, None, problems, None)[1],
            *how_is_it(app),
            link(app, message("Refills"), "/refills", ft.Icons.LIST),
            link(app, message("Dose settings"), "/doses", ft.Icons.TUNE),
            link(app, message("Whom to call"), "/contacts", ft.Icons.CONTACTS),
        ]
    unread = [*inbox_boxes(app), *unread_problem_boxes(app)]
    told = {sentence.sentence for one in services.record.unread for sentence in one.problems}
    return [
        *(body(problem.sentence) for problem in problems if problem.sentence not in told),
        *unread,
        big_button(message("Go on setting up"), lambda: app.go(step), icon=ft.Icons.ARROW_FORWARD),
    ]


def _head(app: App[Services], answer: Forecast, state: State) -> ft.Control:
    number, under = _number(answer, state)
    left = format_quantity(answer.volume_now_ml, VOLUME, 1)
    figures = ft.Column(
        [
            ft.MergeSemantics(
                content=ft.Column(
                    [
                        ft.Text(number, theme_style=theme.NUMBER, color=theme.DEEP),
                        ft.Text(under, theme_style=theme.STRONG),
                    ],
                    spacing=0,
                )
            ),
            ft.Text(
                date_text(answer.refill_by) if state.word != "stopped" else "",
                theme_style=theme.STRONG,
            ),
        ],
        spacing=8,
    )
    return ft.Row(
        [
            reservoir_chart(
                answer.volume_now_ml,
                capacity_ml(answer),
                level_marks(answer, state),
                spoken=spoken_level(answer, left),
                scale=app.scale,
            ),
            ft.Container(figures, width=(240 if app.wide else 132) * app.scale),
        ],
        wrap=True,
        spacing=8,
        run_spacing=theme.GAP,
        vertical_alignment=ft.CrossAxisAlignment.CENTER,
    )


def _number(answer: Forecast, state: State) -> tuple[str, str]:
    days = answer.days_to_refill_by
    if state.word == "stopped":
        return "–", message("the pump is stopped")
    if days > 0:
        # Note: stands in two short lines under the number of days.
        return str(days), plural_message("day to\nrefill-by", "days to\nrefill-by", days)
    if days == 0:
        # Note: stands in two short lines under the number 0.
        return "0", message("refill-by\nis today")
    # Note: stands in two short lines under the number of days.
    return str(-days), plural_message("day past\nrefill-by", "days past\nrefill-by", -days)


def _alarm_text(answer: Forecast) -> str:
    if answer.alarm_at is None:
        return message("none while stopped")
    return date_text(answer.alarm_at.date())


def _window_text(answer: Forecast) -> str:
    lines: list[str] = []
    if answer.alarm_earliest is not None and answer.alarm_latest is not None:
        opens = answer.alarm_earliest.date()
        first, last = date_text(opens), date_text(answer.alarm_latest.date())
        if opens >= answer.today:
            lines.append(message("may come from {first} to {last}", first=first, last=last))
        else:
            lines.append(message("may have come from {first} to {last}", first=first, last=last))
        if opens < answer.refill_by:
            lines.append(message("so it may come before the refill-by date"))
        elif opens == answer.refill_by:
            lines.append(message("so it may come on the refill-by date itself"))
    if answer.ratio.counted and abs(answer.ratio.mean - 1) >= _TELLING:
        if answer.ratio.mean > 1:
            lines.append(message("this pump has run faster than it is told so far"))
        else:
            lines.append(message("this pump has run slower than it is told so far"))
    if answer.printed_alarm_on is not None and answer.alarm_at is not None:
        apart = abs(answer.printed_alarm_on - answer.alarm_at.date())
        agrees = apart <= timedelta(days=1)
        printed = date_text(answer.printed_alarm_on)
        if answer.printed_is_old:
            lines.append(
                message(
                    "the clinic's date, {printed}, is from before the last dose change",
                    printed=printed,
                )
            )
        elif agrees:
            lines.append(message("agrees with the clinic's date"))
        else:
            lines.append(message("the clinic's date is {printed}", printed=printed))
    return joined("; ", lines)
