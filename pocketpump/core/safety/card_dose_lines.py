"""The card's lines about the dose and its dates: what the clinic set, as the clinic prints it."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from pocketpump.core.messages import text_in
from pocketpump.core.pump.forecast import Forecast
from pocketpump.core.pump.programme import Programme, RateStep
from pocketpump.core.pump.programme_text import by_weekday, clock_text
from pocketpump.core.units.quantity import (
    AMOUNT,
    DOSE,
    HOURLY_RATE,
    STRENGTH,
    Dimension,
    entered_quantity,
)


@dataclass(frozen=True, slots=True)
class CardLine:
    """One fact: ``label`` is a phrase, ``kind`` says what ``value`` is.

    "text": the same in every language (a name); "amount": numbers with canonical units and
    English weekdays, which a view writes as its language does; "date": ISO 8601; "phrase": a
    phrase; "own": the person's or the clinic's own words, never translated.
    """

    label: str
    value: str
    kind: str = "text"


def dose_lines(answer: Forecast) -> Iterator[CardLine]:
    """Yield strength, daily dose and mode, with the steps and boluses the dose is made of."""
    programme = answer.programme
    yield CardLine("strength", amount_text(answer.fill.strength_mcg_per_ml, STRENGTH), "amount")
    # With requested boluses the daily dose counts them all, so it is the most there can be.
    label = "dose_most" if programme.requested else "dose"
    yield CardLine(label, amount_text(answer.dose_mcg_per_day, DOSE), "amount")
    yield CardLine("mode", programme.mode.replace(" ", "_"), "phrase")
    steps = _steps(programme)
    if len(programme.rates) > 1:
        yield CardLine("day_pattern", steps, "amount")
    elif programme.timed or programme.requested:
        yield CardLine(
            "constant_rate", amount_text(programme.background_mcg_per_day, DOSE), "amount"
        )
    timed = []
    for bolus in programme.timed:
        clocks = ", ".join(clock_text(minute) for minute in bolus.start_minutes)
        told = f"{bolus.per_day} × {amount_text(bolus.amount_mcg, AMOUNT)}"
        timed.append(f"{told} ({clocks})" if clocks else told)
    yield CardLine("timed_boluses", "; ".join(timed), "amount")
    asked = programme.requested
    told = f"{asked.max_per_day} × {amount_text(asked.amount_mcg, AMOUNT)}" if asked else ""
    yield CardLine("requested_boluses", told, "amount")


def _steps(programme: Programme) -> str:
    """Return the rates by the pump's clock, each from when until when it runs.

    Days that are alike stand together ("Mon-Fri: 00:00-06:00 15 mcg/h, …").
    """
    told = []
    for day in programme.days:
        ends = [*(clock_text(step.start_minute) for step in day[1:]), "24:00"]
        told.append(", ".join(_step(step, end) for step, end in zip(day, ends, strict=True)))
    return text_in(by_weekday(told), None)


def _step(step: RateStep, end: str) -> str:
    rate = amount_text(step.rate_mcg_per_hour, HOURLY_RATE)
    return f"{clock_text(step.start_minute)}-{end} {rate}"


def amount_text(value: float, dimension: Dimension) -> str:
    """Return an amount with every digit the clinic printed, in the card's own English."""
    return text_in(entered_quantity(value, dimension), None)


def alarm_dates(answer: Forecast) -> list[tuple[str, date]]:
    """Return the alarm dates with their labels, the earlier first; one where both agree."""
    computed_on = answer.alarm_at.date() if answer.alarm_at else None
    printed_on = None if answer.programme.mode == "stopped" else answer.printed_in_force
    dates = [] if computed_on is None else [("alarm_date", computed_on)]
    if printed_on is not None and printed_on != computed_on:
        dates.append(("clinic_alarm_date", printed_on))
    return sorted(dates, key=lambda pair: pair[1])
