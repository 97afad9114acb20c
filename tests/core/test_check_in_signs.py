"""Which warning signs are offered after a check-in, and what belongs to a happening."""

from datetime import UTC, datetime, timedelta

import pytest

from pocketpump.core.diary.check_ins import SIDE_EFFECTS, CheckIn, DiaryEvent, Reading
from pocketpump.core.diary.events import (
    HAPPENINGS,
    follow_up_of,
    known_event,
    signs_of_event,
)
from pocketpump.core.safety.check_in_signs import signs_of, usual_stiffness

NOW = datetime(2026, 3, 20, 12, tzinfo=UTC)


def noted(*effects: str, **scores: float) -> CheckIn:
    return CheckIn(NOW, scores, effects)


@pytest.mark.parametrize(
    ("check_in", "usual", "expected"),
    [
        (noted(stiffness=6), None, ()),
        (noted(stiffness=7), None, ("stiffness back",)),
        (noted(stiffness=5), 2.0, ("stiffness back",)),
        (noted(stiffness=5), 2.5, ()),
        (noted(stiffness=0), 8.0, ()),
        (noted(stiffness=3, sleepiness=6), None, ()),
        (noted(stiffness=3, sleepiness=7), None, ("drowsy",)),
        (noted("nausea", "loose muscles", stiffness=2), None, ("loose", "nausea")),
        (noted("confusion", "drowsy", stiffness=8), None,
         ("confusion", "drowsy", "stiffness back")),
        (noted("trouble peeing", "hiccups", stiffness=2), None, ()),
    ],
)  # fmt: skip
def test_a_bad_score_and_a_side_effect_that_is_a_sign_are_offered(check_in, usual, expected):
    assert signs_of(check_in, usual) == expected


def test_all_side_effects_offered_but_one_are_signs():
    signs = {effect: signs_of(noted(effect)) for effect in SIDE_EFFECTS}
    assert [effect for effect, found in signs.items() if not found] == ["trouble peeing"]


def test_the_usual_stiffness_is_that_of_enough_days_before_and_not_of_the_day_itself():
    marks = [Reading(NOW - timedelta(days=d), 9.0 if d == 0 else 3.0) for d in range(8)]
    assert usual_stiffness(marks, NOW) == 3.0
    assert usual_stiffness(marks[:7], NOW) is None  # six days before
    assert usual_stiffness([Reading(NOW - timedelta(days=d), 3.0) for d in range(40, 60)], NOW) is (
        None
    )


def test_a_score_usual_at_its_hour_is_not_offered_and_the_same_at_another_hour_is():
    evening = timedelta(hours=9)
    marks = [Reading(NOW - timedelta(days=d) + h, v)
             for d in range(1, 15) for h, v in ((timedelta(0), 2.0), (evening, 6.0))]  # fmt: skip
    assert usual_stiffness(marks, NOW) == 2.0
    assert usual_stiffness(marks, NOW + evening) == 6.0
    assert signs_of(noted(stiffness=6), usual_stiffness(marks, NOW + evening)) == ()
    assert signs_of(noted(stiffness=6), usual_stiffness(marks, NOW)) == ("stiffness back",)
    # A score from 7 on is offered at any hour, usual or not.
    assert signs_of(noted(stiffness=7), usual_stiffness(marks, NOW + evening)) != ()


def test_at_an_hour_never_noted_a_bad_score_is_still_held_against_the_days():
    noons = [Reading(NOW - timedelta(days=d), 2.0) for d in range(1, 15)]
    assert usual_stiffness(noons, NOW + timedelta(hours=10)) == 2.0


def test_a_pump_that_feels_different_after_a_fall_is_moved_or_hit_until_it_was_followed_up():
    fall = DiaryEvent(NOW, "fall")
    assert signs_of_event(fall) == ()
    different = DiaryEvent(NOW, "fall", feels_different=True)
    assert set(signs_of_event(different)) == {"pump moved", "pump hit"}
    assert signs_of_event(DiaryEvent(NOW, "fall", True, feels_different=True)) == ()
    assert signs_of_event(DiaryEvent(NOW, "blow to the pump")) == ("pump hit",)


def test_before_a_scan_the_pump_team_is_asked_and_after_it_the_pump_is_checked():
    # The label; De Andres 2011 (abstract): the motor may stop in the field and restart late.
    before, after = known_event("scan planned"), known_event("scan")
    assert "Ask the pump team before any MRI scan" in before.told
    assert "checked after it" in before.told
    assert "agree" in follow_up_of("scan planned")
    assert "checked after any MRI scan" in after.told


def test_a_happening_that_needs_somebody_keeps_a_question_open():
    assert {one.what for one in HAPPENINGS if not one.follow_up} == {
        "constipation", "missed tablets", "new or changed tablets", "rehab or therapy",
    }  # fmt: skip
