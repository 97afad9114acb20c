"""A backup, a copy and a table are kept as checked, not as they came."""

import json
from hashlib import sha256

import pytest
from exchange_helpers import NOW
from made_up_files import PUMP, deep, entry, folder, sealed

from pocketpump.core.errors import PocketPumpError
from pocketpump.exchange.backup import backup
from pocketpump.exchange.backup.backup import BackupError, read_backup, write_backup
from pocketpump.exchange.backup.import_preview import found_in, preview
from pocketpump.record import MemoryFiles, Record, from_document
from pocketpump.record.entry.bounds import MOST_VALUES
from pocketpump.record.facts.situation import situation_of

BAD = {
    "deep": deep(275),
    "very deep": deep(50_000),
    "year 9999": entry("late", "newer", x=1).replace("2026-01-12T09", "9999-12-31T23"),
    "year 1": entry("early", "newer", x=1).replace("2026-01-12T09", "0001-01-01T00"),
    "values": entry("many", "newer", x=[0] * (MOST_VALUES + 1)),
    "bytes": entry("large", "newer", x="x" * 1_000_001),
    "no number": entry("nan", "newer", x=float("nan")),
    "half a letter": entry("half", "newer", x="\ud800"),
    "null needed": entry("null", "refill", filled_ml=None, strength_mcg_per_ml=500.0),
    "null item": entry("item", "check-in", stiffness=3, worries=[None]),
    "no entry": "7",
}


@pytest.mark.parametrize("bad", BAD.values(), ids=BAD)
def test_of_a_backup_only_what_cannot_be_right_is_left_out_and_told(bad):
    found = read_backup(sealed(json.dumps(PUMP), bad, entry("note", "check-in", stiffness=3)))
    with Record.open(MemoryFiles()) as record:
        told = preview(record.entries, found.entries, NOW.tzinfo)
        record.import_entries(found.entries)
        assert [one.id for one in record.entries] == ["pump", "note"]
        assert bool(found.problems) != bool(told.conflicts)
        assert record.import_entries(found.entries).added == ()
        # And it can be carried on.
        assert read_backup(write_backup(record.entries, NOW)).entries == record.entries


@pytest.mark.parametrize("bad", BAD.values(), ids=BAD)
def test_of_a_folder_too(bad):
    try:
        found, _ = found_in(folder(json.dumps(PUMP), bad, entry("note", "check-in", stiffness=3)))
    except PocketPumpError:
        assert bad == "7"  # a line that is no change: nothing in it can be trusted
        return
    with Record.open(MemoryFiles()) as record:
        record.import_entries(found)
        assert [one.id for one in record.entries] == ["pump", "note"]


def test_optional_nulls_are_kept_as_not_there_and_meet_the_same_entry_without_them():
    nulled = json.loads(entry("note", "check-in", stiffness=3, worries=None, note=None))
    plain = json.loads(entry("note", "check-in", stiffness=3))
    (theirs,) = read_backup(sealed(json.dumps(nulled))).entries
    with Record.open(MemoryFiles()) as record:
        record.import_entries([from_document(plain)])
        assert record.import_entries([theirs]).known == 1
        assert record.problems == ()


def test_an_unknown_kind_within_the_limits_is_kept():
    text = entry("new", "newer", x=[None, {"y": "z"}])
    (found,) = read_backup(sealed(text)).entries
    with Record.open(MemoryFiles()) as record:
        record.import_entries([found])
        assert json.dumps(json.loads(text)["payload"]) == json.dumps(record.entries[0].payload)


def test_a_backup_nested_deeply_outside_its_entries_is_refused():
    text = sealed().decode().replace('"entry_count":0', '"entry_count":' + "[" * 90 + "]" * 90)
    body = text[: text.index('"sha256"')].encode()
    data = body + f'"sha256":"{sha256(body).hexdigest()}"\n}}\n'.encode()
    with pytest.raises(BackupError):
        read_backup(data)


def test_a_folder_with_more_than_a_record_can_hold_is_refused(monkeypatch):
    monkeypatch.setattr(backup, "MOST_PARTS", 50)
    with pytest.raises(BackupError, match="more than"):
        found_in(folder(*[json.dumps(PUMP)] * 20))
    monkeypatch.setattr(backup, "LARGEST", 50)
    with pytest.raises(BackupError, match="too large"):
        found_in(folder(json.dumps(PUMP)))


def test_nothing_that_was_kept_stops_the_forecast():
    kept = [json.dumps(PUMP), *(text for name, text in BAD.items() if name != "no entry")]
    kept.append(entry("setting", "programme", programme={"days": None}))
    with Record.open(_files(folder(*kept))) as record:
        situation, _ = situation_of(record.alive, NOW)
        assert situation is not None


def _files(files: dict[str, bytes]) -> MemoryFiles:
    made = MemoryFiles()
    for name, data in files.items():
        made.append(name, data)
    return made
