"""What reaches the body: old drug in the line, and the day pattern on the clock on the wall."""

from datetime import timedelta, tzinfo

import flet as ft

from pocketpump.app.look import theme
from pocketpump.app.parts import body, card, fact_row, notice, section
from pocketpump.app.screens.link import link
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.errors import InputError
from pocketpump.core.messages import joined, message, plural_message
from pocketpump.core.pump.forecast import Forecast
from pocketpump.core.pump.programme import DAY_MIN
from pocketpump.core.pump.programme_text import clock_text
from pocketpump.core.pump.tip_delivery import (
    Course,
    StrengthChange,
    WallSpan,
    WallStep,
    pattern_on_wall_clock,
    strength_changes,
)
from pocketpump.core.units.instants import WEEKDAYS, date_text, instant_text, local_date, zone_named
from pocketpump.core.units.quantity import (
    AMOUNT,
    HOURLY_RATE,
    entered_number,
    entered_quantity,
    format_number,
)
from pocketpump.record.facts.card_facts import trip_of

_YEAR = timedelta(days=365)
_BAR_HEIGHT = 72
_UNKNOWN = message(
    "This cannot be computed, because the line volume is not known. Ask your clinic: “What is"
    " the volume of my tubing and catheter together?” It was written down at the implant."
)
_BOTH = message(
    "It is not known whether a bridge was programmed, so both are shown. Ask your clinic, and"
    " note the answer with the refill."
)


def tip_delivery(app: App[Services]) -> list[ft.Control]:
    """Draw both answers."""
    answer, problems = app.services.forecast()
    if answer is None:
        return [body(problem.sentence) for problem in problems]
    controls: list[ft.Control] = [section(message("After a strength change"))]
    known = answer.situation
    changes = strength_changes(
        answer.timeline.fills, known.settings, known.pump.line_volume_ml, app.services.zone
    )
    if not changes:
        controls.append(body(message("No change of the strength is noted.")))
    controls += [_change(change, app.services.zone) for change in reversed(changes)]
    if any(not change.courses for change in changes):
        controls.append(
            link(app, message("Enter the line volume"), "/pump", ft.Icons.EDIT_OUTLINED)
        )
    controls.append(section(message("The pattern on your clock")))
    return controls + _on_the_clock(app, answer)


def _change(change: StrengthChange, zone: tzinfo) -> ft.Control:
    head = section(date_text(local_date(change.fill.at, zone)), level=3)
    rows = [head, body(_strengths(change))]
    if not change.courses:
        return card([*rows, notice(_UNKNOWN, key=f"unknown:{change.fill.id}")])
    if len(change.courses) == 1:
        return card([*rows, *_course(change.courses[0])])
    rows.append(notice(_BOTH, key=f"both:{change.fill.id}"))
    for course in change.courses:
        rows.append(
            section(
                message("With a bridge") if course.bridged else message("Without a bridge"), level=3
            )
        )
        rows += _course(course)
    return card(rows)


def _strengths(change: StrengthChange) -> str:
    old = entered_number(change.old_mcg_per_ml)
    new = entered_number(change.fill.strength_mcg_per_ml)
    if change.fill.bridged is None:
        return message("From {old} to {new} mcg/mL.", old=old, new=new)
    if change.fill.bridged:
        return message("From {old} to {new} mcg/mL, with a bridge.", old=old, new=new)
    return message("From {old} to {new} mcg/mL, without a bridge.", old=old, new=new)


def _course(course: Course) -> list[ft.Control]:
    rows: list[ft.Control] = []
    if course.old_hours is None or course.arrives_at is None:
        rows.append(body(message("The new drug did not arrive before the next refill.")))
    else:
        rows += [
            fact_row(
                message("Old drug came for"),
                message("{hours} hours", hours=format_number(course.old_hours, 0)),
            ),
            fact_row(message("New drug arrived"), instant_text(course.arrives_at)),
        ]
    rates: dict[str, float | None] = {
        # Note: before the strength was changed.
        message("Before"): course.before_mcg_per_h,
        message("Old drug in the line"): course.meanwhile_mcg_per_h,
        # Note: after the strength was changed.
        message("After"): course.after_mcg_per_h,
    }
    known = {name: rate for name, rate in rates.items() if rate is not None}
    rows.append(body(message("What reached the body, mcg an hour, averaged over the day:")))
    return [*rows, *_bars(known)]


def _bars(rates: dict[str, float]) -> list[ft.Control]:
    """Draw a bar under each rate, to one scale."""
    most = max(rates.values(), default=0.0) or 1.0
    return [
        ft.Column(
            [
                fact_row(name, entered_quantity(rate, HOURLY_RATE, 1)),
                ft.Row(
                    [
                        ft.Container(height=14, border_radius=7, bgcolor=theme.DEEP,
                                     expand=max(1, round(rate / most * 1000))),
                        ft.Container(expand=max(1, 1000 - round(rate / most * 1000))),
                    ],
                    spacing=0,
                ),
            ],
            spacing=6,
        )
        for name, rate in rates.items()
    ]  # fmt: skip


def _on_the_clock(app: App[Services], answer: Forecast) -> list[ft.Control]:
    programme = answer.programme
    steps = pattern_on_wall_clock(programme, app.services.zone, answer.today, answer.today)[0].steps
    if len(steps) < 2 and not any(step.bolus_mcg for step in steps):
        return [body(message("The pump runs at one rate all day and night, so no clock matters."))]
    controls: list[ft.Control] = [
        body(message("The pump's clock follows neither summer time nor journeys. By the clock on"
                    " your wall the steps come at these times.")),
    ]  # fmt: skip
    end = answer.today + _YEAR
    spans = pattern_on_wall_clock(programme, app.services.zone, answer.today, end)
    for index, span in enumerate(spans):
        first, last = date_text(span.first), date_text(span.last)
        title = (
            message("Here, {first} to {last}", first=first, last=last)
            if index < len(spans) - 1
            # Note: from that day on.
            else message("Here, {first} on", first=first)
        )
        controls.append(_span(title, span))
    for trip in app.services.of_kind("trip"):
        try:
            made = trip_of(trip)
        except InputError:
            continue  # told under Trips
        if made.returns_on < answer.today:
            continue
        place, zone = made.stays[0].place or made.stays[0].zone_name, made.stays[0].zone_name
        away = pattern_on_wall_clock(programme, zone_named(zone), made.leaves_on, made.returns_on)
        controls += [
            _span(
                message(
                    "In {place}, {first} to {last}",
                    place=place,
                    first=date_text(span.first),
                    last=date_text(span.last),
                ),
                span,
            )
            for span in away
        ]
    return controls


def _span(title: str, span: WallSpan) -> ft.Control:
    rows: list[ft.Control] = [section(title, level=3), body(_shift_text(span.shift_minutes))]
    if all(step.weekday is None for step in span.steps):
        rows.append(_day_chart(span.steps))
    rows += [fact_row(_when(step), _what(step)) for step in span.steps]
    return card(rows)


def _shift_text(minutes: int) -> str:
    if minutes == 0:
        return message("The pump's clock shows the same time as yours.")
    hours, rest = divmod(abs(minutes), 60)
    parts = [plural_message("{count} hour", "{count} hours", hours)] if hours else []
    parts += [message("{minutes} minutes", minutes=rest)] if rest else []
    length = joined(message(" and "), parts)
    if minutes > 0:
        return message("The pump's clock is {length} behind yours.", length=length)
    return message("The pump's clock is {length} ahead of yours.", length=length)


def _when(step: WallStep) -> str:
    clock = clock_text(step.minute)
    if step.weekday is None:
        return clock
    return message("{weekday} {clock}", weekday=WEEKDAYS[step.weekday], clock=clock)


def _what(step: WallStep) -> str:
    if step.bolus_mcg is not None:
        return message("bolus of {amount}", amount=entered_quantity(step.bolus_mcg, AMOUNT))
    return entered_quantity(step.rate_mcg_per_hour or 0.0, HOURLY_RATE)


def _day_chart(steps: tuple[WallStep, ...]) -> ft.Control:
    """Draw one day from midnight to midnight, each rate as high as it is large."""
    rates = [(s.minute, s.rate_mcg_per_hour) for s in steps if s.rate_mcg_per_hour is not None]
    most = max((rate for _, rate in rates), default=0.0) or 1.0
    pieces = [(0, rates[-1][1]), *rates] if rates and rates[0][0] > 0 else rates
    ends = [minute for minute, _ in pieces[1:]] + [DAY_MIN]
    bars = [
        ft.Container(
            height=max(3.0, rate / most * _BAR_HEIGHT),
            bgcolor=theme.WATER,
            border=ft.Border.only(top=ft.BorderSide(3, theme.DEEP)),
            expand=max(1, end - minute),
        )
        for (minute, rate), end in zip(pieces, ends, strict=True)
    ]
    hours = ft.Row(
        [ft.Text(text, theme_style=theme.SMALL) for text in ("00", "06", "12", "18", "24")],
        alignment=ft.MainAxisAlignment.SPACE_BETWEEN,
    )
    # The rows under it say the same in words.
    return ft.Semantics(
        exclude_semantics=True,
        content=ft.Column(
            [ft.Row(list(bars), spacing=0, vertical_alignment=ft.CrossAxisAlignment.END), hours],
            spacing=4,
        ),
    )
