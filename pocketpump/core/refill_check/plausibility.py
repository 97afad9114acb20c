"""Amounts unusual in print: asked about where they are typed, never refused.

One table of what is usual, each row with its source, and one function over it for every view.
What no pump can hold is refused while it is read, by `pocketpump.core.units.quantity`. Nothing here
says which amount is right; a sentence tells what is usual and where that is from.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from math import isclose

from pocketpump.core.messages import LazyText, message, plural_message
from pocketpump.core.pump.dose_steps import Origin, look_again
from pocketpump.core.units.quantity import (
    DOSE,
    STRENGTH,
    VOLUME,
    Dimension,
    entered_quantity,
    format_number,
)

# Reservoir strengths supplied, mcg/mL: injectable-drugs handbook.
SUPPLIED_STRENGTHS = (500.0, 1000.0, 2000.0)
# For the screening dose only, mcg/mL: label.
SCREENING_STRENGTH = 50.0
# 2002 mcg/mL was measured where 2000 was filled in (stability study, Neuromodulation 2023): so
# much off a supplied strength is still that strength (own choice).
_NEAR_STRENGTH = 0.01
# The lowest flow met, mL/day: stability study, Neuromodulation 2023 (derived from its dose).
LOWEST_FLOW_ML_PER_DAY = 0.048
# Refills 30 to 180 days apart: children's hospital leaflets. A third of the shortest is asked
# about (own choice, no source).
_SHORTEST_DAYS = 10.0
_YEAR_DAYS = 365.0


@dataclass(frozen=True, slots=True)
class Amounts:
    """What is typed so far, None where nothing is; volumes in mL, doses in mcg/day.

    ``dose_before_mcg_per_day`` is the dose that ran until now (0: not known), ``origin`` where
    the stiffness comes from.
    """

    strength_mcg_per_ml: float | None = None
    filled_ml: float | None = None
    reservoir_ml: float | None = None
    alarm_volume_ml: float | None = None
    dose_mcg_per_day: float | None = None
    dose_before_mcg_per_day: float = 0.0
    origin: Origin | None = None


@dataclass(frozen=True, slots=True)
class Odd:
    """One amount to look at again.

    ``field`` is strength, filled, reservoir, alarm_volume, dose, step (from the dose before) or
    flow (how long all of them together last); ``sentence`` is for the person.
    """

    field: str
    sentence: str


@dataclass(frozen=True, slots=True)
class _Usual:
    """A usual range, both ends counted, and the sentence for what lies outside."""

    field: str
    low: float
    high: float
    dimension: Dimension
    words: LazyText


_RESERVOIR = _Usual(
    # 20 and 40 mL pumps: Maino 2017, Neuromodulation (abstract); the band around them is our own.
    "reservoir", 10, 40, VOLUME,
    message(
        "{amount} is an unusual size, because the pumps in journals hold 20 or 40 mL (Maino"
        " 2017, Neuromodulation), though others exist: look at the number again."
    ),
)  # fmt: skip
_FILLED = _Usual(
    "filled", 10, 40, VOLUME,
    message(
        "{amount} is an unusual filling, because the pumps in journals hold 20 or 40 mL (Maino"
        " 2017, Neuromodulation), though others exist: look at the number again."
    ),
)  # fmt: skip
_ALARM = _Usual(
    # 2 mL customary, 4 mL in the study: Rigoli 2004 (abstract); 1 mL is met too (from memory).
    "alarm_volume", 1, 4, VOLUME,
    message(
        "{amount} is an unusual alarm volume, because 2 mL is customary and a study used 4 mL"
        " (Rigoli 2004, Neurosurgery): look at the printout again."
    ),
)  # fmt: skip
# Maintenance ranges, mcg/day: label. Where the origin is not known the widest counts.
_ANY_DOSE = _Usual(
    "dose", 12, 2003, DOSE,
    message(
        "{amount} is outside the {low} to {high} mcg/day that the label names for long-term use:"
        " look at the number and the unit again, and ask your clinic."
    ),
)  # fmt: skip
_CEREBRAL_DOSE = _Usual(
    "dose", 90, 703, DOSE,
    message(
        "{amount} is outside the {low} to {high} mcg/day that the label names for most people with"
        " a cerebral origin: look at the number and the unit again, and ask your clinic."
    ),
)  # fmt: skip
_CHILD_DOSE = _Usual(
    "dose", 24, 1199, DOSE,
    message(
        "{amount} is outside the {low} to {high} mcg/day that the label names for children under"
        " 12: look at the number and the unit again, and ask your clinic."
    ),
)  # fmt: skip


def odd_amounts(amounts: Amounts) -> tuple[Odd, ...]:
    """Return what of ``amounts`` is unusual in print, in the order in which it is typed."""
    return tuple(_odd(amounts))


def is_supplied(strength_mcg_per_ml: float) -> bool:
    """Return whether a strength is one that is supplied ready-made."""
    return any(
        isclose(strength_mcg_per_ml, one, rel_tol=_NEAR_STRENGTH) for one in SUPPLIED_STRENGTHS
    )


def _odd(amounts: Amounts) -> Iterator[Odd]:
    reservoir, filled = amounts.reservoir_ml, amounts.filled_ml
    if reservoir is not None:
        yield from _outside(_RESERVOIR, reservoir)
    if amounts.alarm_volume_ml is not None:
        yield from _outside(_ALARM, amounts.alarm_volume_ml)
    # At least half of a reservoir of known size is a filling like any other (own choice).
    if filled is not None and not (reservoir is not None and reservoir / 2 <= filled <= reservoir):
        yield from _outside(_FILLED, filled)
    if amounts.strength_mcg_per_ml is not None:
        yield from _odd_strength(amounts.strength_mcg_per_ml)
    dose = amounts.dose_mcg_per_day
    if dose is not None and dose > 0:
        yield from _outside(_dose_range(amounts.origin), dose)
        step = look_again(amounts.dose_before_mcg_per_day, dose, amounts.origin)
        if step:
            yield Odd("step", step)
    yield from _odd_flow(amounts)


def _outside(usual: _Usual, value: float) -> Iterator[Odd]:
    # What was typed in another unit must not fall out of the range by a floating-point crumb.
    if not usual.low * (1 - 1e-9) <= value <= usual.high * (1 + 1e-9):
        sentence = usual.words.filled(
            amount=entered_quantity(value, usual.dimension), low=usual.low, high=usual.high
        )
        yield Odd(usual.field, sentence)


def _odd_strength(strength: float) -> Iterator[Odd]:
    if is_supplied(strength):
        return
    amount = entered_quantity(strength, STRENGTH)
    if isclose(strength, SCREENING_STRENGTH, rel_tol=_NEAR_STRENGTH):
        sentence = message(
            "The label names {amount} for the screening dose only, and pumps are filled with 500,"
            " 1000 or 2000 mcg/mL: look at the number again, and ask your clinic.",
            amount=amount,
        )
    else:
        sentence = message(
            "{amount} is an unusual strength, because 500, 1000 or 2000 mcg/mL are supplied"
            " (injectable-drugs handbook), though pharmacies make others: look at the number and"
            " the unit again.",
            amount=amount,
        )
    yield Odd("strength", sentence)


def _dose_range(origin: Origin | None) -> _Usual:
    if origin is None:
        return _ANY_DOSE
    if origin.child:
        return _CHILD_DOSE
    return _CEREBRAL_DOSE if origin.cause == "cerebral" else _ANY_DOSE


def _odd_flow(amounts: Amounts) -> Iterator[Odd]:
    dose, strength, filled = (
        amounts.dose_mcg_per_day,
        amounts.strength_mcg_per_ml,
        amounts.filled_ml,
    )
    if not dose or not strength or not filled:
        return
    flow = dose / strength
    days = filled / flow
    if flow < LOWEST_FLOW_ML_PER_DAY * (1 - 1e-9):
        sentence = message(
            "By these numbers a full pump would last {length}, while the slowest flow in print is"
            " {flow} mL/day (Neuromodulation 2023): look at the dose and the strength again.",
            length=_length(days),
            flow=format_number(LOWEST_FLOW_ML_PER_DAY),
        )
    elif days < _SHORTEST_DAYS:
        sentence = message(
            "By these numbers a full pump would last {length}, while refills in print are 30 to 180"
            " days apart (hospital leaflets): look at dose, strength and volume again.",
            length=_length(days),
        )
    else:
        return
    yield Odd("flow", sentence)


def _length(days: float) -> str:
    if days < 1:
        return message("less than a day")
    if days < 2 * _YEAR_DAYS:
        return plural_message("{count} day", "{count} days", int(days))
    return plural_message("{count} year", "{count} years", int(days / _YEAR_DAYS))
