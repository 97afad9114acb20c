"""A trip: whether the reservoir reaches the return, and the pump's hours on the clock there.

The reach is the earliest edge of the alarm's window, never the likely date. The pump's
clock follows neither daylight saving nor travel, so its hours are moved to the clock of
each place, day by day.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta, tzinfo
from itertools import groupby, pairwise

from pocketpump.core.errors import InputError
from pocketpump.core.messages import message
from pocketpump.core.pump.delivery_ratio import pumped_band
from pocketpump.core.pump.forecast import Forecast, forecast
from pocketpump.core.pump.programme import DAY_MIN, Programme
from pocketpump.core.pump.programme_text import clock_text
from pocketpump.core.pump.state import GRAVE_STATES
from pocketpump.core.pump.timeline import Fill
from pocketpump.core.units.instants import (
    attach_zone,
    from_seconds,
    local_date,
    start_of,
    to_seconds,
    zone_named,
)
from pocketpump.core.units.quantity import AMOUNT, HOURLY_RATE, entered_quantity

_NEAR = timedelta(days=7)
_REFILL_AT = time(9)
"""A refill before the trip is thought of at this hour (own default; it moves a day at most)."""


@dataclass(frozen=True, slots=True)
class Stay:
    """From ``from_on`` on (a date there) the person is at ``place`` in ``zone_name``."""

    from_on: date
    place: str
    zone_name: str


@dataclass(frozen=True, slots=True)
class Trip:
    """A journey; ``returns_on`` is the day of being home again. ``stays`` are in order.

    Eastwards over the date line the next place may begin on the day before. Raises
    `InputError` for days that contradict each other and for a zone nobody knows.
    """

    leaves_on: date
    returns_on: date
    stays: tuple[Stay, ...]

    def __post_init__(self) -> None:
        for stay in self.stays:
            zone_named(stay.zone_name)
        if self.returns_on < self.leaves_on:
            raise InputError(
                message("The return cannot be before the start: change one of the days.")
            )
        if not self.stays or not all(_comes_after(*pair) for pair in pairwise(self.stays)):
            raise InputError(
                message("Give the places in the order of the journey, each from its own day.")
            )
        if self.stays[-1].from_on > self.returns_on:
            raise InputError(message("A place begins after the return: change one of the days."))


@dataclass(frozen=True, slots=True)
class DrugReach:
    """Whether the drug reaches the return plus the margin.

    ``verdict`` is "fine", "refill first" (a refill before leaving is enough), "more refills"
    (the next refill is due before the trip and does not reach to its end), "refill away" (not
    even a refill just before leaving reaches), "do not leave" (a refill is overdue) or "cannot
    tell". ``needed_until`` is the return plus the margin, ``reaches`` the last sure day now and
    ``because`` what sets it. ``refill_on`` is the last open day before leaving and never later
    than the refill-by date; ``is_due`` says that it is the refill due before the trip anyway.
    ``reaches_then`` is what the same refill on that day would give.
    """

    verdict: str
    needed_until: date
    reaches: date | None = None
    because: str = ""
    refill_on: date | None = None
    reaches_then: date | None = None
    is_due: bool = False


@dataclass(frozen=True, slots=True)
class ClockRow:
    """One hour of the pump: by its own clock, by the clock there, and what begins then.

    ``day_shift`` is how many days later it is there (-2 to 2); it matters only when the row
    is not ``daily`` (a pattern by weekday: ``weekday`` by the pump, 0 is Monday).
    """

    pump_clock: str
    local_clock: str
    day_shift: int
    what: str
    weekday: int | None = None
    is_bolus: bool = False

    @property
    def daily(self) -> bool:
        """Whether it comes on every day."""
        return self.weekday is None


@dataclass(frozen=True, slots=True)
class ClockSpan:
    """Days at one place on which the pump's hours come at the same local hours.

    ``shift_minutes`` is the local clock minus the pump's.
    """

    place: str
    zone_name: str
    first_on: date
    last_on: date
    shift_minutes: int
    rows: tuple[ClockRow, ...]


def reach_of(trip: Trip, answer: Forecast) -> DrugReach:
    """Return whether what is in the pump at the forecast's instant reaches the return."""
    zone = answer.now.tzinfo
    assert zone is not None  # a forecast's instants are aware
    needed = trip.returns_on + timedelta(days=answer.situation.habits.margin_days)
    if answer.state == "stopped":
        return DrugReach("cannot tell", needed, because=message("the pump is noted as stopped"))
    if answer.state in GRAVE_STATES:
        return DrugReach("do not leave", needed, because=answer.state)
    reaches, because = _last_sure_day(answer, zone)
    # Even a pump that lasts is no help when its last open day for a refill is during the trip.
    if reaches >= needed and answer.refill_by >= trip.returns_on:
        return DrugReach("fine", needed, reaches, because)
    is_due = answer.refill_by < trip.leaves_on
    refill_on = answer.situation.habits.clinic_days.last_open_day(
        min(trip.leaves_on - timedelta(days=1), answer.refill_by)
    )
    if refill_on < answer.today:
        return DrugReach("refill away", needed, reaches, because)
    then = _after_refill(answer, refill_on, zone)
    reaches_then = _last_sure_day(then, zone)[0] if then else None
    if reaches_then is not None and reaches_then >= needed:
        verdict = "refill first"
    else:
        verdict = "more refills" if is_due else "refill away"
    return DrugReach(verdict, needed, reaches, because, refill_on, reaches_then, is_due)


def is_near(trip: Trip, today: date) -> bool:
    """Return whether the trip runs on ``today`` or begins within a week (own default)."""
    return trip.leaves_on - _NEAR <= today <= trip.returns_on


def clock_spans(trip: Trip, programme: Programme) -> tuple[ClockSpan, ...]:
    """Return when the pump's hours come by the local clock, place by place.

    A place at which the clocks change comes as two spans. Nothing comes back for a
    programme whose hours do not matter (a constant rate).
    """
    if not _has_hours(programme):
        return ()
    spans: list[ClockSpan] = []
    leaves = [stay.from_on - timedelta(days=1) for stay in trip.stays[1:]]
    for stay, left_on in zip(trip.stays, [*leaves, trip.returns_on], strict=True):
        end = max(left_on, stay.from_on)
        zone = zone_named(stay.zone_name)
        days = [stay.from_on + timedelta(days=i) for i in range((end - stay.from_on).days + 1)]
        shifts = [(_shift(day, zone, programme), day) for day in days]
        for shift, group in groupby(shifts, key=lambda pair: pair[0]):
            same = [day for _, day in group]
            spans.append(
                ClockSpan(stay.place, stay.zone_name, same[0], same[-1], shift,
                          clock_rows(programme, shift, [day.weekday() for day in same[:7]]))
            )  # fmt: skip
    return tuple(spans)


def programme_for(trip: Trip, answer: Forecast) -> Programme:
    """Return the programme with which the trip begins; the first one noted if it is older."""
    zone = answer.now.tzinfo
    assert zone is not None  # a forecast's instants are aware
    settings = answer.situation.settings
    begun = [s for s in settings if local_date(s.at, zone) <= trip.leaves_on]
    return (begun[-1] if begun else settings[0]).programme


def clock_rows(
    programme: Programme, shift_minutes: int, weekdays: Sequence[int] = range(7)
) -> tuple[ClockRow, ...]:
    """Return the pump's hours moved by ``shift_minutes``, in the order of the pump's day.

    Of a pattern by weekday only what runs on one of the ``weekdays`` there (0 is Monday), which
    follow each other; of less than a week in their order.
    """
    rows: list[tuple[int, ClockRow]] = []
    same_all_week = len(set(programme.days)) == 1
    for weekday, day in enumerate(programme.days[:1] if same_all_week else programme.days):
        for step in day:
            rate = entered_quantity(step.rate_mcg_per_hour, HOURLY_RATE)
            if len(day) > 1 or not same_all_week:
                order = weekday * DAY_MIN + step.start_minute
                row = _row(step.start_minute, shift_minutes, rate)
                rows.append((order, replace(row, weekday=None if same_all_week else weekday)))
    if not same_all_week:
        rows = _of_days(rows, shift_minutes, weekdays)
    for bolus in programme.timed:
        amount = message("bolus {amount}", amount=entered_quantity(bolus.amount_mcg, AMOUNT))
        rows += [
            (m, replace(_row(m, shift_minutes, amount), is_bolus=True)) for m in bolus.start_minutes
        ]
    return tuple(row for _, row in sorted(rows, key=lambda pair: pair[0]))


def _of_days(
    steps: Sequence[tuple[int, ClockRow]], shift: int, weekdays: Sequence[int]
) -> list[tuple[int, ClockRow]]:
    """Return the steps that run on one of the ``weekdays`` there, by minutes since their start.

    The one that runs already then is the first.
    """
    if len(weekdays) >= 7:
        return list(steps)
    week_min, stay_min = 7 * DAY_MIN, len(weekdays) * DAY_MIN
    begins = sorted(
        (((minute + shift - weekdays[0] * DAY_MIN) % week_min, row) for minute, row in steps),
        key=lambda pair: pair[0],
    )
    during = [pair for pair in begins if pair[0] < stay_min]
    after, running = begins[-1]
    if during and during[0][0] == 0:
        return during
    return [(after - week_min, running), *during]


def _comes_after(stay: Stay, following: Stay) -> bool:
    """Whether the first day at ``following`` is not over before the one at ``stay`` begins."""
    begins = start_of(stay.from_on, zone_named(stay.zone_name))
    ends = start_of(following.from_on + timedelta(days=1), zone_named(following.zone_name))
    return to_seconds(ends) > to_seconds(begins)


def _row(minute: int, shift: int, what: str) -> ClockRow:
    day_shift, local = divmod(minute + shift, DAY_MIN)
    return ClockRow(clock_text(minute), clock_text(local), day_shift, what)


def _has_hours(programme: Programme) -> bool:
    return len(programme.rates) > 1 or any(bolus.start_minutes for bolus in programme.timed)


def _shift(day: date, zone: tzinfo, programme: Programme) -> int:
    # At noon: a change of clocks comes at night and holds for the day after it.
    offset = datetime.combine(day, time(12), zone).utcoffset() or timedelta(0)
    return round(offset.total_seconds() / 60) - programme.clock_offset_minutes


def _last_sure_day(answer: Forecast, zone: tzinfo) -> tuple[date, str]:
    """Return the last day on which drug is sure to be left, before any margin."""
    days = [(local_date(answer.drug_age_limit_at, zone), message("drug-age limit"))]
    if answer.alarm_earliest is not None:
        days.append((local_date(answer.alarm_earliest, zone), message("earliest alarm date")))
    if answer.printed_in_force is not None:
        days.append((answer.printed_in_force, message("clinic's alarm date")))
    felt_ml = answer.situation.pump.felt_low_ml
    if felt_ml is not None:
        pump, last = answer.situation.pump, len(answer.timeline.fills) - 1
        to_pump_ml = answer.fill.volume_ml - felt_ml
        earliest_ml, _ = pumped_band(answer.ratio, to_pump_ml, pump.reading_error_ml)
        at_s = answer.timeline.has_pumped(last, min(earliest_ml, max(0.0, to_pump_ml)))
        if at_s < to_seconds(answer.drug_age_limit_at):
            days.append((local_date(from_seconds(at_s, zone), zone), message("felt volume")))
    return min(days)


def _after_refill(answer: Forecast, day: date, zone: tzinfo) -> Forecast | None:
    """Return the forecast after the same refill again on ``day``, at the hour of the leaflet."""
    at = max(attach_zone(datetime.combine(day, _REFILL_AT), zone), answer.now)
    again = Fill(at, answer.fill.volume_ml, answer.fill.strength_mcg_per_ml)
    situation = replace(
        answer.situation,
        fills=(*answer.timeline.fills, again),
        printouts=(),
    )
    then, _ = forecast(situation, at, zone)
    return then


def places_of(stays: Sequence[Stay]) -> str:
    """Return the places in one line, in order."""
    return ", ".join(stay.place or stay.zone_name for stay in stays)
