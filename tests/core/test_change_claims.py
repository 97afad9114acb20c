"""What is claimed of a change of the dose that did nothing, and what is seen of one that did.

A row is a kind of invented diary (`diary_simulator`) with the largest share of false claims it may
give. A thousand diaries a row in the thorough run, whose table (``-s``) stands in
docs/measured.md; the usual run takes fewer and allows what chance allows. No seed was chosen by
what it gives.
"""

import os
import random
from dataclasses import dataclass, field, replace
from functools import partial
from math import hypot, inf
from statistics import NormalDist

import pytest
from diary_simulator import (
    DAILY,
    EVENING,
    EVENINGS,
    MORNING,
    MORNINGS,
    NOON,
    THREE_A_DAY,
    WEEKDAYS_ONLY,
    WEEKENDS_ONLY,
    Course,
    Noting,
    day_after_a_bad_week,
    day_at,
    least_of,
    most_of,
    simulated_diary,
)

from pocketpump.core.diary.comparison import FIRST_LOOK, GRAIN, LAST_LOOK, compared
from pocketpump.core.diary.response import Response, responses
from pocketpump.core.diary.stratified import Side, matched
from pocketpump.core.diary.verdict import CLAIMS
from pocketpump.core.pump.programme import constant_rate
from pocketpump.core.pump.timeline import Setting
from pocketpump.core.statistics.rank_test import rank_shift

THOROUGH = os.environ.get("POCKETPUMP_THOROUGH") == "1"
MANY = 1_000
COUNT = MANY if THOROUGH else 60
BEFORE, SETTLING, FIRST, LAST = 28, 5, 14, 28
CHANGE_DAY = 28
SOME = partial(Course, change_day=CHANGE_DAY)
MIXED_BEFORE = Noting({MORNING: 0.9, NOON: 0.3, EVENING: 0.5})
MIXED_AFTER = Noting({MORNING: 0.5, NOON: 0.4, EVENING: 0.9})
TWO_A_DAY = Noting({MORNING: 1.0, EVENING: 1.0})
RHYTHM = {NOON: 0.7, EVENING: 2.0}


@dataclass(frozen=True)
class Case:
    """A kind of diary: at most ``most`` of it may be claimed falsely, at least ``least`` seen.

    The change falls on day 28, or on the day after the worst week of days 28 to 65.
    """

    name: str
    course: Course = field(default_factory=SOME)
    before: Noting = DAILY
    after: Noting | None = None
    most: float = 1.0
    least: float = 0.0
    after_bad_week: bool = False
    usual: bool = True

    def diary(self, chance: random.Random):
        """Return the day of the change and the check-ins until the last look."""
        if not self.after_bad_week:
            length = CHANGE_DAY + SETTLING + LAST
            return CHANGE_DAY, simulated_diary(chance, length, self.course, self.before, self.after)
        marks = simulated_diary(chance, 100, self.course, self.before)
        return day_after_a_bad_week(marks, BEFORE, 65), marks


def alike(value, **more):
    return SOME(alike=value, **more)


def worst_of(noted):
    """Note three times a day, but only the worst share ``noted`` of it, of a `Course` as usual."""
    scatter = hypot(Course().scatter, Course().within)
    cut = None if noted == 1 else NormalDist(0, scatter).inv_cdf(1 - noted)
    return Noting({MORNING: 1.0, NOON: 1.0, EVENING: 1.0}, only_above=cut)


CASES = [
    *(Case(f"likeness {a:g}", alike(a), most=0.05) for a in (0.0, 0.3, 0.6)),
    Case("likeness 0.8", alike(0.8), most=0.06),
    Case("likeness 0.9", alike(0.9), most=0.08),
    Case("likeness 0.9, all of it", alike(0.9, scatter=1.3, within=0.0), most=0.08, usual=False),
    Case("likeness 0.6, every second day", alike(0.6), Noting(every=2), most=0.05, usual=False),
    Case("likeness 0.6, every third day", alike(0.6), Noting(every=3), most=0.05, usual=False),
    Case("likeness 0.6, half of the days by chance", alike(0.6), Noting(weekdays=0.5, weekends=0.5),
         most=0.05, usual=False),
    Case("likeness 0.6, three a day", alike(0.6), THREE_A_DAY, most=0.05),
    Case("scores 0 to 4", SOME(base=2, highest=4, scatter=0.7), most=0.05, usual=False),
    Case("mornings, then evenings 2 points worse", SOME(by_hour={EVENING: 2.0}), MORNINGS,
         EVENINGS, most=0.05, usual=False),
    Case("mostly mornings, then mostly evenings", SOME(by_hour=RHYTHM), MIXED_BEFORE, MIXED_AFTER,
         most=0.05),
    Case("the same, likeness 0.6", alike(0.6, by_hour=RHYTHM), MIXED_BEFORE, MIXED_AFTER,
         most=0.05, usual=False),
    Case("weekdays, then weekends 1.5 points worse", SOME(weekend=1.5), WEEKDAYS_ONLY,
         WEEKENDS_ONLY, most=0.05, usual=False),
    Case("fewer weekends, then fewer weekdays", SOME(weekend=1.5), Noting(weekends=0.6),
         Noting(weekdays=0.6), most=0.05),
    Case("weekly and daily rhythm, three a day", SOME(weekend=1.0, by_hour=RHYTHM), THREE_A_DAY,
         most=0.05, usual=False),
    Case("only bad days noted", SOME(), Noting(only_above=0.0), most=0.05, usual=False),
    Case("all days, then only bad days", SOME(), DAILY, Noting(only_above=0.5), most=0.05),
    Case("only bad days, then all days", SOME(), Noting(only_above=0.5), DAILY, most=0.05,
         usual=False),
    *(Case(f"three a day, only the not good (two of three), then all, likeness {a:g}", alike(a),
           replace(THREE_A_DAY, only_above=-0.5), THREE_A_DAY, most=0.05, usual=a == 0)
      for a in (0.0, 0.3, 0.6)),
    Case("two a day, only the not good (two of three), then all", alike(0.3),
         replace(TWO_A_DAY, only_above=-0.5), TWO_A_DAY, most=0.05, usual=False),
    Case("three a day, all, then only the not good (two of three)", alike(0.3), THREE_A_DAY,
         replace(THREE_A_DAY, only_above=-0.5), most=0.05, usual=False),
    *(Case(f"the worst {b:.0%} of three a day noted, then {a:.0%}", alike(0.3),
           worst_of(b), worst_of(a), most=0.05, usual=False)
      for b, a in ((0.5, 0.6), (0.5, 0.7), (0.6, 0.75), (0.7, 0.85), (0.8, 1.0), (0.85, 0.95),
                   (0.9, 1.0), (0.7, 0.5), (1.0, 0.8))),
    *(Case(f"after a bad week, likeness {a:g}", Course(alike=a), most=0.05, after_bad_week=True,
           usual=a == 0.6) for a in (0.0, 0.3, 0.6)),
    Case("after the worst week, with spells of five days", Course(spell_every=25), most=0.05,
         after_bad_week=True, usual=False),
    Case("spells of five days a month", SOME(spell_every=25), most=0.05),
    *(Case(f"a bad spell of the {d} days up to the change, {points:g} points",
           alike(0.3, spell_between=(CHANGE_DAY - d, CHANGE_DAY + 3), spell_points=points),
           most=0.05, usual=(d, points) == (18, 2.5))
      for d in (7, 14, 18, 21) for points in (1.5, 2.5)),
    # Nothing tells a spell as long as the days before it from how it always was.
    Case("a bad spell of the 24 days up to the change, 2.5 points",
         alike(0.3, spell_between=(CHANGE_DAY - 24, CHANGE_DAY + 3)), usual=False),
    Case("slow wander, 0.1 a day", SOME(wander=0.1), most=0.08),
    Case("slow wander, 0.15 a day", SOME(wander=0.15), most=0.08, usual=False),
    *(Case(f"falling {-t:g} a week, likeness {a:g}", alike(a, trend_per_week=t, base=6), most=0.10,
           usual=(t, a) == (-0.35, 0.3))
      for t in (-0.25, -0.35, -0.5) for a in (0.0, 0.3)),
    Case("falling 0.35 a week, likeness 0.6", alike(0.6, trend_per_week=-0.35, base=6), most=0.10,
         usual=False),
    Case("rising 0.35 a week", SOME(trend_per_week=0.35, base=4), most=0.10, usual=False),
    Case("falling 0.5 a week until the change", SOME(trend_per_week=-0.5, trend_until=28, base=6),
         most=0.10),
]  # fmt: skip
REAL = [
    Case("1 point, likeness 0", SOME(change=-1.0), least=0.25),
    Case("1 point, likeness 0.3", alike(0.3, change=-1.0), least=0.15, usual=False),
    Case("2 points, likeness 0", SOME(change=-2.0), least=0.7, usual=False),
    Case("2 points, likeness 0.3", alike(0.3, change=-2.0), least=0.55, usual=False),
    Case("2 points, likeness 0.6", alike(0.6, change=-2.0), least=0.35),
    Case("3 points, likeness 0.6", alike(0.6, change=-3.0, base=6), least=0.65, usual=False),
    Case("2 points more, likeness 0.3", alike(0.3, change=2.0, base=4), least=0.6, usual=False),
    Case("2 points, likeness 0, three a day", SOME(change=-2.0), THREE_A_DAY, least=0.7,
         usual=False),
]  # fmt: skip


def as_params(cases):
    return [
        pytest.param(case, id=case.name, marks=() if case.usual else pytest.mark.thorough)
        for case in cases
    ]


def response_at(look: int, turn: int, marks) -> Response:
    """Return what is told on the day of a look of a change on day ``turn``."""
    settings = (
        Setting(day_at(turn - 200), constant_rate(200.0)),
        Setting(day_at(turn), constant_rate(230.0)),
    )
    now = day_at(turn + SETTLING + look)
    kept = [mark for mark in marks if mark.at <= now]
    return responses(settings, kept, now, settling_days=SETTLING)[-1]


def sides_of(first: int, turn: int, look: int, marks) -> tuple[Side, Side]:
    """Return the whole days before ``turn`` from ``first`` on, and ``look`` days once settled."""
    begin = turn + SETTLING

    def side(start: int, end: int) -> Side:
        kept = tuple(mark for mark in marks if day_at(start) <= mark.at < day_at(end))
        return Side(kept, day_at(start).date(), day_at(end - 1).date())

    return side(first, turn), side(begin, begin + look)


def claimed_at_first(turn: int, marks) -> bool:
    """Whether the first look claims; asked of the quick part alone where that already says no."""
    strata = matched(*sides_of(turn - BEFORE, turn, FIRST, marks)).strata.values()
    ranks = rank_shift(strata, confidence=FIRST_LOOK.confidence, grain=GRAIN)
    if ranks is None or ranks.shift.low <= 0 <= ranks.shift.high:
        return False
    return response_at(FIRST, turn, marks).verdict in CLAIMS


def tally(case: Case, count: int) -> dict[str, float]:
    """Return the shares of ``count`` diaries: claimed at either look, by what, and covered."""
    chance = random.Random(case.name)
    sums = dict.fromkeys(("last", "any", "first", "ranks", "step", "none", "judged", "covers"), 0)
    for _ in range(count):
        turn, marks = case.diary(chance)
        first, last = claimed_at_first(turn, marks), response_at(LAST, turn, marks)
        sums["first"] += first
        sums["last"] += last.verdict in CLAIMS
        sums["any"] += first or last.verdict in CLAIMS
        found = last.comparison
        if found is None:
            sums["none"] += 1
            continue
        sums["judged"] += 1
        sums["ranks"] += found.ranks_differ
        sums["step"] += not found.step.low <= 0 <= found.step.high
        sums["covers"] += found.shift.low <= case.course.change <= found.shift.high
    shares = {name: value / count for name, value in sums.items()}
    shares["covers"] = sums["covers"] / max(sums["judged"], 1)
    print(
        f"\n| {case.name} | {shares['last']:.1%} | {shares['any']:.1%} | {shares['first']:.1%} |"
        f" {shares['ranks']:.1%} | {shares['step']:.1%} | {shares['covers']:.1%} |"
        f" {shares['none']:.0%} |"
    )
    return shares


@pytest.mark.parametrize("case", as_params(CASES))
def test_what_did_not_change_is_seldom_said_to_have_changed(case):
    shares = tally(case, COUNT)
    # A run of a thousand may lie two standard errors above what it is a sample of.
    sure = 2.0 if THOROUGH else 3.0
    assert shares["last"] <= most_of(case.most, COUNT, sure)
    # Looked at every day of a month: only the two looks can bring anything new.
    assert shares["any"] <= most_of(max(case.most, 0.08), COUNT, sure)
    if case.most < 1 and shares["none"] < 0.5 and case.course.trend_per_week == 0:
        assert shares["covers"] >= least_of(0.93, COUNT)


@pytest.mark.parametrize("case", as_params(REAL))
def test_what_changed_is_seen_the_more_often_the_more_it_changed(case):
    shares = tally(case, COUNT)
    assert shares["last"] >= least_of(case.least, COUNT)
    assert shares["covers"] >= least_of(0.93, COUNT)


def seen_in(days: int, case: Case, count: int) -> float:
    """Return how often a change is seen with ``days`` days on either side, whatever the looks."""
    chance = random.Random(f"{case.name} {days}")
    caution = FIRST_LOOK if days <= FIRST else LAST_LOOK
    course = replace(case.course, change_day=days)
    found = 0
    for _ in range(count):
        marks = simulated_diary(chance, 2 * days + SETTLING, course, case.before)
        one = compared(*sides_of(0, days, days, marks), 10, caution)
        found += one is not None and not one.shift.low <= 0 <= one.shift.high
    return found / count


@pytest.mark.thorough
@pytest.mark.parametrize("case", [case for case in REAL if case.before is DAILY],
                         ids=lambda case: case.name)  # fmt: skip
def test_more_days_see_more(case):
    shares = [seen_in(days, case, 500) for days in (14, 28, 56)]
    print(f"\n| {case.name} | " + " | ".join(f"{share:.0%}" for share in shares) + " |")
    assert shares == sorted(shares)


def test_what_is_said_to_have_shown_would_have_shown_in_four_of_five():
    """The shift told as visible, made real in diaries like the one it was told of, is found."""
    count = 300 if THOROUGH else 60
    still, chance = Case("as told", alike(0.3)), random.Random(11)
    told = []
    for _ in range(count // 3):
        turn, marks = still.diary(chance)
        found = response_at(LAST, turn, marks).comparison
        assert found is not None
        told.append(found.visible)
    usual = sorted(told)[len(told) // 2]
    assert 1.0 < usual < inf
    real = Case("made real", alike(0.3, change=-usual, base=6), least=0.8)
    share = tally(real, count)["last"]
    assert least_of(0.75, count) <= share <= most_of(0.95, count)


@pytest.mark.parametrize(
    ("change", "least", "most"),
    [(0.0, 0.0, 0.05), pytest.param(-4.0, 0.6, 1.0, marks=pytest.mark.thorough)],
)
def test_a_titration_of_four_steps_is_judged_as_one(change, least, most):
    chance, told = random.Random(f"titration {change}"), 0
    days = [28, 36, 44, 52]
    settings = [Setting(day_at(-200), constant_rate(200.0))]
    settings += [Setting(day_at(day), constant_rate(210.0 + day)) for day in days]
    now = day_at(days[-1] + SETTLING + LAST)
    for _ in range(COUNT):
        course = Course(alike=0.3, base=7, change_day=40, change=change)
        marks = simulated_diary(chance, days[-1] + SETTLING + LAST, course)
        (found,) = responses(settings, marks, now)
        told += found.verdict in CLAIMS
    print(f"\n| titration of four steps, {change:g} points | {told / COUNT:.1%} |")
    assert least_of(least, COUNT) <= told / COUNT <= most_of(most, COUNT)
