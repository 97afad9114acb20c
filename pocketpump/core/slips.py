"""The slip finder: which single wrong number would explain a printed alarm date.

When the clinic's printed alarm date and the computed one differ by more than a day, every
field is changed in turn by the slips people make (another strength, a factor of ten, two
digits swapped …). A change that lands on the printed date is a question worth asking
before leaving the room. It is never said which of the two sides is right.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta, tzinfo
from math import inf

from dateutil.relativedelta import relativedelta

from pocketpump.core.instants import date_text, from_seconds, local_date, start_of
from pocketpump.core.pattern import Programme, scaled
from pocketpump.core.quantity import (
    DOSE,
    STRENGTH,
    VOLUME,
    Dimension,
    format_number,
    format_quantity,
)
from pocketpump.core.timeline import Fill, Setting, build_timeline
from pocketpump.core.wording import worded

# Reservoir strengths supplied, mcg/mL: injectable-drugs handbook; 50 is for screening only.
SUPPLIED_STRENGTHS = (500.0, 1000.0, 2000.0)
# Reservoir sizes met, mL: several manufacturers' pages and practice.
_USUAL_VOLUMES = (10.0, 18.0, 20.0, 40.0)
# Alarm volumes met, mL: Rigoli 2004 (2 customary, 4 in the study); 1 from memory; 3 own.
_USUAL_ALARM_VOLUMES = (1.0, 2.0, 3.0, 4.0)
# A date may be rounded either way, so one day apart is agreement.
AGREEMENT = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Claim:
    """One refill as entered: the fill, the programme and alarm volume it starts with.

    ``before`` and ``line_volume_ml`` matter only after a strength change, and
    ``programme_before`` is what ran until this refill; None when not known.
    """

    fill: Fill
    programme: Programme
    alarm_volume_ml: float
    zone: tzinfo
    before: Fill | None = None
    programme_before: Programme | None = None
    line_volume_ml: float | None = None

    def alarm_on(self) -> date | None:
        """Return the computed alarm date; None when the pump would never get there."""
        fills = [self.fill] if self.before is None else [self.before, self.fill]
        first = self.before or self.fill
        settings = [Setting(first.at, self.programme_before or self.programme)]
        settings.append(Setting(self.fill.at, self.programme))
        timeline, _ = build_timeline(fills, settings, self.line_volume_ml)
        at_s = timeline.reaches_volume(len(fills) - 1, self.alarm_volume_ml)
        start_s = self.fill.at.timestamp()
        if at_s == inf or at_s - start_s > 3_650 * 86_400:
            return None
        return local_date(from_seconds(at_s, self.zone), self.zone)


@dataclass(frozen=True, slots=True)
class Slip:
    """A single change that would explain the printed date.

    ``field`` is the entry field, ``entered`` and ``would_be`` its value as entered and as
    it would have to be, ``text`` the sentence for the person. ``weight`` ranks: how often
    such a slip is met (own ordering, no source).
    """

    field: str
    entered: str
    would_be: str
    text: str
    weight: float


@dataclass(frozen=True, slots=True)
class _Change:
    field: str
    entered: str
    would_be: str
    claim: Claim
    printed_on: date
    weight: float


def find_slips(claim: Claim, printed_alarm_on: date) -> tuple[Slip, ...]:
    """Return the single slips that would make both dates agree, most plausible first.

    Empty when the dates already agree within a day, or when no single slip explains them.
    """
    computed = claim.alarm_on()
    if computed is not None and abs(computed - printed_alarm_on) <= AGREEMENT:
        return ()
    found: list[tuple[float, date, _Change]] = []
    for change in _changes(claim, printed_alarm_on):
        would_be_on = change.claim.alarm_on()
        if would_be_on is None:
            continue
        apart = abs(would_be_on - change.printed_on)
        if apart <= AGREEMENT:
            # A day off costs half the weight: rounding is possible, a hit is likelier.
            weight = change.weight * (1.0 if not apart else 0.5)
            found.append((weight, would_be_on, change))
    found.sort(key=lambda item: (-item[0], item[2].field, item[2].would_be))
    best: dict[tuple[str, str], Slip] = {}
    for weight, would_be_on, change in found:
        key = (change.field, change.would_be)
        best.setdefault(key, _slip(change, weight, would_be_on))
    return tuple(best.values())


def _slip(change: _Change, weight: float, would_be_on: date) -> Slip:
    text = _text(change, would_be_on)
    return Slip(change.field, change.entered, change.would_be, text, weight)


def _text(change: _Change, would_be_on: date) -> str:
    if change.field == "printed_alarm":
        return worded(
            "If the printed alarm date means {would_be} and not {entered}, both dates agree: look"
            " at day, month and year again.",
            would_be=_said_date(change.would_be),
            entered=_said_date(change.entered),
        )
    said = _said_date if change.field == "filled" else str
    # Note: stands in: …, the alarm would fall on {day}, {near}: ask which is right.
    printed = worded("as printed")
    # Note: stands in: …, the alarm would fall on {day}, {near}: ask which is right.
    apart = worded("a day from the printed date")
    told = (
        _BRIDGE_TEXTS[change.entered, change.would_be]
        if change.field == "bridge"
        else _TEXTS[change.field]
    )
    return told(
        would_be=said(change.would_be),
        entered=said(change.entered),
        day=date_text(would_be_on),
        near=printed if would_be_on == change.printed_on else apart,
    )


def _said_date(iso: str) -> str:
    return date_text(date.fromisoformat(iso))


_TEXTS: Mapping[str, Callable[..., str]] = {
    "strength": lambda **values: worded(
        "If the strength were {would_be} and not {entered}, the alarm would fall on {day}, {near}:"
        " ask which is right.",
        **values,
    ),
    "volume": lambda **values: worded(
        "If the filled volume were {would_be} and not {entered}, the alarm would fall on {day},"
        " {near}: ask which is right.",
        **values,
    ),
    "alarm_volume": lambda **values: worded(
        "If the alarm volume were {would_be} and not {entered}, the alarm would fall on {day},"
        " {near}: ask which is right.",
        **values,
    ),
    "dose": lambda **values: worded(
        "If the daily dose were {would_be} and not {entered}, the alarm would fall on {day},"
        " {near}: ask which is right.",
        **values,
    ),
    "filled": lambda **values: worded(
        "If the refill date were {would_be} and not {entered}, the alarm would fall on {day},"
        " {near}: ask which is right.",
        **values,
    ),
}
_BRIDGED = {True: "programmed", False: "not programmed", None: "not known"}
_BRIDGE_TEXTS: Mapping[tuple[str, str], Callable[..., str]] = {
    ("programmed", "not programmed"): lambda **values: worded(
        "If the clinic programmed no bridge, though one is noted, the alarm would fall on {day},"
        " {near}: ask which is right.",
        **values,
    ),
    ("not programmed", "programmed"): lambda **values: worded(
        "If the clinic programmed a bridge, though none is noted, the alarm would fall on {day},"
        " {near}: ask which is right.",
        **values,
    ),
    ("not known", "programmed"): lambda **values: worded(
        "If the clinic programmed a bridge, which is not known yet, the alarm would fall on {day},"
        " {near}: ask which is right.",
        **values,
    ),
    ("not known", "not programmed"): lambda **values: worded(
        "If the clinic programmed no bridge, which is not known yet, the alarm would fall on"
        " {day}, {near}: ask which is right.",
        **values,
    ),
}


def _changes(claim: Claim, printed_on: date) -> Iterator[_Change]:
    for generate in (_strengths, _volumes, _alarm_volumes, _doses, _dates, _bridges):
        yield from generate(claim, printed_on)


def _strengths(claim: Claim, printed_on: date) -> Iterator[_Change]:
    fill = claim.fill

    def with_strength(value: float) -> Claim:
        return replace(claim, fill=replace(fill, strength_mcg_per_ml=value))

    values = dict.fromkeys(SUPPLIED_STRENGTHS, 1.0)
    if claim.before is not None:
        values[claim.before.strength_mcg_per_ml] = 1.1
    yield from _numbers(
        "strength", STRENGTH, fill.strength_mcg_per_ml, values, with_strength, printed_on
    )


def _volumes(claim: Claim, printed_on: date) -> Iterator[_Change]:
    def with_volume(value: float) -> Claim:
        return replace(claim, fill=replace(claim.fill, volume_ml=value))

    values = dict.fromkeys(_USUAL_VOLUMES, 0.9)
    yield from _numbers("volume", VOLUME, claim.fill.volume_ml, values, with_volume, printed_on)


def _alarm_volumes(claim: Claim, printed_on: date) -> Iterator[_Change]:
    def with_alarm(value: float) -> Claim:
        return replace(claim, alarm_volume_ml=value)

    values = dict.fromkeys(_USUAL_ALARM_VOLUMES, 0.8)
    yield from _numbers(
        "alarm_volume", VOLUME, claim.alarm_volume_ml, values, with_alarm, printed_on
    )


def _doses(claim: Claim, printed_on: date) -> Iterator[_Change]:
    dose = claim.programme.dose_mcg_per_day

    def with_dose(value: float) -> Claim:
        return replace(claim, programme=scaled(claim.programme, value / dose))

    if dose > 0:
        # "60 mcg once a day entered as 60 mcg every hour": medication-safety alert.
        values = {dose * 24: 0.7, dose / 24: 0.7}
        yield from _numbers("dose", DOSE, dose, values, with_dose, printed_on)
    old = claim.programme_before
    if old is not None and old.dose_mcg_per_day != dose:
        yield _Change(
            "dose",
            format_quantity(dose, DOSE),
            worded(
                "{dose} (the dose before this refill)",
                dose=format_quantity(old.dose_mcg_per_day, DOSE),
            ),
            replace(claim, programme=old),
            printed_on,
            1.2,
        )


def _dates(claim: Claim, printed_on: date) -> Iterator[_Change]:
    filled_on = local_date(claim.fill.at, claim.zone)
    swapped = _day_month_swapped(filled_on)
    if swapped is not None:
        moved = replace(claim, fill=replace(claim.fill, at=start_of(swapped, claim.zone)))
        if claim.before is None or claim.before.at < moved.fill.at:
            yield _Change(
                "filled", filled_on.isoformat(), swapped.isoformat(), moved, printed_on, 0.9
            )
    swapped = _day_month_swapped(printed_on)
    if swapped is not None:
        yield _Change(
            "printed_alarm", printed_on.isoformat(), swapped.isoformat(), claim, swapped, 1.0
        )
    for years in (-1, 1):
        # Around New Year the old year slips in; relativedelta keeps 29 February a date.
        other = printed_on + relativedelta(years=years)
        yield _Change("printed_alarm", printed_on.isoformat(), other.isoformat(), claim, other, 0.9)


def _bridges(claim: Claim, printed_on: date) -> Iterator[_Change]:
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
            yield _Change("bridge", *words, other, printed_on, 1.0)


def _numbers(
    field: str,
    dimension: Dimension,
    entered: float,
    values: dict[float, float],
    changed: Callable[[float], Claim],
    printed_on: date,
) -> Iterator[_Change]:
    """Yield one number's likely misreadings: usual values, powers of ten, swapped digits."""
    weighted = {value: weight for value, weight in values.items() if value != entered}
    for factor, weight in ((10.0, 0.6), (0.1, 0.6), (1000.0, 0.5), (0.001, 0.5)):
        weighted.setdefault(entered * factor, weight)
    for value in _digits_swapped(entered):
        weighted.setdefault(value, 0.6)
    for value, weight in weighted.items():
        if 0 < value <= dimension.largest:
            yield _Change(
                field,
                format_quantity(entered, dimension),
                format_quantity(value, dimension),
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
