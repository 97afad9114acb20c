"""One refill noted twice, on two phones minutes apart: told, and learnt from once."""

from datetime import UTC, datetime, timedelta

import pytest
from core_helpers import is_one_sentence

from pocketpump.core.outlook import outlook
from pocketpump.core.pattern import constant_rate
from pocketpump.core.situation import Pump, Situation
from pocketpump.core.timeline import Fill, Setting
from pocketpump.core.timeline_walk import build_timeline
from pocketpump.core.twins import twin_problems
from pocketpump.core.window import residuals_of

FIRST = Fill(datetime(2026, 1, 12, 9, tzinfo=UTC), 20, 500, id="first")
REFILL = datetime(2026, 2, 20, 9, tzinfo=UTC)
ONCE = Fill(REFILL, 20, 500, id="a", expected_ml=4.4, withdrawn_ml=6.0)
SETTINGS = (Setting(FIRST.at, constant_rate(200)),)


def again(minutes: float, volume=20.0, strength=500.0) -> Fill:
    return Fill(REFILL + timedelta(minutes=minutes), volume, strength, id="b", expected_ml=4.4,
                withdrawn_ml=6.0)  # fmt: skip


@pytest.mark.parametrize(
    ("second", "twins"),
    [
        (again(0), True), (again(5), True), (again(719), True),
        # Half a day apart is another visit (own choice, no source).
        (again(721), False), (again(5, volume=18.0), False), (again(5, strength=1000.0), False),
    ],
)  # fmt: skip
def test_only_the_same_refill_again_is_told_and_not_learnt_from(second, twins):
    fills = [second, ONCE, FIRST]
    problems = twin_problems(fills)
    assert [set(problem.ids) for problem in problems] == ([{"a", "b"}] if twins else [])
    assert all(is_one_sentence(problem.sentence) for problem in problems)
    timeline, _ = build_timeline(fills, SETTINGS)
    if second.at > ONCE.at:
        assert len(residuals_of(timeline)) == (1 if twins else 2)


def test_a_refill_noted_twice_teaches_the_ratio_once():
    def ratio(*fills):
        now = REFILL + timedelta(days=5)
        answer, _ = outlook(Situation(Pump(2.0), (FIRST, *fills), SETTINGS), now, UTC)
        return answer.ratio

    assert ratio(ONCE, again(5)) == ratio(ONCE)


def test_a_refill_noted_three_times_is_told_twice():
    third = Fill(REFILL + timedelta(minutes=9), 20, 500, id="c")
    assert [p.ids for p in twin_problems([FIRST, ONCE, again(5), third])] == [
        ("a", "b"), ("b", "c"),
    ]  # fmt: skip
