"""What the record says, put in order: pumps replaced, entries dated ahead, odd instants."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta, timezone
from zoneinfo import ZoneInfo

import pytest
from record_helpers import Ticking, counted_ids

from pocketpump.core.pump.device_life import device_life
from pocketpump.core.pump.forecast import forecast
from pocketpump.core.pump.programme import constant_rate
from pocketpump.core.pump.programme_payload import programme_to_payload
from pocketpump.core.pump.reminders import USUAL_SETTLING_DAYS
from pocketpump.core.pump.state import GRAVE_STATES, State
from pocketpump.core.pump.timeline import Fill
from pocketpump.record import Entry, MemoryFiles, Record
from pocketpump.record.entry.frozen import freeze
from pocketpump.record.facts.booked_visit import reminders_of
from pocketpump.record.facts.card_facts import care_of, readings_of
from pocketpump.record.facts.circumstances import present_of
from pocketpump.record.facts.findings import findings_of
from pocketpump.record.facts.situation import (
    newest,
    origin_of,
    preferences_of,
    settling_days_of,
    situation_of,
)
from pocketpump.record.facts.state import state_by

AT = datetime(2026, 1, 12, 9, tzinfo=UTC)
NOW = datetime(2026, 1, 20, 9, tzinfo=UTC)
AHEAD = datetime(2031, 5, 1, 9, tzinfo=UTC)
PUMP = {"reservoir_ml": 20.0, "alarm_volume_ml": 2.0}
REFILL = {"filled_ml": 20.0, "strength_mcg_per_ml": 500.0}


def dose(mcg_per_day: float, **more):
    return {"programme": programme_to_payload(constant_rate(mcg_per_day)), **more}


@pytest.fixture
def record():
    with Record.open(MemoryFiles(), clock=Ticking(), make_id=counted_ids("e")) as kept:
        kept.add("pump", AT - timedelta(days=400), "UTC", PUMP)
        kept.add("programme", AT, "UTC", dose(200))
        kept.add("refill", AT, "UTC", {**REFILL, "printed_alarm_on": "2026-02-20"})
        yield kept


def look(record, now=NOW):
    situation, _ = situation_of(record.alive, now)
    answer, _ = forecast(situation, now, UTC)
    return answer


def told(record, now=NOW):
    """Everything dated that a view shows."""
    answer = look(record, now)
    return (
        answer.alarm_at, answer.refill_by, answer.printed_in_force, answer.dose_mcg_per_day,
        [(one.code, one.on) for one in reminders_of(record.alive, answer)],
        state_by(record.alive, answer).word, care_of(record.alive, now),
        preferences_of(record.alive, now), origin_of(record.alive, now),
        settling_days_of(record.alive, now),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("kind", "payload"),
    [
        ("refill", {**REFILL, "strength_mcg_per_ml": 2000.0, "drug": "other", "filled_ml": 10.0}),
        ("refill", {**REFILL, "printed_alarm_on": "2031-06-01", "next_visit_on": "2031-06-01"}),
        ("programme", dose(900, printed_alarm_on="2031-06-01")),
        ("pump", {"reservoir_ml": 40.0, "alarm_volume_ml": 1.0, "serial": "X9", "model": "other"}),
        ("clinic days", {"open_weekdays": [6], "margin_days": 60}),
        ("care", {"name": "somebody else", "other_drugs": "other"}),
        ("plan", {"text": "another plan"}),
        ("preference", {"name": "language", "value": "en"}),
        ("preference", {"name": "origin", "value": "cerebral"}),
        ("preference", {"name": "settling days", "value": "50"}),
        ("happening", {"what": "missed refill"}),
        ("happening", {"what": "urgent alarm heard"}),
    ],
)
def test_an_entry_dated_ahead_hides_nothing_that_holds_now(record, kind, payload):
    record.add("refill", AT + timedelta(days=1), "UTC",
               {**REFILL, "drug": "baclofen and more", "printed_alarm_on": "2026-02-21",
                "next_visit_on": "2026-02-10"})  # fmt: skip
    for name, value in (("language", "de"), ("origin", "spinal"), ("settling days", "3")):
        record.add("preference", AT, "UTC", {"name": name, "value": value})
    record.add("care", AT, "UTC", {"name": "invented", "other_drugs": "one"})
    record.add("plan", AT, "UTC", {"text": "call"})
    record.add("clinic days", AT, "UTC", {"open_weekdays": [0, 1, 2, 3, 4]})
    before = told(record)
    record.add(kind, AHEAD, "UTC", payload)
    assert told(record) == before


def test_of_two_refills_in_one_minute_the_one_written_last_counts_with_either_printed_date(record):
    same = AT + timedelta(seconds=20)
    record.add("refill", same, "UTC", {**REFILL, "filled_ml": 18.0})
    answer = look(record)
    assert answer.fill.volume_ml == 18.0
    assert answer.printed_in_force == date(2026, 2, 20)
    # Written first, though a few seconds later by its own clock: the order of writing decides.
    early = AT + timedelta(days=1, seconds=50)
    record.add("refill", early, "UTC", {**REFILL, "filled_ml": 17.0})
    record.add("refill", early - timedelta(seconds=45), "UTC", {**REFILL, "filled_ml": 16.0})
    assert look(record).fill.volume_ml == 16.0


# Which pump it is.


@pytest.mark.parametrize(
    ("before", "after", "since"),
    [
        ({"serial": "A1"}, {"serial": "B2"}, "2026-01-10"),
        ({"serial": "A1"}, {"serial": "B2", "implanted_on": "2026-01-05"}, "2026-01-05"),
        ({"serial": "A1", "implanted_on": "2019-01-05"},
         {"serial": "B2", "implanted_on": "2026-01-05"}, "2026-01-05"),
        ({"implanted_on": "2019-01-05"}, {"implanted_on": "2026-01-05"}, "2026-01-05"),
        # The same number, however it is written; a number that is first noted, or only mended.
        ({"serial": "A1"}, {"serial": "a-1"}, None),
        ({"serial": "SN123"}, {"serial": " sn-0123 "}, None),
        ({"serial": "0"}, {"serial": "10"}, "2026-01-10"),
        ({}, {"serial": "B2", "implanted_on": "2019-01-05"}, None),
        ({"serial": "A1"}, {}, None),
        ({"serial": "A1", "implanted_on": "2019-01-05"},
         {"serial": "A7", "implanted_on": "2019-01-05"}, None),
        ({"serial": "A1", "implanted_on": "2019-01-05"},
         {"serial": "A1", "implanted_on": "2019-02-05"}, None),
    ],
)  # fmt: skip
def test_another_pump_is_told_by_its_number_or_its_later_implant_date(before, after, since):
    with Record.open(MemoryFiles(), clock=Ticking(), make_id=counted_ids("e")) as kept:
        kept.add("pump", AT - timedelta(days=900), "UTC", {**PUMP, **before})
        kept.add("pump", datetime(2026, 1, 10, 15, tzinfo=UTC), "UTC", {**PUMP, **after})
        found = situation_of(kept.alive, NOW)[0].pump_since
        earlier = situation_of(kept.alive, datetime(2026, 1, 9, tzinfo=UTC))[0].pump_since
    assert (found and found.date().isoformat()) == since
    assert earlier is None


def test_a_replaced_pump_learns_anew_and_its_refills_stay():
    with Record.open(MemoryFiles(), clock=Ticking(), make_id=counted_ids("e")) as kept:
        first = AT - timedelta(days=160)
        kept.add("pump", first, "UTC", {**PUMP, "serial": "A1"})
        kept.add("programme", first, "UTC", dose(200))
        for index in range(5):
            left = {"expected_ml": 4.0, "withdrawn_ml": 2.5} if index else {}
            kept.add("refill", first + timedelta(days=40 * index), "UTC", {**REFILL, **left})
        assert look(kept).ratio.counted == 4
        kept.add("pump", AT + timedelta(hours=3), "UTC", {**PUMP, "serial": "B2"})
        answer = look(kept)
        assert (answer.ratio.counted, answer.ratio.mean) == (0, 1.0)
        assert len(answer.situation.fills) == 5
        # What was known on the day before is told as it was.
        assert look(kept, AT - timedelta(days=1)).ratio.counted == 3


OTHER = {"serial": "B2", "implanted_on": "2026-01-05"}


@pytest.mark.parametrize("minutes", [0, 5])
@pytest.mark.parametrize("knows", [0, 1])
def test_a_refill_noted_by_two_devices_teaches_once_from_the_note_that_holds_what_was_left(
    minutes, knows
):
    with Record.open(MemoryFiles(), clock=Ticking(), make_id=counted_ids("e")) as kept:
        kept.add("pump", AT - timedelta(days=50), "UTC", PUMP)
        kept.add("programme", AT - timedelta(days=40), "UTC", dose(200))
        kept.add("refill", AT - timedelta(days=40), "UTC", REFILL)
        for note in range(2):
            left = {"expected_ml": 4.0, "withdrawn_ml": 2.0} if note == knows else {}
            kept.add("refill", AT + timedelta(minutes=minutes * note), "UTC", {**REFILL, **left})
        ratio = look(kept).ratio
    assert ratio.counted == 1
    assert ratio.mean > 1.1


def pumps_and_refills(*pumps, refills=(), now=NOW):
    """The situation of pumps noted on days of January 2026 and refills on given days."""
    with Record.open(MemoryFiles(), clock=Ticking(), make_id=counted_ids("e")) as kept:
        kept.add("programme", AT - timedelta(days=900), "UTC", dose(200))
        for day in refills:
            kept.add("refill", datetime.fromisoformat(f"{day}T14:00Z"), "UTC", REFILL)
        for day, payload in pumps:
            kept.add("pump", datetime(2026, 1, day, 15, tzinfo=UTC), "UTC", {**PUMP, **payload})
        return situation_of(kept.alive, now)[0]


@pytest.mark.parametrize(
    ("pumps", "since"),
    [
        # Noted bare at first: what was in the body at the refill of October is not what was
        # implanted in January.
        ([{}, {"implanted_on": "2026-01-05"}], "2026-01-05"),
        ([{}, OTHER], "2026-01-05"),
        ([{"serial": "B2"}, OTHER], "2026-01-05"),
        ([{"implanted_on": "2026-01-05"}], "2026-01-05"),
        # Noted bare in between: what was known before still tells.
        ([{"serial": "A1"}, {}, {"serial": "B2"}], "2026-01-12"),
        ([{"implanted_on": "2019-01-05"}, {}, {"implanted_on": "2020-01-05"}], "2020-01-05"),
        ([{"serial": "A1", "implanted_on": "2019-01-05"}, {"serial": "A1"}, OTHER], "2026-01-05"),
        # The same pump, learnt more of or mended.
        ([{}, {"implanted_on": "2019-01-05"}], None),
        ([{}, {"serial": "B2"}], None),
        ([{}, {"serial": "B2"}, {"serial": "B2", "implanted_on": "2019-01-05"}], None),
        ([{"serial": "A1"}, {}, {"serial": "A1"}], None),
        # A day that was a slip and is mended brings its lessons back.
        ([{}, OTHER, {**OTHER, "implanted_on": "2019-01-05"}], "2019-01-05"),
        # The day is learnt later than the pump.
        ([{"serial": "A1"}, {"serial": "B2"}, OTHER], "2026-01-05"),
    ],
)  # fmt: skip
def test_which_pump_it_is_follows_from_all_that_was_noted_of_it(pumps, since):
    days = (10, 11, 12) if len(pumps) != 3 or pumps[2] is not OTHER else (8, 10, 12)
    noted = list(zip(days, pumps, strict=False))
    found = pumps_and_refills(*noted, refills=["2025-10-01", "2025-11-15"])
    assert (found.pump_since and found.pump_since.date().isoformat()) == since


def test_another_pump_counts_nothing_of_its_own_on_the_fill_before_it():
    old, new = {"alarm_volume_ml": 1.0, "serial": "A1"}, {"alarm_volume_ml": 3.0, **OTHER}
    before = pumps_and_refills((1, old), refills=["2025-11-15", "2025-12-20"])
    after = pumps_and_refills((1, old), (10, new), refills=["2025-11-15", "2025-12-20"])
    was, now = (forecast(one, NOW, UTC)[0] for one in (before, after))
    assert (now.alarm_at, now.empty_earliest) == (was.alarm_at, was.empty_earliest)
    # Its first refill is its own.
    filled = pumps_and_refills((1, old), (10, new), refills=["2025-12-20", "2026-01-06"])
    assert forecast(filled, NOW, UTC)[0].situation.pump.alarm_volume_ml == 3.0


def test_where_the_day_of_the_implant_is_not_known_the_earlier_alarm_is_counted():
    # The last fill may be in either.
    for first, second in ((1.0, 3.0), (3.0, 1.0)):
        found = pumps_and_refills(
            (1, {"alarm_volume_ml": first, "serial": "A1"}),
            (10, {"alarm_volume_ml": second, "serial": "B2"}),
            refills=["2025-12-20"],
        )
        assert forecast(found, NOW, UTC)[0].situation.pump.alarm_volume_ml == 3.0


def test_the_day_of_an_implant_to_come_is_not_believed_before_it_comes():
    # A slip in the year, or a pump noted ahead: what is noted of the pump now counts all the same.
    with Record.open(MemoryFiles(), clock=Ticking(), make_id=counted_ids("e")) as kept:
        first = {**PUMP, "alarm_volume_ml": 1.0, "implanted_on": "2019-01-05"}
        kept.add("pump", AT - timedelta(days=900), "UTC", first)
        kept.add("programme", AT - timedelta(days=900), "UTC", dose(200))
        kept.add("device", AT - timedelta(days=90), "UTC", {"notice_on": "2026-01-12"})
        for days, left in ((40, {}), (0, {"expected_ml": 4.0, "withdrawn_ml": 2.5})):
            kept.add("refill", AT - timedelta(days=days), "UTC", {**REFILL, **left})

        def told(now):
            answer, problems = forecast(situation_of(kept.alive, now)[0], now, UTC)
            facts = care_of(kept.alive, now)
            life = device_life(facts.implanted_on, readings_of(kept.alive), now.date())
            codes = {one.code for one in problems}
            return answer.ratio, "new-pump-unfilled" in codes, life.because, facts.implanted_on

        ratio, unfilled, because, implanted_on = told(NOW)
        assert (ratio.counted, because) == (1, "replacement notice")
        for alarm_ml in (2.0, 3.0):
            noted = {**first, "alarm_volume_ml": alarm_ml, "implanted_on": "2026-02-01"}
            kept.add("pump", NOW - timedelta(hours=5 - alarm_ml), "UTC", noted)
            assert situation_of(kept.alive, NOW)[0].pump.alarm_volume_ml == alarm_ml
            assert told(NOW) == (ratio, False, because, None)
        ratio, unfilled, because, implanted_on = told(NOW + timedelta(days=13))
        assert (unfilled, because, implanted_on) == (True, "usual life", date(2026, 2, 1))
        assert "recent surgery" in present_of(kept.alive, None, NOW + timedelta(days=13))


def test_while_another_pump_has_no_refill_of_its_own_nothing_is_called_calm():
    found = pumps_and_refills((1, {"serial": "A1"}), (10, OTHER), refills=["2026-01-04"])
    answer, problems = forecast(found, NOW, UTC)
    (told,) = [one.sentence for one in problems if one.code == "new-pump-unfilled"]
    assert state_by((), answer) == State("new-pump", told)
    # What already keeps drug from the body is still told first.
    late = datetime(2026, 3, 1, tzinfo=UTC)
    assert state_by((), forecast(found, late, UTC)[0]).word in GRAVE_STATES
    filled = replace(found, fills=(*found.fills, Fill(NOW, 20, 500)))
    assert state_by((), forecast(filled, NOW, UTC)[0]).word == "calm"


# Odd values and the ends of the calendar.


@pytest.mark.parametrize(
    "value", ["99999999999", "-3", "٣", "3.0", "", "61", "one", "1e3", " 3", "³", "9" * 4000]
)
def test_odd_settling_days_are_the_usual_ones(record, value):
    odd = Entry(
        "odd", "preference", AT, "UTC", AT, freeze({"name": "settling days", "value": value})
    )
    entries = (*record.alive, odd)
    assert settling_days_of(entries, NOW) == USUAL_SETTLING_DAYS
    situation, _ = situation_of(entries, NOW)
    assert findings_of(entries, situation, NOW) == findings_of(record.alive, situation, NOW)


ENDS = [
    datetime(1, 1, 1, tzinfo=UTC),
    datetime(1, 1, 1, tzinfo=timezone(timedelta(hours=14))),
    datetime(1, 1, 2, tzinfo=timezone(timedelta(hours=-12))),
    datetime(9999, 12, 31, 23, 59, tzinfo=UTC),
    datetime(9999, 12, 31, 23, 59, tzinfo=timezone(timedelta(hours=-12))),
    datetime(1899, 12, 31, tzinfo=UTC),
    datetime(2250, 1, 1, tzinfo=UTC),
]


@pytest.mark.parametrize("zone", ["UTC", "Pacific/Kiritimati", "Pacific/Pago_Pago"])
@pytest.mark.parametrize("instant", ENDS)
@pytest.mark.parametrize(
    ("kind", "payload"),
    [
        ("refill", REFILL), ("programme", dose(300)), ("pump", PUMP),
        ("clinic days", {"open_weekdays": [1]}), ("care", {"name": "x"}),
        ("happening", {"what": "missed refill"}), ("check-in", {"stiffness": 3}),
        ("preference", {"name": "language", "value": "de"}),
    ],
)  # fmt: skip
def test_an_instant_at_an_end_of_the_calendar_stops_nothing(record, kind, payload, instant, zone):
    odd = Entry("odd", kind, instant, zone, AT, freeze(payload))
    for entries in ((odd, *record.alive), (odd,)):
        situation, problems = situation_of(entries, NOW)
        if situation is None:
            assert problems
            continue
        answer, problems = forecast(situation, NOW.astimezone(ZoneInfo(zone)), ZoneInfo(zone))
        if answer is None:
            assert problems
            continue
        assert answer.fill.volume_ml == 20.0
        assert reminders_of(entries, answer)
        assert state_by(entries, answer).word
        assert care_of(entries, NOW)
        assert findings_of(entries, situation, answer.now)


@pytest.mark.parametrize("minutes", [0, 25, 300])
@pytest.mark.parametrize("printed_first", [True, False])
def test_a_second_note_of_a_refill_with_other_numbers_puts_off_no_printed_date(
    minutes, printed_first
):
    # 500 mcg/mL, 20 mL, 200 mcg/day: 45 days to 2 mL; printed is an earlier day.
    with Record.open(MemoryFiles(), clock=Ticking(), make_id=counted_ids("e")) as kept:
        kept.add("pump", AT - timedelta(days=400), "UTC", PUMP)
        kept.add("programme", AT - timedelta(days=400), "UTC", dose(250))
        printed = (AT + timedelta(days=30)).date().isoformat()
        kept.add(
            "refill",
            AT,
            "UTC",
            {**REFILL, **({"printed_alarm_on": printed} if printed_first else {})},
        )
        once = look(kept)
        second = AT + timedelta(minutes=minutes)
        other = {**REFILL, "filled_ml": REFILL["filled_ml"] + 2}
        kept.add(
            "refill",
            second,
            "UTC",
            {**other, **({} if printed_first else {"printed_alarm_on": printed})},
        )
        # Set at that visit, by the second note of it: the printout knows it.
        kept.add("programme", second, "UTC", dose(200))
        twice = look(kept)
    assert twice.printed_in_force.isoformat() == printed
    assert twice.refill_by_because == "clinic's alarm date"
    assert twice.refill_by <= once.refill_by


@pytest.mark.parametrize(
    "known", [{"serial": "A1"}, {"serial": "A1", "implanted_on": "2019-01-05"}, {}]
)
def test_a_pump_to_come_with_a_number_of_its_own_is_not_believed_before_its_day(known):
    with Record.open(MemoryFiles(), clock=Ticking(), make_id=counted_ids("e")) as kept:
        kept.add("pump", AT - timedelta(days=900), "UTC", {**PUMP, **known})
        kept.add("programme", AT - timedelta(days=900), "UTC", dose(200))
        for days, left in ((40, {}), (0, {"expected_ml": 4.0, "withdrawn_ml": 2.5})):
            kept.add("refill", AT - timedelta(days=days), "UTC", {**REFILL, **left})
        before = look(kept)
        coming = {"reservoir_ml": 40.0, "alarm_volume_ml": 1.0, "serial": "999",
                  "tolerance_percent": 5.0, "implanted_on": "2026-02-01"}  # fmt: skip
        kept.add("pump", AT + timedelta(days=1), "UTC", coming)
        assert look(kept) == before
        assert newest(kept.alive, "pump", NOW).payload["alarm_volume_ml"] == 2.0
        assert care_of(kept.alive, NOW).serial == known.get("serial", "")
        later = situation_of(kept.alive, NOW + timedelta(days=13))[0]
    assert later.pump_since == datetime(2026, 2, 1, tzinfo=UTC)
    assert later.pump.alarm_volume_ml == 1.0
