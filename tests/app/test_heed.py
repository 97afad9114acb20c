"""What was noted and needs a call stays on Today until it is answered."""

from datetime import UTC, datetime, timedelta

import pytest
from screen_hand import in_use, texts

from pocketpump.app.screens.heed import noted_advice
from pocketpump.app.screens.today import today
from pocketpump.core.happenings import HAPPENINGS
from pocketpump.core.sign_table import SIGNS, Urgency

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
