"""One refill noted twice, on two phones minutes apart: told, and learnt from once."""

from dataclasses import replace
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
    assert ratio_of(ONCE, again(5)) == ratio_of(ONCE)


def silent(fill: Fill, **known) -> Fill:
    return replace(fill, **{"expected_ml": None, "withdrawn_ml": None, **known})


def ratio_of(*fills):
    answer, _ = outlook(
        Situation(Pump(2.0), (FIRST, *fills), SETTINGS), REFILL + timedelta(days=5), UTC
    )
    return answer.ratio


@pytest.mark.parametrize("minutes", [0, 5, 300])
@pytest.mark.parametrize("first_knows", [True, False])
def test_a_refill_noted_twice_teaches_from_whichever_note_holds_it(minutes, first_knows):
    one, two = ONCE, again(minutes)
    notes = (one, silent(two)) if first_knows else (silent(one), two)
    assert ratio_of(*notes) == ratio_of(ONCE)
    # In one minute the note given last counts for the rest.
    assert ratio_of(*reversed(notes)) == ratio_of(ONCE)


@pytest.mark.parametrize("minutes", [0, 5])
def test_two_notes_of_one_refill_may_each_know_a_part_of_it(minutes):
    notes = (silent(ONCE, expected_ml=4.4), silent(again(minutes), withdrawn_ml=6.0))
    assert ratio_of(*notes) == ratio_of(*reversed(notes)) == ratio_of(ONCE)


@pytest.mark.parametrize("minutes", [0, 5])
def test_of_two_notes_that_disagree_the_one_with_more_delivered_teaches_once(minutes):
    less = replace(again(minutes), withdrawn_ml=3.0)
    lowest = ratio_of(replace(ONCE, withdrawn_ml=3.0))
    assert ratio_of(ONCE, less) == ratio_of(less, ONCE) == lowest
    assert lowest.counted == 1


def test_the_lesson_of_another_refill_in_the_same_minute_does_not_count():
    # Another volume: not the same refill, and of the two only the last one given counts.
    other = replace(silent(ONCE), id="b", volume_ml=18.0)
    assert ratio_of(ONCE, other).counted == 0


def test_the_refill_after_one_noted_twice_teaches_from_what_was_filled_then():
    next_one = Fill(REFILL + timedelta(days=40), 20, 500, id="n", expected_ml=4.0, withdrawn_ml=5.0)
    situation = Situation(Pump(2.0), (FIRST, silent(ONCE), again(5), next_one), SETTINGS)
    timeline, _ = build_timeline(situation.fills, SETTINGS)
    lessons = residuals_of(timeline)
    assert [(one.expected_ml, one.withdrawn_ml, one.id) for one in lessons] == [
        (4.4, 6.0, "b"), (4.0, 5.0, "n"),
    ]  # fmt: skip


def test_a_refill_noted_three_times_is_told_twice():
    third = Fill(REFILL + timedelta(minutes=9), 20, 500, id="c")
    assert [p.ids for p in twin_problems([FIRST, ONCE, again(5), third])] == [
        ("a", "b"), ("b", "c"),
    ]  # fmt: skip
