"""What if: the dates with other numbers, beside the dates as they are."""

from dataclasses import replace
from datetime import datetime

import flet as ft

from pocketpump.app.forms.fields import Amount, Choice
from pocketpump.app.forms.form import Form
from pocketpump.app.look import theme
from pocketpump.app.parts import body, card, notice, quiet_button, section
from pocketpump.app.screens.pump.bolus_fields import EXACT_PLACES
from pocketpump.app.screens.pump.dose_fields import (
    DOSE_FIELDS,
    defaults,
    mode_fields,
    read_programme,
)
from pocketpump.app.screens.pump.dose_texts import odd_notices, stopping
from pocketpump.app.screens.undo import say_with_undo
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.messages import joined, message
from pocketpump.core.pump.forecast import Forecast
from pocketpump.core.pump.programme import Programme
from pocketpump.core.pump.programme_text import describe_programme
from pocketpump.core.pump.what_if import WhatIf
from pocketpump.core.pump.what_if import what_if as tried
from pocketpump.core.refill_check.plausibility import Amounts, Odd, odd_amounts
from pocketpump.core.units.instants import date_text
from pocketpump.core.units.quantity import STRENGTH, VOLUME, entered_number, entered_quantity
from pocketpump.record.facts.situation import origin_of

_FIELDS = (
    *DOSE_FIELDS,
    Choice("what", message("What would be different?"),
           options=(("setting", message("The dose setting")),
                    ("filled", message("The filled volume")),
                    ("strength", message("The strength")),
                    ("alarm", message("The alarm volume")))),
    Amount("filled", message("Filled volume"), dimension=VOLUME, above_zero=True,
           needed=message("Write the volume in mL.")),
    Amount("strength", message("Strength"), dimension=STRENGTH, step="500", above_zero=True,
           needed=message("Write the strength, like 500 mcg/mL.")),
    Amount("alarm", message("Alarm volume"), dimension=VOLUME, step="0.5",
           needed=message("Write the alarm volume in mL.")),
)  # fmt: skip
_ASKED = ("filled", "strength", "alarm_volume", "dose", "step", "flow")


def what_if(app: App[Services]) -> list[ft.Control]:
    """Draw the numbers to try, which begin as they are, and both sets of dates."""
    services = app.services
    answer, problems = services.forecast()
    situation, _ = services.situation()
    if answer is None or situation is None:
        return [body(problem.sentence) for problem in problems]
    form = Form(app, "what if", _defaults(services, answer), fields=_FIELDS)
    change = _read(form, answer)
    both = None if change is None else tried(situation, change, answer.now, services.zone)

    def again() -> None:
        form.clear()
        app.refresh()

    controls: list[ft.Control] = [
        notice(message("This only answers “when”. It does not say which numbers are right for you:"
                      " your clinic decides that."), key="caution"),
        form.ask("what"),
        *_field(form),
        *odd_notices(_odd(services, change, answer), *_ASKED),
        quiet_button(message("Back to the numbers as they are"), again, icon=ft.Icons.UNDO),
    ]  # fmt: skip
    if both is None or change is None:
        return [
            *controls,
            body(message("A number cannot be read yet, here or under another choice.")),
        ]
    now, then = both
    controls.append(_dates(now, then))
    if change.is_none:
        return [*controls, body(message("Nothing is changed yet, so both are the same."))]
    if change.refilled:
        controls.append(body(message("Counted as if the pump were refilled now."), soft=True))
    if change.strength_mcg_per_ml is not None and situation.pump.line_volume_ml is not None:
        # The earlier date is the one to plan with while nobody has said.
        bridged = message(
            "With a bridge or without one the dates differ a little: the earlier ones are shown."
        )
        controls.append(body(bridged, soft=True))
    if then.state == "stopped":
        # A question that proposes to stop the pump is not ours to write.
        return controls
    question = _question(change, then)

    def ask() -> None:
        entry = services.save("question", services.now(), {"text": app.translated(question)})
        say_with_undo(app, message("The question is saved for the clinic sheet."), entry.id)

    return [
        *controls,
        card([section(message("To ask your clinic")), body(question),
              quiet_button(message("Save this question"), ask, icon=ft.Icons.ADD)]),
    ]  # fmt: skip


def _odd(services: Services, change: WhatIf | None, answer: Forecast) -> list[Odd]:
    """Return what is unusual about the numbers tried and is not so about those that are."""
    if change is None:
        return []
    dose = answer.dose_mcg_per_day
    present = Amounts(
        strength_mcg_per_ml=answer.fill.strength_mcg_per_ml,
        filled_ml=answer.fill.volume_ml,
        reservoir_ml=answer.situation.pump.reservoir_ml,
        alarm_volume_ml=answer.situation.pump.alarm_volume_ml,
        dose_mcg_per_day=dose,
        dose_before_mcg_per_day=dose,
        origin=origin_of(services.record.alive, services.now()),
    )
    programme = change.programme
    then = replace(
        present,
        strength_mcg_per_ml=change.strength_mcg_per_ml or present.strength_mcg_per_ml,
        filled_ml=change.filled_ml or present.filled_ml,
        alarm_volume_ml=(
            present.alarm_volume_ml if change.alarm_volume_ml is None else change.alarm_volume_ml
        ),
        dose_mcg_per_day=dose if programme is None else programme.dose_mcg_per_day,
    )
    known = odd_amounts(present)
    return [odd for odd in odd_amounts(then) if odd not in known]


def _defaults(services: Services, answer: Forecast) -> dict[str, object]:
    return {
        **defaults(services, None),
        "filled": answer.fill.volume_ml,
        "strength": answer.fill.strength_mcg_per_ml,
        "alarm": answer.situation.pump.alarm_volume_ml,
        # There is no save button here: what is wrong is told at once.
        "tried": True,
    }


def _field(form: Form) -> list[ft.Control]:
    """Draw only what is being changed, so that the dates stay near."""
    what = form.text("what")
    if what == "setting":
        return [*mode_fields(form), *stopping(read_programme(form))]
    return [form.ask(what)] if what else []


def _read(form: Form, answer: Forecast) -> WhatIf | None:
    """Return what differs from the numbers as they are; None while one cannot be read."""
    programme = read_programme(form)
    filled, strength, alarm = (form.answer(one) for one in ("filled", "strength", "alarm"))
    if programme is None or filled is None or strength is None or alarm is None:
        return None
    return WhatIf(
        programme=_if_other(programme, answer.programme),
        filled_ml=None if _same(filled, answer.fill.volume_ml) else filled,
        strength_mcg_per_ml=(
            None if _same(strength, answer.fill.strength_mcg_per_ml) else strength
        ),
        alarm_volume_ml=(None if _same(alarm, answer.situation.pump.alarm_volume_ml) else alarm),
    )


def _same(typed: float, known: float) -> bool:
    # By what the boxes show of both.
    return entered_number(typed) == entered_number(known)


def _if_other(programme: Programme, known: Programme) -> Programme | None:
    by_the_pump = replace(programme, clock_offset_minutes=known.clock_offset_minutes)
    # The boxes hold rounded rates.
    return None if _rounded(by_the_pump) == _rounded(known) else by_the_pump


def _rounded(programme: Programme) -> Programme:
    places = EXACT_PLACES - 1
    asked = programme.requested
    return replace(
        programme,
        days=tuple(
            tuple(replace(s, rate_mcg_per_hour=round(s.rate_mcg_per_hour, places)) for s in day)
            for day in programme.days
        ),
        timed=tuple(replace(b, amount_mcg=round(b.amount_mcg, places)) for b in programme.timed),
        requested=asked and replace(asked, amount_mcg=round(asked.amount_mcg, places)),
    )


def _dates(now: Forecast, then: Forecast) -> ft.Control:
    def window(answer: Forecast) -> str:
        if answer.alarm_at is None:
            return message("never")
        return message(
            "{first} to {last}", first=_day(answer.alarm_earliest), last=_day(answer.alarm_latest)
        )

    rows = [
        (message("Refill by"), date_text(now.refill_by), date_text(then.refill_by)),
        (message("Days until then"), str(now.days_to_refill_by), str(then.days_to_refill_by)),
        (message("Alarm date"), _day(now.alarm_at), _day(then.alarm_at)),
        (message("It may come from"), window(now), window(then)),
        (message("Empty date"), _day(now.empty_at), _day(then.empty_at)),
    ]
    return card([section(message("The dates")), *(_pair(*row) for row in rows)])


def _day(instant: datetime | None) -> str:
    return message("never") if instant is None else date_text(instant.date())


def _pair(label: str, now: str, then: str) -> ft.Control:
    def side(word: str, value: str) -> ft.Control:
        return ft.Column(
            [
                ft.Text(word, theme_style=theme.SMALL, color=theme.SOFT_INK),
                ft.Text(value, theme_style=theme.STRONG),
            ],
            spacing=0,
            expand=True,
        )

    # Note: the number as it is now, and what it would be if the choice above were made.
    pair = ft.Row([side(message("Now"), now), side(message("If"), then)], spacing=theme.GAP,
                  vertical_alignment=ft.CrossAxisAlignment.START)  # fmt: skip
    return ft.MergeSemantics(
        content=ft.Container(
            ft.Column([ft.Text(label, theme_style=theme.BODY, color=theme.SOFT_INK), pair],
                      spacing=2),
            padding=ft.Padding.symmetric(vertical=8),
            border=ft.Border.only(bottom=ft.BorderSide(1, theme.HAIRLINE)),
        )
    )  # fmt: skip


def _question(change: WhatIf, then: Forecast) -> str:
    parts = []
    if change.programme is not None:
        setting = describe_programme(change.programme)
        parts.append(message("the dose setting were {setting}", setting=setting))
    if change.filled_ml is not None:
        volume = entered_quantity(change.filled_ml, VOLUME)
        parts.append(message("the pump were filled with {volume}", volume=volume))
    if change.strength_mcg_per_ml is not None:
        strength = entered_quantity(change.strength_mcg_per_ml, STRENGTH)
        parts.append(message("the strength were {strength}", strength=strength))
    if change.alarm_volume_ml is not None:
        alarm = entered_quantity(change.alarm_volume_ml, VOLUME)
        parts.append(message("the alarm volume were {volume}", volume=alarm))
    return message(
        "If {changes}, when would the refill be due? By my notebook it would be {day}.",
        changes=joined(message(" and "), parts),
        day=date_text(then.refill_by),
    )
