"""The calendar file by RFC 5545, read back by another program's reader."""

from datetime import UTC, date, datetime, timedelta

import pytest
from exchange_records import NOW, usual
from hypothesis import given
from hypothesis import strategies as st
from icalendar import Calendar

from pocketpump.core.pump.reminders import Reminder
from pocketpump.exchange.calendar.ics import calendar_file
from pocketpump.exchange.calendar.record_calendar import calendar_of

CALL = Reminder("call-by", date(2026, 2, 5), "Call the clinic", "Book it, please; soon.")
ALARM = Reminder("alarm", date(2026, 2, 28), "Alarm date, computed", "By the numbers.")
HEALTH_WORDS = ("pump", "drug", "refill", "alarm", "baclofen", "dose", "empty", "mcg", "ml")

texts = st.text(
    st.characters(blacklist_categories=("Cs", "Cc"), blacklist_characters="\u2028\u2029\x85"),
    max_size=300,
)


def written(*reminders: Reminder, owner="one", stamp=NOW, full=False) -> bytes:
    return calendar_file(reminders, owner=owner, stamp=stamp, full_titles=full)


def events(content: bytes) -> list:
    return Calendar.from_ical(content.decode()).walk("VEVENT")


days = st.dates(date(1950, 1, 1), date(2150, 1, 1))


@given(st.lists(st.builds(Reminder, texts, days, texts, texts), max_size=4))
def test_any_text_is_folded_by_octets_and_reads_back_whole(reminders):
    content = written(*reminders, full=True)
    # RFC 5545, 3.1: lines end in CRLF and hold at most 75 octets without it.
    assert content.endswith(b"\r\n")
    lines = content.split(b"\r\n")[:-1]
    assert all(len(line) <= 75 for line in lines)
    assert not any(b"\n" in line or b"\r" in line for line in lines)
    for line in lines:
        line.decode()  # no character is cut in two
    read = events(content)
    assert [str(event["SUMMARY"]) for event in read] == [one.title for one in reminders]
    assert [str(event["DESCRIPTION"]) for event in read] == [one.text for one in reminders]


def test_the_signs_that_mean_something_to_the_format_are_escaped():
    title = "a\\nb; c, d\\"
    content = written(Reminder("alarm", date(2026, 2, 28), title, "one\ntwo"), full=True)
    # RFC 5545, 3.3.11: backslash, semicolon and comma are escaped, a line break is \n.
    assert rb"SUMMARY:a\\nb\; c\, d\\" in content
    assert rb"DESCRIPTION:one\ntwo" in content
    assert str(events(content)[0]["SUMMARY"]) == title


def test_an_all_day_event_ends_where_the_next_day_begins():
    (event,) = events(written(ALARM))
    # RFC 5545, 3.6.1: DTEND is the non-inclusive end.
    assert event["DTSTART"].dt == date(2026, 2, 28)
    assert event["DTEND"].dt == date(2026, 3, 1)
    assert not isinstance(event["DTSTART"].dt, datetime)


def test_every_event_has_what_the_standard_demands_and_an_alarm():
    content = written(CALL, ALARM)
    calendar = Calendar.from_ical(content.decode())
    assert str(calendar["VERSION"]) == "2.0"
    assert calendar["PRODID"]
    for event in calendar.walk("VEVENT"):
        assert event["DTSTAMP"].dt == NOW
        (alarm,) = event.walk("VALARM")
        assert (str(alarm["ACTION"]), bool(alarm["DESCRIPTION"])) == ("DISPLAY", True)
        # RFC 5545, 3.8.6.3: a positive duration after the start, nine in the morning.
        assert alarm["TRIGGER"].dt == timedelta(hours=9)
        assert event.errors == []


def test_a_newer_file_moves_the_same_events():
    before = events(written(CALL, ALARM))
    moved = Reminder(CALL.code, date(2026, 6, 1), CALL.title, CALL.text)
    after = events(written(moved, ALARM, stamp=NOW + timedelta(days=1)))
    assert [event["UID"] for event in before] == [event["UID"] for event in after]
    assert all(b["SEQUENCE"] < a["SEQUENCE"] for b, a in zip(before, after, strict=True))
    assert after[0]["DTSTART"].dt == date(2026, 6, 1)


def test_uids_differ_between_people_and_between_reminders():
    content = events(written(CALL, ALARM)) + events(written(CALL, ALARM, owner="two"))
    assert len({str(event["UID"]) for event in content}) == 4


@pytest.mark.parametrize(
    "stamp", [datetime(1999, 1, 1, tzinfo=UTC), datetime(2150, 1, 1, tzinfo=UTC)]
)
def test_the_sequence_is_a_whole_number_that_calendars_can_hold(stamp):
    (event,) = events(written(CALL, stamp=stamp))
    assert 0 <= event["SEQUENCE"] < 2**31


def test_by_default_nothing_that_may_be_seen_speaks_of_health():
    coming, content = calendar_of(usual().record.entries, NOW, UTC)
    read = events(content)
    assert len(read) == len(coming) >= 3
    for event in read:
        seen = f"{event['SUMMARY']} {event['DESCRIPTION']} {event.walk('VALARM')[0]['DESCRIPTION']}"
        assert not any(word in seen.lower() for word in HEALTH_WORDS), seen


def test_full_titles_are_a_choice_kept_in_the_record():
    notes = usual().note("preference", "2026-02-01", {"name": "calendar titles", "value": "full"})
    _, chosen = calendar_of(notes.record.entries, NOW, UTC)
    assert "Refill by" in [str(event["SUMMARY"]) for event in events(chosen)]
    _, private = calendar_of(notes.record.entries, NOW, UTC, full_titles=False)
    assert "Refill by" not in [str(event["SUMMARY"]) for event in events(private)]


def uids(notes) -> dict:
    """The day of each event of the calendar file, by its UID."""
    _, content = calendar_of(notes.record.entries, NOW, UTC)
    return {str(event["UID"]): event["DTSTART"].dt for event in events(content)}


def test_the_uids_outlast_a_new_refill_and_its_dates_move():
    notes = usual()
    before = uids(notes)
    notes.note("refill", "2026-02-19", {"filled_ml": 20.0, "strength_mcg_per_ml": 500.0})
    after = uids(notes)
    shared = before.keys() & after.keys()
    assert len(shared) >= 3
    assert any(before[uid] != after[uid] for uid in shared)


def test_the_uids_outlast_corrections_of_the_oldest_entry_and_its_removal():
    notes = usual()
    record = notes.record
    before = uids(notes)
    pump = {"reservoir_ml": 20.0, "alarm_volume_ml": 2.0}
    oldest = min(record.entries, key=lambda entry: entry.written_at)
    assert oldest.kind == "pump"
    once = record.correct(oldest.id, {**pump, "model": "one"})
    again = record.correct(once.id, {**pump, "model": "two"})
    assert uids(notes) == before
    notes.note("pump", "2025-12-02", pump)
    record.remove(again.id)
    assert uids(notes) == before
