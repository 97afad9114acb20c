"""Delivery modes: what the pump has been told to deliver, by its own clock.

A `Programme` covers every mode with the same parts: a background rate that may differ by
hour and weekday, timed boluses over it, and boluses the person may request. The pump's
clock is a fixed offset from UTC, set when the pump was last programmed; it follows
neither daylight saving nor travel.

`Curve` is the same programme as one repeating week of constant-rate pieces, so that an
amount over any span, and the moment by which an amount has been delivered, have closed
forms: whole weeks by multiplication, the rest by looking up one piece.
"""

from bisect import bisect_left, bisect_right
from dataclasses import dataclass, field, replace
from functools import lru_cache
from itertools import accumulate, pairwise
from math import inf
from typing import Final

from pocketpump.core.errors import InputError
from pocketpump.core.messages import message
from pocketpump.core.units.instants import DAY_S

DAY_MIN: Final = 1_440
WEEK_S: Final = 7 * DAY_S
# 1970-01-01 was a Thursday; weeks here begin on Monday.
_EPOCH_S_INTO_WEEK: Final = 3 * DAY_S
# How long the pump takes over one timed bolus. Clinics hand out the amount and the hour,
# not this; it moves a computed instant by minutes (own default, no source).
BOLUS_MIN: Final = 10


@dataclass(frozen=True, slots=True)
class RateStep:
    """From ``start_minute`` (0-1439 by the pump's clock) on: ``rate_mcg_per_hour``."""

    start_minute: int
    rate_mcg_per_hour: float


@dataclass(frozen=True, slots=True)
class TimedBolus:
    """``per_day`` boluses of ``amount_mcg`` each, at ``start_minutes`` by the pump's clock.

    Without ``start_minutes`` the hours are not known and the boluses are counted as spread
    evenly over the day, which gives the right day but not the right minute.
    """

    amount_mcg: float
    per_day: int
    start_minutes: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class RequestedBolus:
    """A bolus of ``amount_mcg`` the person may ask for, at most ``max_per_day`` times."""

    amount_mcg: float
    max_per_day: int


Day = tuple[RateStep, ...]


@dataclass(frozen=True, slots=True)
class Programme:
    """A dose setting: seven days of background (Monday first) and the boluses over it.

    Each day begins with a step at minute 0. ``clock_offset_minutes`` is the pump's clock
    minus UTC. Build it with `constant_rate`, `day_pattern` or `stopped`.
    """

    days: tuple[Day, ...]
    timed: tuple[TimedBolus, ...] = ()
    requested: RequestedBolus | None = None
    clock_offset_minutes: int = 0
    # Kept, because `curve_of` looks programmes up and hashing a week of steps is slow.
    _hash: int = field(init=False, repr=False, compare=False, default=0)

    def __post_init__(self) -> None:
        if len(self.days) != 7 or any(not day or day[0].start_minute != 0 for day in self.days):
            raise ValueError("a programme needs seven days that each begin with a step at 00:00")
        for day in self.days:
            starts = [step.start_minute for step in day]
            if starts != sorted(set(starts)) or starts[-1] >= DAY_MIN:
                raise ValueError("the steps of a day must rise from 00:00 to before 24:00")
        parts = (self.days, self.timed, self.requested, self.clock_offset_minutes)
        object.__setattr__(self, "_hash", hash(parts))

    def __hash__(self) -> int:
        return self._hash

    @property
    def rates(self) -> set[float]:
        """Every rate of the background, mcg/h."""
        return {step.rate_mcg_per_hour for day in self.days for step in day}

    @property
    def mode(self) -> str:
        """The delivery mode, in the trade's words."""
        if self.requested:
            return message("requested bolus")
        if self.timed:
            return message("timed bolus")
        if self.rates == {0.0}:
            # Note: the pump delivers nothing.
            return message("stopped")
        return message("constant rate") if len(self.rates) == 1 else message("day pattern")

    @property
    def background_mcg_per_day(self) -> float:
        """The background alone, mcg a day, averaged over the week."""
        return sum(_day_amount(day) for day in self.days) / 7

    @property
    def dose_mcg_per_day(self) -> float:
        """The daily dose with every bolus counted, requested ones at their maximum."""
        return curve_of(self, 1.0).week_mcg / 7


def constant_rate(dose_mcg_per_day: float, clock_offset_minutes: int = 0) -> Programme:
    """Return the programme that delivers ``dose_mcg_per_day`` evenly."""
    day = (RateStep(0, dose_mcg_per_day / 24),)
    return Programme((day,) * 7, clock_offset_minutes=clock_offset_minutes)


def stopped() -> Programme:
    """Return the programme of a pump that has been told to deliver nothing."""
    return constant_rate(0.0)


def day_pattern(days: list[list[RateStep]], clock_offset_minutes: int = 0) -> Programme:
    """Return a programme from one day's steps (the same every day) or seven days' steps.

    A day that does not begin at 00:00 goes on with the last rate of the day before, as
    the pump does. Raises `InputError` when steps repeat or no day has any.
    """
    week = days * 7 if len(days) == 1 else days
    if len(week) != 7 or not any(week):
        raise InputError(
            message("A day pattern needs at least one rate, for one day or all seven.")
        )
    for steps in week:
        starts = [step.start_minute for step in steps]
        if len(set(starts)) != len(starts):
            raise InputError(
                message("A day pattern has the same time twice: give each time one rate.")
            )
    ordered = [sorted(steps, key=lambda step: step.start_minute) for steps in week]
    carried = next(steps[-1] for steps in reversed(ordered) if steps).rate_mcg_per_hour
    whole: list[Day] = []
    for steps in ordered:
        if not steps or steps[0].start_minute != 0:
            steps = [RateStep(0, carried), *steps]
        carried = steps[-1].rate_mcg_per_hour
        whole.append(tuple(steps))
    return Programme(tuple(whole), clock_offset_minutes=clock_offset_minutes)


def scaled(programme: Programme, factor: float) -> Programme:
    """Return ``programme`` with every rate and bolus multiplied by ``factor``."""
    return replace(
        programme,
        days=tuple(
            tuple(RateStep(step.start_minute, step.rate_mcg_per_hour * factor) for step in day)
            for day in programme.days
        ),
        timed=tuple(replace(b, amount_mcg=b.amount_mcg * factor) for b in programme.timed),
        requested=programme.requested
        and replace(programme.requested, amount_mcg=programme.requested.amount_mcg * factor),
    )


@dataclass(frozen=True, slots=True)
class Curve:
    """One repeating week of delivery by UTC seconds.

    ``starts_s`` are the beginnings of the pieces within the week (first 0.0),
    ``rates_mcg_per_s`` their rates, ``before_mcg`` what the week has delivered before each,
    ``shift_s`` what to add to a UTC second to land in the pump's week.
    """

    starts_s: tuple[float, ...]
    rates_mcg_per_s: tuple[float, ...]
    before_mcg: tuple[float, ...]
    week_mcg: float
    shift_s: float

    def rate_at(self, at_s: float) -> float:
        """Return the rate at a UTC second, mcg/s."""
        return self.rates_mcg_per_s[bisect_right(self.starts_s, (at_s + self.shift_s) % WEEK_S) - 1]

    def delivered(self, start_s: float, end_s: float) -> float:
        """Return the mcg delivered between two UTC seconds, ``start_s`` not after ``end_s``."""
        if len(self.rates_mcg_per_s) == 1:
            return self.rates_mcg_per_s[0] * (end_s - start_s)
        into_week = (start_s + self.shift_s) % WEEK_S
        weeks, rest = divmod(into_week + (end_s - start_s), WEEK_S)
        return weeks * self.week_mcg + self._in_week(rest) - self._in_week(into_week)

    def time_to_deliver(self, start_s: float, amount_mcg: float) -> float:
        """Return the seconds after ``start_s`` by which ``amount_mcg`` is out; inf if never."""
        if amount_mcg <= 0:
            return 0.0
        if self.week_mcg <= 0:
            return inf
        if len(self.rates_mcg_per_s) == 1:
            return amount_mcg / self.rates_mcg_per_s[0]
        into_week = (start_s + self.shift_s) % WEEK_S
        weeks, rest = divmod(self._in_week(into_week) + amount_mcg, self.week_mcg)
        if rest == 0.0:
            # Reached before the week's end when the week ends in a piece with rate zero.
            weeks, rest = weeks - 1, self.week_mcg
        piece = bisect_left(self.before_mcg, rest) - 1
        rate = self.rates_mcg_per_s[piece]
        offset = (rest - self.before_mcg[piece]) / rate if rate > 0 else 0.0
        # An amount lost in rounding would otherwise lie before the start, by a pause's length.
        return max(0.0, weeks * WEEK_S + self.starts_s[piece] + offset - into_week)

    def _in_week(self, second: float) -> float:
        piece = bisect_right(self.starts_s, second) - 1
        return self.before_mcg[piece] + self.rates_mcg_per_s[piece] * (
            second - self.starts_s[piece]
        )


@lru_cache(maxsize=512)
def curve_of(programme: Programme, requested_share: float) -> Curve:
    """Return the week of ``programme``; requested boluses at a share (0 none, 1 all) of their most.

    Nobody knows at which hour a bolus will be requested, so they are spread evenly.
    """
    even_mcg_per_min = (
        sum(
            bolus.amount_mcg * bolus.per_day for bolus in programme.timed if not bolus.start_minutes
        )
        / DAY_MIN
    )
    if programme.requested:
        request = programme.requested
        even_mcg_per_min += requested_share * request.amount_mcg * request.max_per_day / DAY_MIN

    changes: dict[int, float] = {}

    def change(minute: int, by: float) -> None:
        changes[minute] = changes.get(minute, 0.0) + by

    boluses = [(m, b.amount_mcg / BOLUS_MIN) for b in programme.timed for m in b.start_minutes]
    base: dict[int, float] = {}
    for weekday, day in enumerate(programme.days):
        for step in day:
            minute = weekday * DAY_MIN + step.start_minute
            base[minute] = step.rate_mcg_per_hour / 60 + even_mcg_per_min
        for start, rate in boluses:
            change(weekday * DAY_MIN + start, rate)
            change((weekday * DAY_MIN + start + BOLUS_MIN) % (7 * DAY_MIN), -rate)
    # A bolus that runs over the end of the week is still running at its beginning.
    # One that ends with the week is taken away at minute 0, so it has to be running there too.
    running = sum(rate for start, rate in boluses if start + BOLUS_MIN >= DAY_MIN)
    return _week(base, changes, running, programme.clock_offset_minutes)


def _week(
    base: dict[int, float], changes: dict[int, float], running: float, clock_offset_minutes: int
) -> Curve:
    minutes = sorted(base.keys() | changes.keys())
    starts: list[float] = []
    rates: list[float] = []
    background = base[0]
    for minute in minutes:
        background = base.get(minute, background)
        running += changes.get(minute, 0.0)
        # Adding and taking away the same float leaves a crumb; a rate is never below zero.
        rate = max(0.0, background + (running if abs(running) > 1e-12 else 0.0)) / 60
        if not rates or rate != rates[-1]:
            starts.append(minute * 60.0)
            rates.append(rate)
    spans = [end - start for start, end in pairwise([*starts, float(WEEK_S)])]
    totals = list(accumulate(r * span for r, span in zip(rates, spans, strict=True)))
    return Curve(
        tuple(starts),
        tuple(rates),
        (0.0, *totals[:-1]),
        totals[-1],
        _EPOCH_S_INTO_WEEK + clock_offset_minutes * 60.0,
    )


def _day_amount(day: Day) -> float:
    ends = [step.start_minute for step in day[1:]] + [DAY_MIN]
    return sum(
        step.rate_mcg_per_hour * (end - step.start_minute) / 60
        for step, end in zip(day, ends, strict=True)
    )
