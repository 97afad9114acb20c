"""Regimens described twice: as the core's objects, and as plain numbers to step through.

The plain numbers are read straight from the definitions (trade_facts section 3: the pump's
clock follows neither daylight saving nor travel), so that a check never asks the core what
the right answer is.
"""

from __future__ import annotations

import random
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from math import hypot

from pocketpump.core.errors import InputError
from pocketpump.core.pump.programme import (
    Programme,
    RateStep,
    RequestedBolus,
    TimedBolus,
    constant_rate,
    day_pattern,
)
from pocketpump.core.pump.programme_text import with_boluses
from pocketpump.core.pump.situation import Pump, Situation
from pocketpump.core.pump.timeline import Fill, Setting, Timeline

DAY_MINUTES = 1_440
WEEK_MINUTES = 7 * DAY_MINUTES
# A Monday, in whole minutes since 1970 UTC.
MONDAY_MINUTE = int(datetime(2024, 1, 1, tzinfo=UTC).timestamp()) // 60
# The flow accuracy, in %, of which the first window is 14.5 % to both sides: 1.6 times it, and a
# fifth of it, as a standard deviation, from fill to fill.
FIRST_WINDOW_14_5 = 14.5 / hypot(1.6, 0.2 * 1.959964)
# The core's own default for the length of a timed bolus ("own default, no source").
BOLUS_MINUTES = 10


def at(text: str) -> datetime:
    """Return an instant written as UTC."""
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


def day(text: str) -> date:
    return date.fromisoformat(text)


def is_one_sentence(text: str) -> bool:
    """Tell whether an error's text is one clear sentence fit for a screen.

    What was typed is quoted inside it and may hold anything printable, so only the frame is
    judged: one line, one closing period, no words of the machinery.
    """
    frame = text
    if '"' in text:
        first, last = text.index('"'), text.rindex('"')
        frame = text[:first] + text[last:]
    machinery = ("Traceback", "Error", "None", "object at 0x", "invalid literal", "<class")
    return (
        0 < len(text) <= 220
        and text.isprintable()
        and text.endswith(".")
        and not text.endswith("..")
        and ". " not in frame.replace("e.g. ", "")
        and not any(word in frame for word in machinery)
    )


def value_or_sentence(read, *arguments):
    """Return what ``read`` gives, or None after an `InputError` with one clear sentence."""
    try:
        return read(*arguments)
    except InputError as error:
        assert is_one_sentence(str(error)), (arguments, str(error))
        return None


@dataclass(frozen=True)
class Plan:
    """A dose setting in plain numbers: steps (minute, mcg/h) by weekday, and boluses."""

    days: tuple[tuple[tuple[int, float], ...], ...]
    timed: tuple[tuple[float, tuple[int, ...]], ...] = ()
    spread: tuple[float, int] | None = None
    requested: tuple[float, int] | None = None
    offset: int = 0

    def programme(self) -> Programme:
        if len(self.days) == 1 and len(self.days[0]) == 1:
            base = constant_rate(self.days[0][0][1] * 24, self.offset)
        else:
            steps = [[RateStep(minute, rate) for minute, rate in d] for d in self.days]
            base = day_pattern(steps, self.offset)
        timed = tuple(TimedBolus(amount, len(starts), starts) for amount, starts in self.timed)
        if self.spread:
            timed += (TimedBolus(*self.spread),)
        return with_boluses(
            base, timed, RequestedBolus(*self.requested) if self.requested else None
        )

    def table(self, share: float = 1.0) -> list[float]:
        """Return mcg per minute for each minute of the pump's week, Monday 00:00 first."""
        week = self.days * 7 if len(self.days) == 1 else self.days
        by_minute = {d * DAY_MINUTES + m: r for d, steps in enumerate(week) for m, r in steps}
        # The rate that runs into Monday is the last one set in the week.
        rate = by_minute[max(by_minute)]
        even = self.spread[0] * self.spread[1] / DAY_MINUTES if self.spread else 0.0
        if self.requested:
            even += share * self.requested[0] * self.requested[1] / DAY_MINUTES
        rates = []
        for minute in range(WEEK_MINUTES):
            rate = by_minute.get(minute, rate)
            now = rate / 60 + even
            for amount, starts in self.timed:
                for start in starts:
                    if (minute - start) % DAY_MINUTES < BOLUS_MINUTES:
                        now += amount / BOLUS_MINUTES
            rates.append(now)
        return rates


@dataclass(frozen=True)
class Regimen:
    """Fills (instant, mL, mcg/mL, bridged), settings (instant, plan), line and alarm volume."""

    fills: tuple[tuple[datetime, float, float, bool], ...]
    settings: tuple[tuple[datetime, Plan], ...]
    line_ml: float | None
    alarm_ml: float

    def core_fills(self) -> tuple[Fill, ...]:
        return tuple(Fill(*fill) for fill in self.fills)

    def core_settings(self) -> tuple[Setting, ...]:
        return tuple(Setting(when, plan.programme()) for when, plan in self.settings)

    def situation(self, **pump) -> Situation:
        fixed = {"alarm_volume_ml": self.alarm_ml, "line_volume_ml": self.line_ml}
        # A regimen is known beforehand, all of it: what is still to come is planned.
        given = Pump(**{**fixed, **pump})
        return Situation(given, self.core_fills(), (), planned=self.core_settings())

    def now(self) -> datetime:
        return max(fill[0] for fill in self.fills) + timedelta(days=3, minutes=7)


def random_plan(rng: random.Random, stopped_too: bool = True) -> Plan:
    kind = rng.choice(["constant", "day", "week", "timed", "spread", "requested", "stopped"])
    offset = rng.choice([0, 60, -300, 345, 840, -720])
    if kind == "stopped" and stopped_too:
        return Plan((((0, 0.0),),), offset=offset)
    scale = rng.choice([4.0, 12.0, 40.0])

    def steps(first: int) -> tuple[tuple[int, float], ...]:
        minutes = sorted(rng.sample(range(1, DAY_MINUTES), rng.randint(0, 4)))
        rates = [rng.choice([0.0, 0.5, 1.0, 1.37]) * scale for _ in range(len(minutes) + 1)]
        return tuple(zip([first, *minutes], rates, strict=True))

    if kind == "week":
        days = tuple(steps(0) for _ in range(7))
    elif kind == "day":
        days = (steps(0),)
    else:
        days = (((0, rng.choice([0.5, 1.0, 1.9]) * scale),),)
    timed: tuple[tuple[float, tuple[int, ...]], ...] = ()
    if kind in ("timed", "day", "week") and rng.random() < 0.7:
        # 23:50 ends with the day and 23:55 runs over midnight and over the week's end.
        hours = rng.sample([0, 5, 479, 480, 485, 1200, 1430, 1435, 1439], rng.randint(1, 3))
        timed = ((rng.choice([5.0, 25.0, 45.0]), tuple(sorted(hours))),)
    return Plan(
        days,
        timed,
        spread=(20.0, rng.randint(1, 4)) if kind == "spread" else None,
        requested=(25.0, rng.randint(1, 4)) if kind == "requested" else None,
        offset=offset,
    )


def random_regimen(rng: random.Random, stopped_too: bool = True, soonest_s: int = 3_600) -> Regimen:
    """Return a regimen with 1-3 fills and 1-5 settings at any second, some at a fill's own.

    No fill comes sooner than ``soonest_s`` after the one before.
    """
    when = at("2026-01-12T09:00") + timedelta(seconds=rng.randint(0, 7 * 86_400))
    strength = rng.choice([500.0, 1000.0, 2000.0])
    fills = []
    for _ in range(rng.randint(1, 3)):
        fills.append((when, rng.choice([10.0, 18.0, 20.0, 40.0]), strength, rng.random() < 0.5))
        # Some fills come so soon that the line still holds drug of the strength before last.
        gap = rng.choice([3_600, 43_200, 5 * 86_400, 40 * 86_400])
        when += timedelta(seconds=max(soonest_s, gap + rng.randint(0, 86_400)))
        strength = rng.choice([500.0, 750.0, 1000.0, 2000.0])
    first = fills[0][0]
    settings = [(first - timedelta(seconds=rng.choice([0, 86_400])), random_plan(rng, stopped_too))]
    for _ in range(rng.randint(0, 4)):
        later = rng.choice(
            [rng.choice(fills)[0], first + timedelta(seconds=rng.randint(1, 60 * 86_400))]
        )
        if all(later != earlier for earlier, _ in settings):
            settings.append((later, random_plan(rng, stopped_too)))
    line = rng.choice([None, 0.1, 0.35, 1.2])
    return Regimen(tuple(fills), tuple(settings), line, rng.choice([1.0, 2.0, 4.0]))


def tip_mcg_per_h(timeline: Timeline, at_s: float) -> float | None:
    """Return the mcg an hour leaving the catheter tip; None if the line volume is unknown."""
    segment = timeline.segment_at(at_s)
    if segment is None or segment.tip_mcg_per_ml is None:
        return None
    if timeline.volume_at(at_s) == 0.0:
        return 0.0
    flow = segment.curve.rate_at(at_s) / segment.divisor_mcg_per_ml
    return flow * segment.tip_mcg_per_ml * 3_600


def tip_mcg(timeline: Timeline, start_s: float, end_s: float) -> float | None:
    """Return the mcg that left the catheter tip between two seconds while drug was there."""
    total = 0.0
    for segment in timeline.segments:
        begin, end = max(start_s, segment.start_s), min(end_s, segment.end_s)
        if end <= begin:
            continue
        if segment.tip_mcg_per_ml is None:
            return None
        dry = segment.start_s + segment.time_to_pump(max(0.0, segment.volume_ml))
        end = min(end, max(begin, dry))
        pumped = segment.curve.delivered(begin, end) / segment.divisor_mcg_per_ml
        total += pumped * segment.tip_mcg_per_ml
    return total


def down_to(timeline: Timeline, fill: int, level_ml: float) -> float:
    """Return the UTC second at which fill ``fill`` is down to ``level_ml``; inf if never."""
    return timeline.has_pumped(fill, timeline.fills[fill].volume_ml - level_ml)
