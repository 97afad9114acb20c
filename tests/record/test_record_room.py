"""Whatever the record takes in opens again, and fits into a backup that reads back whole."""

import json

import pytest
from record_helpers import NOON, Ticking, codes, counted_ids, note, notes

from pocketpump.core.errors import InputError
from pocketpump.exchange.backup.backup import MOST_PARTS, BackupError, read_backup, write_backup
from pocketpump.exchange.papers.attachment import check_room
from pocketpump.record import MemoryFiles, Record, from_document, new_entry, to_document
from pocketpump.record.entry import bounds
from pocketpump.record.entry.bounds import DEEPEST, MOST_VALUES
from pocketpump.record.journal.file_names import record_name

DOCUMENT = {
    "id": "large", "kind": "newer", "at": "2026-01-12T09:00:00+01:00", "zone": "",
    "written_at": "2026-01-12T08:05:00+00:00",
}  # fmt: skip


def nested(levels: int) -> object:
    value: object = 0
    for _ in range(levels):
        value = [value]
    return value


ODD = {
    "deep": ("programme", {"programme": {"days": nested(DEEPEST)}}),
    "deep enough": ("programme", {"programme": {"days": nested(DEEPEST - 3)}}),
    "values": ("programme", {"programme": {"days": [0] * (MOST_VALUES - 3)}}),
    "too many values": ("programme", {"programme": {"days": [0] * MOST_VALUES}}),
    "number": ("programme", {"programme": {"x": 10**16}}),
    "texts": ("check-in", {"stiffness": 3, "worries": ["x" * 200] * 1000}),
    "long texts": ("care", {"allergies": ["x" * 1999] * 1000}),
}


@pytest.mark.parametrize(("kind", "payload"), ODD.values(), ids=ODD)
def test_what_was_acknowledged_opens_again_and_is_in_a_backup(kind, payload):
    files = MemoryFiles()
    with Record.open(files, clock=Ticking(), make_id=counted_ids("a")) as record:
        try:
            record.add(kind, NOON, "", payload)
        except InputError:
            assert record.entries == ()
        held = record.entries
        assert read_backup(write_backup(held, NOON)).entries == held
    with Record.open(files) as record:
        assert record.entries == held
        assert "not understood" not in codes(record)


def test_an_entry_as_deep_as_may_be_is_written_and_read_and_one_deeper_is_refused():
    def made(levels: int):
        # What is not known of a setting stands beside it as it is.
        payload = {"programme": {"days": [[[0, 8]]], "new": nested(levels)}}
        return new_entry("programme", NOON, "", payload, now=NOON, make_id=lambda: "one")

    fits = made(DEEPEST - 3)  # within days, programme, payload
    assert from_document(to_document(fits)) == fits
    with pytest.raises(InputError, match="than can be kept in one entry"):
        made(DEEPEST - 2)


def large(name: str, values: int = MOST_VALUES - 10):
    """An entry of a kind we do not know, with as many values as one may have."""
    return from_document({**DOCUMENT, "id": name, "payload": {"x": [0] * values}})


def test_two_copies_too_large_together_are_refused_whole_and_each_can_still_be_backed_up():
    number = bounds.RECORD_PARTS // MOST_VALUES
    ours, theirs = ([large(f"{word}{n}") for n in range(number)] for word in ("a", "b"))
    with Record.open(MemoryFiles(), clock=Ticking()) as record:
        record.import_entries(ours)
        note(record, "one")
        held = record.entries
        with pytest.raises(InputError, match="more than one backup file can hold"):
            record.import_entries(theirs)
        assert record.entries == held
        assert record.import_entries(ours).known == number
        note(record, "two")
        assert read_backup(write_backup(record.entries, NOON)).entries == record.entries


def test_what_a_record_may_hold_leaves_room_in_a_backup_for_many_years_by_hand():
    by_hand = [("check-in", NOON, "Europe/Berlin", {"stiffness": 4, "note": "x"})] * 1000
    with Record.open(MemoryFiles(), clock=Ticking()) as record:
        a_thousand = write_backup(record.add_many(by_hand), NOON)
    thousands = (MOST_PARTS - bounds.RECORD_PARTS) / bounds.parts_in(a_thousand)
    assert thousands > 365 * 4 * 10 / 1000  # four a day for ten years


def test_papers_leave_the_room_that_the_rest_of_the_record_takes(monkeypatch):
    scan = {"name": "a.pdf", "media_type": "application/pdf", "data": "QUJD" * 1000}
    with Record.open(MemoryFiles(), clock=Ticking()) as record:
        record.import_entries([from_document({**DOCUMENT, "payload": {"x": "x" * 6000}})])
        monkeypatch.setattr(bounds, "RECORD_BYTES", 12_000)
        check_room(record.entries, scan)
        record.add("attachment", NOON, "", scan)
        with pytest.raises(InputError, match="was not added"):
            check_room(record.entries, scan)


def folder_of_two() -> MemoryFiles:
    """Two devices' files in one folder, each of which could be backed up alone."""
    files = MemoryFiles()
    for writer in ("aaaaaaaa", "bbbbbbbb"):
        own = MemoryFiles()
        own.writer = writer
        with Record.open(own, clock=Ticking(), make_id=counted_ids(writer)) as record:
            for number in range(10):
                note(record, f"{writer[0]}{number}")
        for name in own.names():
            files.append(name, own.read(name))
    files.writer = "aaaaaaaa"
    return files


def test_of_another_devices_file_only_what_fits_is_taken_in_and_the_rest_is_told_every_time(
    monkeypatch,
):
    files = folder_of_two()
    theirs = record_name("bbbbbbbb", 1)
    before = files.read(theirs)
    monkeypatch.setattr(bounds, "RECORD_PARTS", 150)
    for _ in range(2):
        with Record.open(files, clock=Ticking()) as record:
            assert [f"a{number}" for number in range(10)] == notes(record)[:10]
            assert 10 < len(notes(record)) < 20
            assert "other file too large" in codes(record)
            data = write_backup(record.entries, NOON)
            assert bounds.parts_in(data) < 165  # the head has a few, too
    assert files.read(theirs) == before
    monkeypatch.undo()
    with Record.open(files, clock=Ticking()) as record:
        assert len(notes(record)) == 20
        assert codes(record) == []


def test_a_record_that_is_too_large_all_the_same_is_told_in_a_sentence_about_the_record(
    monkeypatch,
):
    with Record.open(MemoryFiles(), clock=Ticking()) as record:
        for number in range(20):
            note(record, str(number))
    monkeypatch.setattr("pocketpump.exchange.backup.backup.MOST_PARTS", 100)
    with pytest.raises(BackupError, match="The record is too large for one backup"):
        write_backup(record.entries, NOON)


def test_the_size_of_an_entry_is_that_of_its_line_in_a_backup():
    entry = from_document({**DOCUMENT, "payload": {"x": ["ä", "a,b", {"y": [1, 2.5, None]}]}})
    line = json.dumps(to_document(entry), ensure_ascii=False, separators=(",", ":")).encode()
    room = bounds.Room()
    assert room.take(entry.line)
    between = b",\n"
    assert (room.bytes, room.parts) == (len(line + between), bounds.parts_in(line + between))
