"""What the diary says, from the entries of a record."""

from datetime import UTC, datetime, timedelta

from pocketpump.core.pump.programme import constant_rate
from pocketpump.core.pump.programme_payload import programme_to_payload
from pocketpump.record import MemoryFiles, Record
from pocketpump.record.facts.findings import findings_of
from pocketpump.record.facts.situation import situation_of

START = datetime(2026, 1, 5, 12, tzinfo=UTC)


def at(day: float) -> datetime:
    return START + timedelta(days=day)


def found(now: float, *, doses=((-60, 200.0), (40, 230.0)), refills=(), check_ins=()):
    record = Record.open(MemoryFiles(), clock=lambda: at(400))
    record.add("pump", at(-90), "UTC", {"reservoir_ml": 20.0, "alarm_volume_ml": 2.0})
    for day, dose in doses:
        payload = {"programme": programme_to_payload(constant_rate(dose))}
        record.add("programme", at(day), "UTC", payload)
    for day, strength in refills:
        payload = {"filled_ml": 20.0, "strength_mcg_per_ml": strength}
        record.add("refill", at(day), "UTC", payload)
    for day in check_ins:
        record.add("check-in", at(day), "UTC", {"stiffness": 5 + day % 2})
    situation, _ = situation_of(record.alive)
    return findings_of(record.alive, situation, at(now))


def also(response) -> list[str]:
    return [response.also] if response.also else []


def test_refills_and_new_strengths_in_the_time_compared_are_told_beside_the_response():
    refills = [(-50, 500.0), (10, 500.0), (30, 1000.0), (50, 2000.0), (79, 500.0)]
    (response,) = found(80, refills=refills, check_ins=range(80)).responses
    # 28 days before day 40, and from day 45 (five settling days) to day 73.
    assert also(response) == [
        "Also in that time: a refill with another strength (500, then 1000 mcg/mL),"
        " Wed 4 Feb 2026; a refill with another strength (1000, then 2000 mcg/mL),"
        " Tue 24 Feb 2026."
    ]
    (plain,) = found(80, refills=refills[:2], check_ins=range(80)).responses
    assert also(plain) == []  # day 10 is before the window
    (same,) = found(80, refills=[(-50, 500.0), (20, 500.0)], check_ins=range(80)).responses
    assert also(same) == ["Also in that time: a refill, Sun 25 Jan 2026."]


def test_drift_says_since_when_it_really_looked():
    every = range(400)
    # The last change is 360 days ago: only the 26 weeks that are looked at are spoken of.
    assert "in the last 26 weeks" in found(400, check_ins=every).drift.sentence
    assert "since the last change" not in found(400, check_ins=every).drift.sentence.lower()
    lately = found(120, check_ins=every).drift.sentence
    assert "since the last change" in lately.lower()
    # One setting, noted again: there is no change at all.
    again = found(120, doses=((-60, 200.0), (40, 200.0)), check_ins=every).drift.sentence
    assert "change" not in again
    assert "since the first dose setting" in again
    few = found(60, doses=((-60, 200.0),), check_ins=range(55, 60)).drift.sentence
    assert "not enough to say" in few
    assert "change" not in few


def test_without_any_setting_the_diary_still_speaks():
    nothing = found(100, doses=(), check_ins=range(100))
    assert nothing.responses == ()
    assert nothing.hours is None
    assert "since the first check-in" in nothing.drift.sentence
