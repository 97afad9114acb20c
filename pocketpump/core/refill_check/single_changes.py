"""The slips people make with one entry: a power of ten, two digits swapped and the like.

Each is one field changed in an otherwise untouched refill; whether it would explain a printed
date is for `pocketpump.core.refill_check.candidate_errors` to say.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import date

from dateutil.relativedelta import relativedelta

from pocketpump.core.messages import message
from pocketpump.core.pump.programme import scaled
from pocketpump.core.refill_check.plausibility import SUPPLIED_STRENGTHS
from pocketpump.core.refill_check.refill_input import RefillInput
from pocketpump.core.units.instants import local_date, start_of
from pocketpump.core.units.quantity import (
    DOSE,
    STRENGTH,
    VOLUME,
    Dimension,
    entered_quantity,
    format_number,
)

# The pumps of journals, mL: Maino 2017, Neuromodulation (abstract).
_USUAL_VOLUMES = (20.0, 40.0)
# Alarm volumes met, mL: Rigoli 2004 (2 customary, 4 in the study); 1 from memory; 3 own.
_USUAL_ALARM_VOLUMES = (1.0, 2.0, 3.0, 4.0)
_BRIDGED = {True: "programmed", False: "not programmed", None: "not known"}


@dataclass(frozen=True, slots=True)
class SingleChange:
    """One field of a refill as entered, or the printed date, as it may have been meant."""

    field: str
    entered: str
    would_be: str
    refill_input: RefillInput
    printed_on: date
    weight: float


def changes(refill_input: RefillInput, printed_on: date) -> Iterator[SingleChange]:
    """Yield each single slip that may be in ``refill_input`` or in the printed date."""
    for generate in (_strengths, _volumes, _alarm_volumes, _doses, _dates, _bridges):
        yield from generate(refill_input, printed_on)


def _strengths(refill_input: RefillInput, printed_on: date) -> Iterator[SingleChange]:
    fill = refill_input.fill

    def with_strength(value: float) -> RefillInput:
        return replace(refill_input, fill=replace(fill, strength_mcg_per_ml=value))

    values = dict.fromkeys(SUPPLIED_STRENGTHS, 1.0)
    if refill_input.before is not None:
        values[refill_input.before.strength_mcg_per_ml] = 1.1
    yield from _numbers(
        "strength", STRENGTH, fill.strength_mcg_per_ml, values, with_strength, printed_on
    )


def _volumes(refill_input: RefillInput, printed_on: date) -> Iterator[SingleChange]:
    def with_volume(value: float) -> RefillInput:
        return replace(refill_input, fill=replace(refill_input.fill, volume_ml=value))

    values = dict.fromkeys(_USUAL_VOLUMES, 0.9)
    if refill_input.before is not None:
        # Pumps of other sizes exist; as a rule as much goes in as the time before.
        values[refill_input.before.volume_ml] = 0.9
    yield from _numbers(
        "volume", VOLUME, refill_input.fill.volume_ml, values, with_volume, printed_on
    )


def _alarm_volumes(refill_input: RefillInput, printed_on: date) -> Iterator[SingleChange]:
    def with_alarm(value: float) -> RefillInput:
        return replace(refill_input, alarm_volume_ml=value)

    values = dict.fromkeys(_USUAL_ALARM_VOLUMES, 0.8)
    yield from _numbers(
        "alarm_volume", VOLUME, refill_input.alarm_volume_ml, values, with_alarm, printed_on
    )


def _doses(refill_input: RefillInput, printed_on: date) -> Iterator[SingleChange]:
    dose = refill_input.programme.dose_mcg_per_day

    def with_dose(value: float) -> RefillInput:
        return replace(refill_input, programme=scaled(refill_input.programme, value / dose))

    if dose > 0:
        # "60 mcg once a day entered as 60 mcg every hour": medication-safety alert.
        values = {dose * 24: 0.7, dose / 24: 0.7}
        yield from _numbers("dose", DOSE, dose, values, with_dose, printed_on)
    old = refill_input.programme_before
    if old is not None and old.dose_mcg_per_day != dose:
        yield SingleChange(
            "dose",
            entered_quantity(dose, DOSE),
            message(
                "{dose} (the dose before this refill)",
                dose=entered_quantity(old.dose_mcg_per_day, DOSE),
            ),
            replace(refill_input, programme=old),
            printed_on,
            1.2,
        )


def _dates(refill_input: RefillInput, printed_on: date) -> Iterator[SingleChange]:
    filled_on = local_date(refill_input.fill.at, refill_input.zone)
    swapped = _day_month_swapped(filled_on)
    if swapped is not None:
        moved = replace(
            refill_input, fill=replace(refill_input.fill, at=start_of(swapped, refill_input.zone))
        )
        if refill_input.before is None or refill_input.before.at < moved.fill.at:
            yield SingleChange(
                "filled", filled_on.isoformat(), swapped.isoformat(), moved, printed_on, 0.9
            )
    swapped = _day_month_swapped(printed_on)
    if swapped is not None:
        yield SingleChange(
            "printed_alarm", printed_on.isoformat(), swapped.isoformat(), refill_input, swapped, 1.0
        )
    for years in (-1, 1):
        # Around New Year the old year slips in; relativedelta keeps 29 February a date.
        other = printed_on + relativedelta(years=years)
        yield SingleChange(
            "printed_alarm", printed_on.isoformat(), other.isoformat(), refill_input, other, 0.9
        )


def _bridges(refill_input: RefillInput, printed_on: date) -> Iterator[SingleChange]:
    changed = (
        refill_input.before is not None
        and refill_input.before.strength_mcg_per_ml != refill_input.fill.strength_mcg_per_ml
    )
    if not changed or refill_input.line_volume_ml is None:
        return
    for bridged in (True, False):
        if bridged is not refill_input.fill.bridged:
            other = replace(refill_input, fill=replace(refill_input.fill, bridged=bridged))
            words = _BRIDGED[refill_input.fill.bridged], _BRIDGED[bridged]
            yield SingleChange("bridge", *words, other, printed_on, 1.0)


def _numbers(
    field: str,
    dimension: Dimension,
    entered: float,
    values: dict[float, float],
    changed: Callable[[float], RefillInput],
    printed_on: date,
) -> Iterator[SingleChange]:
    """Yield one number's likely misreadings: usual values, powers of ten, swapped digits."""
    weighted = {value: weight for value, weight in values.items() if value != entered}
    for factor, weight in ((10.0, 0.6), (0.1, 0.6), (1000.0, 0.5), (0.001, 0.5)):
        weighted.setdefault(entered * factor, weight)
    for value in _digits_swapped(entered):
        weighted.setdefault(value, 0.6)
    for value, weight in weighted.items():
        if value > 0 and dimension.smallest <= value <= dimension.largest:
            yield SingleChange(
                field,
                entered_quantity(entered, dimension),
                entered_quantity(value, dimension),
                changed(value),
                printed_on,
                weight,
            )


def _digits_swapped(value: float) -> Iterator[float]:
    text = format_number(value)
    for i in range(len(text) - 1):
        first, second = text[i], text[i + 1]
        if first.isdigit() and second.isdigit() and first != second:
            yield float(text[:i] + second + first + text[i + 2 :])


def _day_month_swapped(day: date) -> date | None:
    if day.day > 12 or day.day == day.month:
        return None
    return date(day.year, day.day, day.month)
