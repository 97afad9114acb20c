"""The slips people make with one entry: a power of ten, two digits swapped and the like.

Each is one field changed in an otherwise untouched claim; whether it would explain a printed
date is for `pocketpump.core.refill_check.candidate_errors` to say.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import date

from dateutil.relativedelta import relativedelta

from pocketpump.core.messages import worded
from pocketpump.core.pump.programme import scaled
from pocketpump.core.refill_check.plausibility import SUPPLIED_STRENGTHS
from pocketpump.core.refill_check.refill_input import Claim
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
class Change:
    """One field of a claim, or the printed date, as it may have been meant."""

    field: str
    entered: str
    would_be: str
    claim: Claim
    printed_on: date
    weight: float


def changes(claim: Claim, printed_on: date) -> Iterator[Change]:
    """Yield each single slip that may be in ``claim`` or in the printed date."""
    for generate in (_strengths, _volumes, _alarm_volumes, _doses, _dates, _bridges):
        yield from generate(claim, printed_on)


def _strengths(claim: Claim, printed_on: date) -> Iterator[Change]:
    fill = claim.fill

    def with_strength(value: float) -> Claim:
        return replace(claim, fill=replace(fill, strength_mcg_per_ml=value))

    values = dict.fromkeys(SUPPLIED_STRENGTHS, 1.0)
    if claim.before is not None:
        values[claim.before.strength_mcg_per_ml] = 1.1
    yield from _numbers(
        "strength", STRENGTH, fill.strength_mcg_per_ml, values, with_strength, printed_on
    )


def _volumes(claim: Claim, printed_on: date) -> Iterator[Change]:
    def with_volume(value: float) -> Claim:
        return replace(claim, fill=replace(claim.fill, volume_ml=value))

    values = dict.fromkeys(_USUAL_VOLUMES, 0.9)
    if claim.before is not None:
        # Pumps of other sizes exist; as a rule as much goes in as the time before.
        values[claim.before.volume_ml] = 0.9
    yield from _numbers("volume", VOLUME, claim.fill.volume_ml, values, with_volume, printed_on)


def _alarm_volumes(claim: Claim, printed_on: date) -> Iterator[Change]:
    def with_alarm(value: float) -> Claim:
        return replace(claim, alarm_volume_ml=value)

    values = dict.fromkeys(_USUAL_ALARM_VOLUMES, 0.8)
    yield from _numbers(
        "alarm_volume", VOLUME, claim.alarm_volume_ml, values, with_alarm, printed_on
    )


def _doses(claim: Claim, printed_on: date) -> Iterator[Change]:
    dose = claim.programme.dose_mcg_per_day

    def with_dose(value: float) -> Claim:
        return replace(claim, programme=scaled(claim.programme, value / dose))

    if dose > 0:
        # "60 mcg once a day entered as 60 mcg every hour": medication-safety alert.
        values = {dose * 24: 0.7, dose / 24: 0.7}
        yield from _numbers("dose", DOSE, dose, values, with_dose, printed_on)
    old = claim.programme_before
    if old is not None and old.dose_mcg_per_day != dose:
        yield Change(
            "dose",
            entered_quantity(dose, DOSE),
            worded(
                "{dose} (the dose before this refill)",
                dose=entered_quantity(old.dose_mcg_per_day, DOSE),
            ),
            replace(claim, programme=old),
            printed_on,
            1.2,
        )


def _dates(claim: Claim, printed_on: date) -> Iterator[Change]:
    filled_on = local_date(claim.fill.at, claim.zone)
    swapped = _day_month_swapped(filled_on)
    if swapped is not None:
        moved = replace(claim, fill=replace(claim.fill, at=start_of(swapped, claim.zone)))
        if claim.before is None or claim.before.at < moved.fill.at:
            yield Change(
                "filled", filled_on.isoformat(), swapped.isoformat(), moved, printed_on, 0.9
            )
    swapped = _day_month_swapped(printed_on)
    if swapped is not None:
        yield Change(
            "printed_alarm", printed_on.isoformat(), swapped.isoformat(), claim, swapped, 1.0
        )
    for years in (-1, 1):
        # Around New Year the old year slips in; relativedelta keeps 29 February a date.
        other = printed_on + relativedelta(years=years)
        yield Change("printed_alarm", printed_on.isoformat(), other.isoformat(), claim, other, 0.9)


def _bridges(claim: Claim, printed_on: date) -> Iterator[Change]:
    changed = (
        claim.before is not None
        and claim.before.strength_mcg_per_ml != claim.fill.strength_mcg_per_ml
    )
    if not changed or claim.line_volume_ml is None:
        return
    for bridged in (True, False):
        if bridged is not claim.fill.bridged:
            other = replace(claim, fill=replace(claim.fill, bridged=bridged))
            words = _BRIDGED[claim.fill.bridged], _BRIDGED[bridged]
            yield Change("bridge", *words, other, printed_on, 1.0)


def _numbers(
    field: str,
    dimension: Dimension,
    entered: float,
    values: dict[float, float],
    changed: Callable[[float], Claim],
    printed_on: date,
) -> Iterator[Change]:
    """Yield one number's likely misreadings: usual values, powers of ten, swapped digits."""
    weighted = {value: weight for value, weight in values.items() if value != entered}
    for factor, weight in ((10.0, 0.6), (0.1, 0.6), (1000.0, 0.5), (0.001, 0.5)):
        weighted.setdefault(entered * factor, weight)
    for value in _digits_swapped(entered):
        weighted.setdefault(value, 0.6)
    for value, weight in weighted.items():
        if value > 0 and dimension.smallest <= value <= dimension.largest:
            yield Change(
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
