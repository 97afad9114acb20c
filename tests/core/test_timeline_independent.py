"""The timeline against a second computation that shares no code with it.

The second one steps from minute to minute of the pump's clock (trade_facts section 3: a
fixed offset from UTC), looks the rate up in a table of the week, divides it by the strength
and keeps the line as a list of plugs that leave in the order in which they went in.
"""

import random
from collections import deque
from datetime import UTC
from itertools import pairwise
from math import floor, inf

import numpy as np
import pytest
from core_helpers import (
    BOLUS_MINUTES,
    MONDAY_MINUTE,
    WEEK_MINUTES,
    Plan,
    Regimen,
    down_to,
    random_regimen,
    tip_mcg,
)

from pocketpump.core.pump.forecast import forecast
from pocketpump.core.pump.timeline_builder import build_timeline
from pocketpump.core.units.instants import to_seconds

SEEDS = range(200)


class Stepper:
    """Walks a regimen minute by minute: reservoir, line and what reached the body."""

    def __init__(self, regimen: Regimen, share: float = 1.0) -> None:
        self.settings = sorted(regimen.settings, key=lambda s: s[0])
        self.tables = [np.array(plan.table(share)) for _, plan in self.settings]
        self.fills = sorted(regimen.fills, key=lambda f: f[0])
        self.line_ml = regimen.line_ml
        self.now = to_seconds(self.fills[0][0])
        self.volume = 0.0
        self.pumped = 0.0
        self.body = 0.0
        self.ran_dry = False
        self.fill = -1
        self.strength = 0.0
        self.bridged = False
        self.line: deque[list[float]] = deque()

    def run_to(self, until: float) -> None:
        while True:
            self._take_fills()
            events = [to_seconds(when) for when, *_ in [*self.settings, *self.fills]]
            stop = min([e for e in events if e > self.now] + [until])
            if stop > until or self.now >= until:
                return
            self._span(stop)

    def _take_fills(self) -> None:
        while (
            self.fill + 1 < len(self.fills) and to_seconds(self.fills[self.fill + 1][0]) <= self.now
        ):
            self.fill += 1
            _, volume, strength, bridged = self.fills[self.fill]
            if self.fill == 0:
                self.line = deque([[self.line_ml or 0.0, strength]])
            elif strength != self.strength:
                self.bridged = bridged
            self.volume, self.strength = volume, strength

    def _plan(self) -> tuple[Plan, np.ndarray]:
        index = max([0] + [i for i, s in enumerate(self.settings) if to_seconds(s[0]) <= self.now])
        return self.settings[index][1], self.tables[index]

    def _span(self, stop: float) -> None:
        """Run one setting until ``stop``."""
        plan, table = self._plan()
        shift = (plan.offset - MONDAY_MINUTE) * 60
        while self.now < stop:
            minute = floor((self.now + shift) / 60)
            if self.line_ml is None or all(mcg == self.strength for _, mcg in self.line):
                # Nothing but the present drug anywhere: all the minutes at once.
                last = floor((stop + shift) / 60)
                minutes = np.arange(minute, last + 1)
                begin = np.maximum(minutes * 60 - shift, self.now)
                end = np.minimum((minutes + 1) * 60 - shift, stop)
                mcg = float(np.sum(table[minutes % WEEK_MINUTES] * (end - begin) / 60))
                self._out(mcg / self.strength)
                self.now = stop
                return
            step = min(stop, (minute + 1) * 60 - shift) - self.now
            divisor = self.line[0][1] if self.bridged else self.strength
            flow = table[minute % WEEK_MINUTES] / 60 / divisor
            # The plug at the tip may be gone within the minute: stop there.
            if flow * step > self.line[0][0]:
                step = self.line[0][0] / flow
            self._out(flow * step)
            self.now += step
            if self.line[0][0] < 1e-12:
                self.line.popleft()

    def _out(self, ml: float) -> None:
        self.volume -= ml
        self.ran_dry = self.ran_dry or self.volume < 0
        self.pumped += ml
        if self.line_ml is None:
            return
        if self.line and self.line[-1][1] == self.strength:
            self.line[-1][0] += ml
        else:
            self.line.append([ml, self.strength])
        while ml > 0 and self.line:
            taken = min(ml, self.line[0][0])
            self.body += taken * self.line[0][1]
            self.line[0][0] -= taken
            ml -= taken
            if self.line[0][0] <= 0:
                self.line.popleft()


def core_line(regimen: Regimen, share: float = 1.0):
    return build_timeline(regimen.core_fills(), regimen.core_settings(), regimen.line_ml, share)[0]


@pytest.mark.parametrize("seed", SEEDS)
def test_volume_agrees_with_minute_stepping(seed):
    rng = random.Random(seed)
    regimen = random_regimen(rng)
    share = rng.choice([1.0, 1.0, 0.0])
    timeline, stepper = core_line(regimen, share), Stepper(regimen, share)
    start = to_seconds(regimen.fills[0][0])
    end = to_seconds(regimen.fills[-1][0]) + 50 * 86_400
    for instant in sorted(rng.uniform(start, end) for _ in range(8)):
        stepper.run_to(instant)
        assert timeline.volume_at(instant) == pytest.approx(max(0.0, stepper.volume), abs=1e-9)
        assert timeline.pumped_at(instant) == pytest.approx(stepper.pumped, abs=1e-9)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_alarm_comes_in_the_minute_in_which_stepping_crosses_its_volume(seed):
    # What is noted within half a day is one refill for the forecast: tests/core/test_duplicates.py.
    regimen = random_regimen(random.Random(seed), stopped_too=seed % 4 == 0, soonest_s=43_201)
    last = len(regimen.fills) - 1
    alarm_s = down_to(core_line(regimen), last, regimen.alarm_ml)
    stepper = Stepper(regimen)
    filled_s = to_seconds(regimen.fills[-1][0])
    if alarm_s == inf or alarm_s - filled_s > 3_650 * 86_400:
        # Said never to come: it must not have come in a year.
        stepper.run_to(filled_s + 365 * 86_400)
        assert stepper.volume > regimen.alarm_ml
        return
    stepper.run_to(alarm_s - 60)
    just_before = stepper.volume
    stepper.run_to(alarm_s)
    assert stepper.volume == pytest.approx(regimen.alarm_ml, abs=1e-9)
    assert just_before > regimen.alarm_ml + 1e-9
    answer, _ = forecast(regimen.situation(), regimen.now(), UTC)
    assert abs(to_seconds(answer.alarm_at) - alarm_s) <= 0.5


@pytest.mark.parametrize("seed", range(120))
def test_what_reaches_the_body_agrees_with_a_list_of_plugs(seed):
    rng = random.Random(seed)
    regimen = random_regimen(rng)
    if regimen.line_ml is None:
        regimen = Regimen(regimen.fills, regimen.settings, 0.35, regimen.alarm_ml)
    timeline, stepper = core_line(regimen), Stepper(regimen)
    start = to_seconds(regimen.fills[0][0])
    end = to_seconds(regimen.fills[-1][0]) + 10 * 86_400
    for instant in sorted(rng.uniform(start, end) for _ in range(5)):
        stepper.run_to(instant)
        if stepper.ran_dry:
            # What a dry pump's line does is not defined; up to there it was compared.
            break
        reached = tip_mcg(timeline, start, instant)
        assert reached == pytest.approx(stepper.body, rel=1e-9, abs=1e-4)


def test_the_random_regimens_hold_every_case_the_checks_are_for():
    """A guard on the generator: without these cases the checks above would prove little."""
    regimens = [random_regimen(random.Random(seed)) for seed in SEEDS]
    plans = [plan for regimen in regimens for _, plan in regimen.settings]
    midnight = [b for plan in plans for _, starts in plan.timed for b in starts]
    assert any(start + BOLUS_MINUTES == 1440 for start in midnight)
    assert any(start + BOLUS_MINUTES > 1440 for start in midnight)
    assert any(len(plan.days) == 7 for plan in plans)
    assert any(plan.requested for plan in plans)
    assert any(plan.spread for plan in plans)
    assert any(rate == 0 for plan in plans for d in plan.days for _, rate in d)
    changes = [
        (later[3], regimen.line_ml is None)
        for regimen in regimens
        for earlier, later in pairwise(regimen.fills)
        if earlier[2] != later[2]
    ]
    assert {bridged for bridged, _ in changes} == {True, False}
    assert {unknown for _, unknown in changes} == {True, False}
    both = [r for r in regimens if len(r.fills) == 3 and (r.fills[2][0] - r.fills[0][0]).days < 3]
    assert both, "no second change of strength before the line has cleared"
    fill_instants = {fill[0] for r in regimens for fill in r.fills[1:]}
    assert any(when in fill_instants for r in regimens for when, _ in r.settings)
