"""What was noted and needs a call stays on Today until it is answered."""

from datetime import UTC, datetime, timedelta

import flet as ft
import pytest
from screen_hand import controls_in, in_use, texts

from pocketpump.app.look import theme
from pocketpump.app.screens.safety.alerts import noted_advice
from pocketpump.app.screens.today.today import today
from pocketpump.core.diary.events import HAPPENINGS
from pocketpump.core.safety.sign_table import SIGNS, Urgency

NOW = datetime(2026, 2, 1, 12, tzinfo=UTC)


def using():
    return in_use(now="2026-02-01T12:00", filled="2026-01-12T09:00")


def test_every_sign_a_happening_amounts_to_or_leads_to_is_one():
    known = {sign.id for sign in SIGNS}
    named = [sign for one in HAPPENINGS for sign in (*one.signs, *one.if_different, one.near)]
    assert {"fever", "urgent alarm", "pump moved", "pump hit", "vomiting"} <= set(named)
    assert set(named) - {""} <= known


def test_an_emergency_noted_in_a_check_in_stays_until_a_later_one_is_better():
    app = using()
    record = app.services.record
    assert noted_advice(app.services) is None
    bad = {"stiffness": 7, "worries": ["fever", "confusion", "urgent alarm"]}
    record.add("check-in", NOW - timedelta(hours=2), "UTC", bad)
    advice = noted_advice(app.services)
    assert advice.urgency is Urgency.EMERGENCY
    assert any(advice.headline in text for text in texts(today(app)))
    record.add("check-in", NOW - timedelta(hours=1), "UTC", {"stiffness": 3, "worries": []})
    assert noted_advice(app.services) is None


@pytest.mark.parametrize("hours", [1, 47])
def test_an_alarm_heard_asks_for_the_call_until_it_is_answered(hours):
    app = using()
    record = app.services.record
    heard = {"what": "urgent alarm heard", "follow_up_done": False}
    entry = record.add("happening", NOW - timedelta(hours=hours), "UTC", heard)
    assert noted_advice(app.services).urgency >= Urgency.NOW
    record.correct(entry.id, {**heard, "follow_up_done": True})
    assert noted_advice(app.services) is None


def test_what_is_long_past_or_slight_asks_for_nothing():
    app = using()
    record = app.services.record
    record.add("check-in", NOW - timedelta(hours=49), "UTC", {"worries": ["fever"], "stiffness": 2})
    record.add("check-in", NOW - timedelta(hours=1), "UTC", {"worries": ["constipation"],
                                                             "stiffness": 2})  # fmt: skip
    assert noted_advice(app.services) is None


def usually(record, score: int, days: int = 30) -> None:
    """A check-in each noon of the days before today, a point up and down."""
    for day in range(1, days + 1):
        record.add("check-in", NOW - timedelta(days=day), "UTC", {"stiffness": score + day % 2})


def box(app, key: str) -> ft.Container | None:
    found = [c for c in controls_in(today(app)) if getattr(c, "key", None) == key]
    return found[0] if found else None


def test_a_score_far_from_the_usual_is_offered_calmly_with_all_that_it_says():
    app = using()
    usually(app.services.record, 1)
    app.services.record.add("check-in", NOW, "UTC", {"stiffness": 6})
    offer = box(app, "offer")
    assert offer is not None
    assert offer.bgcolor == theme.WATER
    said = " ".join(texts([offer]))
    assert "may be a warning sign: Stiffness or spasms came back" in said
    assert "See what to do" in said
    assert box(app, "sudden") is None  # offered already


@pytest.mark.parametrize(
    "worse",
    [
        {"stiffness": 7},  # severe by itself
        {"stiffness": 6, "sleepiness": 8},
        {"stiffness": 6, "side_effects": ["confusion"]},
    ],
    ids=str,
)
def test_a_severe_score_or_another_sign_beside_it_is_as_loud_as_before(worse):
    app = using()
    usually(app.services.record, 1)
    app.services.record.add("check-in", NOW, "UTC", worse)
    assert box(app, "offer").bgcolor == theme.ACCENT_WASH


@pytest.mark.parametrize("filled", ["2026-01-31T09:00", "2025-10-01T09:00"])
def test_where_delivery_is_in_doubt_a_score_far_above_the_usual_is_as_loud_as_before(filled):
    app = in_use(now="2026-02-01T12:00", filled=filled)
    usually(app.services.record, 1)
    app.services.record.add("check-in", NOW, "UTC", {"stiffness": 6})
    assert box(app, "offer").bgcolor == theme.ACCENT_WASH


def test_a_sudden_change_is_told_calmly_and_says_where_to_look_and_when_to_call():
    app = using()
    usually(app.services.record, 6)
    app.services.record.add("check-in", NOW, "UTC", {"stiffness": 1})
    notice = box(app, "sudden")
    assert notice is not None
    assert notice.bgcolor == theme.WATER
    said = " ".join(texts([notice]))
    assert "well below what is usual for you" in said
    assert "Look at the warning signs" in said
    assert "call the clinic and do not wait" in said
    assert "Please check" not in said


def test_a_usual_day_is_told_nothing_of():
    app = using()
    usually(app.services.record, 4)
    app.services.record.add("check-in", NOW, "UTC", {"stiffness": 6})
    assert box(app, "sudden") is None
    assert box(app, "offer") is None
