"""When a backup is due, what checking the record finds, and what a helper may see."""

import json
from datetime import UTC, datetime, timedelta

import pytest
from exchange_helpers import NOW, copies
from exchange_records import usual

from pocketpump.core.units.instants import zone_named
from pocketpump.exchange.backup.backup_due import backup_state, say_state
from pocketpump.exchange.backup.record_check import check_up, shared_rights, support_file
from pocketpump.record import MemoryFiles, Record, from_document

ZONE = zone_named("Europe/Rome")


def record_with(entries: int, *, days_ago: int, in_backup: int | None, since: int) -> Record:
    now = NOW - timedelta(days=days_ago)
    record = Record.open(MemoryFiles(), clock=lambda: now)
    for _ in range(entries):
        record.add("check-in", now, "", {"stiffness": 1})
    if in_backup is not None:
        record.add("backup", now, "", {"entry_count": in_backup})
    for _ in range(since):
        record.add("check-in", now, "", {"stiffness": 2})
    return record


@pytest.mark.parametrize(
    ("entries", "days_ago", "in_backup", "since", "due", "words"),
    [
        # Own defaults: a month, thirty entries.
        (0, 0, None, 0, False, "no backup yet"),
        (5, 1, None, 0, False, "no backup yet"),
        (5, 31, None, 0, True, "5 entries are only on this device"),
        (31, 0, None, 0, True, "31 entries are only on this device"),
        (30, 0, None, 0, False, "30 entries are only on this device"),
        (5, 400, 5, 0, False, "Everything is in your last backup."),
        (5, 31, 5, 1, True, "31 days ago: 1 entry is not in it"),
        (5, 30, 5, 1, False, "30 days ago"),
        (5, 1, 5, 30, False, "1 day ago: 30 entries"),
        (5, 0, 5, 31, True, "today: 31 entries"),
        (5, -60, 5, 1, True, "today: 1 entry"),  # a clock was wrong
    ],
)
def test_a_backup_is_due_by_age_or_by_entries(entries, days_ago, in_backup, since, due, words):
    record = record_with(entries, days_ago=days_ago, in_backup=in_backup, since=since)
    state = backup_state(record.entries, record.alive, NOW)
    assert state.due == due
    assert words in say_state(state, NOW)


def test_what_came_in_from_another_copy_is_in_no_backup_of_this_one():
    record = record_with(5, days_ago=1, in_backup=5, since=0)
    record.import_entries(record_with(40, days_ago=500, in_backup=None, since=0).entries)
    assert backup_state(record.entries, record.alive, NOW).since == 40


def test_a_sound_record_is_said_to_be_whole():
    record = copies(4)[0]
    before = record.entries
    found = check_up(record, NOW + timedelta(days=400), ZONE)
    assert found.entries == len(record.entries)
    assert found.counting == len(record.alive)
    assert sum(number for _, number in found.counts) == len(record.alive)
    assert record.entries == before


def test_the_problem_of_the_oldest_entry_comes_first_and_names_it():
    documents = [
        {"id": f"id-{day}", "kind": "refill", "at": f"2026-02-{day}T10:00:00+00:00", "zone": "",
         "written_at": "2026-02-20T10:00:00+00:00", "payload": {"filled_ml": -day}}
        for day in (14, 12, 13)
    ]  # fmt: skip
    files = MemoryFiles()
    record = Record.open(files)
    record._save(tuple(map(from_document, documents)))  # as damage or a foreign program would
    found = check_up(record, NOW, ZONE)
    assert not found.sound
    assert "refill of Thu 12 Feb 2026" in found.problems[0]
    assert found.codes == ("unreadable",) * 3


def test_files_that_changed_or_vanished_behind_our_back_are_told():
    files = MemoryFiles()
    record = Record.open(files, clock=lambda: NOW)
    record.add("check-in", NOW, "", {"stiffness": 1})
    assert check_up(record, NOW, ZONE).sound
    files.truncate("record-000001.jsonl", files.size("record-000001.jsonl") - 3)
    assert check_up(record, NOW, ZONE).codes == ("file changed",)
    files.remove("record-000001.jsonl")  # the browser evicted its storage
    assert check_up(record, NOW, ZONE).codes == ("file changed",)


def test_a_clock_in_the_future_is_told():
    record = Record.open(MemoryFiles(), clock=lambda: NOW + timedelta(days=3000))
    record.add("check-in", NOW, "", {"stiffness": 1})
    assert "clock" in check_up(record, NOW, ZONE).codes


def test_entries_dated_ahead_are_told_but_a_planned_dose_is_not():
    record = Record.open(MemoryFiles(), clock=lambda: NOW)
    record.add("programme", NOW + timedelta(days=30), "", {"programme": {"days": [[[0, 8]]]}})
    record.add("check-in", NOW + timedelta(minutes=5), "", {"stiffness": 1})
    assert check_up(record, NOW, ZONE).codes == ()
    ahead = record.add("care", NOW + timedelta(days=3650), "", {"allergies": "none"})
    found = check_up(record, NOW, ZONE)
    assert found.codes == ("clock",)
    assert "remove it in My record" in found.problems[0]
    assert "care details of" in found.problems[0]
    record.remove(ahead.id)
    assert check_up(record, NOW, ZONE).codes == ()


@pytest.mark.parametrize(("mode", "told"), [(0o40700, False), (0o40755, True), (0o40770, True)])
def test_a_folder_open_to_others_is_told(mode, told):
    assert bool(shared_rights(mode)) == told


def test_a_support_file_holds_nothing_of_what_was_noted():
    canary = "Zebra7431"
    files = MemoryFiles()
    files.append(f"{canary}.txt", b"x")
    record = Record.open(files, clock=lambda: NOW - timedelta(days=1000))
    at = NOW - timedelta(days=1234)
    record.add(
        "refill",
        at,
        "Europe/Rome",
        {"filled_ml": 37.431, "strength_mcg_per_ml": 1743.1, "drug": canary, "note": canary},
    )
    record.add("contact", at, "", {"name": canary, "phone": "0174317431"})
    record.add("happening", at, "", {"what": canary})
    foreign = {"id": canary, "kind": canary, "at": at.isoformat(), "zone": "",
               "written_at": at.isoformat(), "payload": {canary: 7431}}  # fmt: skip
    record.import_entries([from_document(foreign)])
    found = check_up(record, NOW, ZONE)
    text = support_file(found, NOW).decode()
    for secret in (canary, "7431", "37.4", "1743", f"{at:%Y-%m-%d}", "Rome", "baclofen", "refill"):
        assert secret not in text
    told = json.loads(text)
    assert told["entries"] == 4
    assert told["other_files"] == 1
    names = "format version written_on pocketpump schema python system entries counting files"
    assert set(told) == {*names.split(), "other_files", "problems"}


def test_a_refill_noted_on_two_phones_is_told_by_the_check():
    notes = usual()
    assert check_up(notes.record, NOW, ZONE).codes == ()
    notes.note("refill", "2026-01-12", {"filled_ml": 20.0, "strength_mcg_per_ml": 500.0})
    found = check_up(notes.record, NOW, ZONE)
    assert found.codes == ("twin-refills",)
    assert "under Refills and remove it" in found.problems[0]
    minutes_later = datetime(2026, 1, 12, 9, 4, tzinfo=UTC)
    same = {"filled_ml": 20.0, "strength_mcg_per_ml": 500.0}
    notes.record.add("refill", minutes_later, "UTC", same)
    found = check_up(notes.record, NOW, ZONE)
    assert found.codes == ("twin-refills", "twin-refills")
