"""The journal on a medium: generations, damage, newer schemas, a device that refuses."""

import errno
import os
import stat

import pytest
from record_faults import Disk, FaultyFiles
from record_helpers import codes, note, notes, own, plain

from pocketpump.record import (
    DiskFiles,
    MemoryFiles,
    NewerRecordError,
    NotSavedError,
    Record,
    RecordClosedError,
    RecordGoneError,
    RecordUnreadableError,
)
from pocketpump.record.journal import migrations, tinydb_storage
from pocketpump.record.journal.journal import Journal
from pocketpump.record.journal.lines import Header, encode, encode_header, scan
from pocketpump.record.journal.other_files import digest


def snapshot(place) -> dict[str, bytes]:
    files = place.open()
    held = {plain(files, name): files.read(name) for name in files.names()}
    files.close()
    return held


def overwrite(place, name: str, data: bytes) -> None:
    files = place.open()
    name = own(files, name)
    if name in files.names():
        files.remove(name)
    files.append(name, data)
    files.sync(name)
    files.close()


def fill(place, *texts: str) -> None:
    with place.record(f"{texts[0]}") as record:
        for text in texts:
            note(record, text)


@pytest.fixture
def folds_often(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tinydb_storage, "FOLD_AFTER", 2)


FIRST, SECOND, THIRD = (f"record-00000{n}.jsonl" for n in (1, 2, 3))


def test_opening_nothing_makes_one_generation_and_no_problem(place) -> None:
    with place.record() as record:
        assert record.entries == record.problems == ()
    assert list(snapshot(place)) == [FIRST]


def test_a_save_is_one_line_of_json_and_reading_gives_it_back(place) -> None:
    fill(place, "one", "two")
    assert snapshot(place)[FIRST].count(b"\n") == 3
    with place.record() as record:
        assert notes(record) == ["one", "two"]
        assert record.problems == ()


@pytest.mark.usefixtures("folds_often")
def test_folding_keeps_exactly_the_generation_before(place) -> None:
    for number in range(4):
        fill(place, f"{number}a", f"{number}b", f"{number}c")
    with place.record() as record:
        assert len(record.entries) == 12
    assert sorted(snapshot(place)) == ["record-000004.jsonl", "record-000005.jsonl"]


def test_more_than_two_thousand_appended_entries_are_folded_when_opened(place) -> None:
    with place.record() as record:
        draft = ("check-in", record._clock(), "", {"stiffness": 1})
        record.add_many([draft] * 2000)
    place.record().close()
    assert list(snapshot(place)) == [FIRST]
    fill(place, "one more")
    place.record().close()
    held = snapshot(place)
    assert sorted(held) == [FIRST, SECOND]
    assert held[SECOND].count(b"\n") == 2002


def test_a_torn_end_is_cut_kept_aside_and_told(place) -> None:
    fill(place, "one", "two")
    whole = snapshot(place)[FIRST]
    overwrite(place, FIRST, whole[:-9])
    with place.record() as record:
        assert notes(record) == ["one"]
        # On a disk the mark knows besides that it had been acknowledged.
        assert [code for code in codes(record) if code != "rolled back"] == ["torn end"]
    cut = [data for name, data in snapshot(place).items() if name.startswith("cut-")]
    assert cut == [whole[:-9].split(b"\n")[-1]]
    with place.record() as record:
        assert [code for code in codes(record) if code != "rolled back"] == []


def damaged_middle(data: bytes) -> bytes:
    rows = data.split(b"\n")
    rows[2] = rows[2].replace(b"stiffness", b"sniffness")
    return b"\n".join(rows)


def test_damage_in_the_middle_sets_the_file_aside_and_keeps_all_other_lines(place) -> None:
    fill(place, "one", "two", "three")
    bad = damaged_middle(snapshot(place)[FIRST])
    overwrite(place, FIRST, bad)
    with place.record() as record:
        assert notes(record) == ["one", "three"]
        assert codes(record) == ["damaged"]
        assert "1 of its lines could not be read" in record.problems[0].sentence
    held = snapshot(place)
    assert held["damaged-000002-1.jsonl"] == bad
    assert SECOND in held
    assert FIRST not in held
    fill(place, "four")
    with place.record() as record:
        assert notes(record) == ["four", "one", "three"]
        assert codes(record) == []


@pytest.mark.usefixtures("folds_often")
@pytest.mark.parametrize(
    "damage", [damaged_middle, lambda d: d[:-20], lambda d: b"", lambda d: d[9:]]
)
def test_damage_to_folded_lines_is_mended_from_the_generation_before(place, damage) -> None:
    fill(place, "one", "two", "three")
    place.record().close()
    bad = damage(snapshot(place)[SECOND])
    overwrite(place, SECOND, bad)
    with place.record() as record:
        assert notes(record) == ["one", "three", "two"]
        assert codes(record) == ["damaged"]
    held = snapshot(place)
    assert held["damaged-000003-1.jsonl"] == bad
    assert sorted(n for n in held if n.startswith("record")) == [FIRST, THIRD]


@pytest.mark.parametrize("change", ["swapped", "doubled", "taken out"])
def test_lines_swapped_doubled_or_taken_out_are_noticed(place, change: str) -> None:
    fill(place, "one", "two", "three")
    head, one, two, three, end = snapshot(place)[FIRST].split(b"\n")
    rows = {
        "swapped": [head, two, one, three, end],
        "doubled": [head, one, one, two, three, end],
        "taken out": [head, one, three, end],
    }[change]
    overwrite(place, FIRST, b"\n".join(rows))
    with place.record() as record:
        gone = change == "taken out"
        assert notes(record) == (["one", "three"] if gone else ["one", "three", "two"])
        assert codes(record) == ["damaged"]
        assert record.problems[0].sentence.count("1 of its lines") == gone


def test_a_lost_newline_between_two_saves_costs_neither(place) -> None:
    fill(place, "one", "two", "three")
    head, one, two, three, end = snapshot(place)[FIRST].split(b"\n")
    overwrite(place, FIRST, b"\n".join([head, one + b"\x0b" + two, three, end]))
    with place.record() as record:
        assert notes(record) == ["one", "three", "two"]


def test_a_record_file_that_went_missing_is_put_together_from_what_was_set_aside(place) -> None:
    fill(place, "one", "two", "three")
    overwrite(place, FIRST, damaged_middle(snapshot(place)[FIRST]))
    place.record().close()
    files = place.open()
    files.remove(own(files, SECOND))
    files.close()
    with place.record() as record:
        assert notes(record) == ["one", "three"]
        assert codes(record) == ["record missing"]
    assert "damaged-000002-1.jsonl" in snapshot(place)


def test_a_newer_schema_is_refused_and_nothing_is_touched(place) -> None:
    header, chain = encode_header(Header(99, 1, 0))
    line, _ = encode(1, chain, b'{"shape":"unknown"}')
    overwrite(place, FIRST, header + line + b"torn")
    before = snapshot(place)
    with pytest.raises(NewerRecordError):
        place.record()
    assert snapshot(place) == before


def test_leftovers_of_an_unfinished_fold_are_removed_once_a_whole_generation_was_read(
    place,
) -> None:
    fill(place, "one")
    overwrite(place, "record-000002.tmp", b"half")
    place.record().close()
    assert list(snapshot(place)) == [FIRST]


def test_a_repair_interrupted_before_the_damaged_file_was_set_aside_is_finished(place) -> None:
    fill(place, "one", "two", "three")
    bad = damaged_middle(snapshot(place)[FIRST])
    overwrite(place, FIRST, bad)
    place.record().close()
    files = place.open()
    files.replace(own(files, "damaged-000002-1.jsonl"), own(files, FIRST))
    files.close()
    with place.record() as record:
        assert codes(record) == []
    assert snapshot(place)["damaged-000002-1.jsonl"] == bad


@pytest.mark.usefixtures("folds_often")
def test_a_damaged_file_that_cannot_be_set_aside_is_never_removed_by_later_folds(
    monkeypatch,
) -> None:
    files = MemoryFiles()
    with Record.open(files) as record:
        for text in ("one", "two", "three"):
            note(record, text)
    rename = files.replace

    def refuse_aside(source: str, target: str) -> None:
        if target.startswith("damaged"):
            raise OSError(errno.EACCES, "in use elsewhere")
        rename(source, target)

    monkeypatch.setattr(files, "replace", refuse_aside)
    bad = damaged_middle(files.read(FIRST))
    files.truncate(FIRST, 0)
    files.append(FIRST, bad)
    for number in range(4):
        with Record.open(files) as record:
            for part in "abc":
                note(record, f"{number}{part}")
    assert files.read(FIRST) == bad
    monkeypatch.undo()
    Record.open(files).close()
    assert bad in [files.read(name) for name in files.names() if name.startswith("damaged")]
    assert FIRST not in files.names()


def test_an_older_schema_is_migrated_into_a_new_generation(place, monkeypatch) -> None:
    def step(document):
        changed = dict(document)
        changed["at"] = changed.pop("when")
        return changed

    monkeypatch.setitem(migrations.STEPS, 0, step)
    header, chain = encode_header(Header(0, 1, 0))
    old = (
        b'{"put":{"entries":{"1":{"id":"old","kind":"check-in","when":"2020-01-01T00:00:00+00:00",'
        b'"zone":"","written_at":"2020-01-01T00:00:00+00:00","payload":{"stiffness":3}}}}}'
    )
    line, _ = encode(1, chain, old)
    overwrite(place, FIRST, header + line)
    with place.record() as record:
        assert [(e.id, e.at.year) for e in record.alive] == [("old", 2020)]
        assert codes(record) == []
        note(record, "new")
    held = snapshot(place)
    assert held[FIRST] == header + line, "the old file is the generation before"
    read = {own(place.open(), FIRST): digest(header + line)}
    assert scan(held[SECOND]).header == Header(migrations.SCHEMA, 2, 1, read=read)
    with place.record() as record:
        assert len(record.alive) == 2


def test_a_full_disk_refuses_one_save_and_takes_the_next() -> None:
    files = FaultyFiles(Disk(), "half then enospc")
    record = Record.open(files)
    note(record, "one")
    files.fail_at = files.calls + 3  # renew, size, then append
    with pytest.raises(NotSavedError, match="free some space"):
        note(record, "two")
    assert notes(record) == ["one"]
    note(record, "two")
    record.close()
    with Record.open(FaultyFiles(files.disk)) as again:
        assert notes(again) == ["one", "two"]
        assert codes(again) == []


def test_a_device_that_went_away_switches_saving_off_until_opened_again() -> None:
    files = FaultyFiles(Disk(), "device gone")
    record = Record.open(files)
    note(record, "one")
    files.fail_at = files.calls + 3
    with pytest.raises(NotSavedError):
        note(record, "two")
    files.fail_at = 0
    with pytest.raises(RecordClosedError, match="open it again"):
        note(record, "three")
    assert notes(record) == ["one"]
    with Record.open(files) as again:
        note(again, "four")
        assert notes(again) == ["four", "one"]


def test_a_full_disk_still_lets_a_damaged_record_be_read() -> None:
    files = FaultyFiles(Disk())
    with Record.open(files) as record:
        for text in ("one", "two", "three"):
            note(record, text)
    bad = damaged_middle(files.disk.seen[FIRST])
    files.disk.seen[FIRST] = bad
    files.kind, files.fail_at = "device gone", files.calls + 3  # names, read, then all fails
    record = Record.open(files)
    assert notes(record) == ["one", "three"]
    assert codes(record) == ["damaged", "read only"]
    with pytest.raises(RecordClosedError):
        note(record, "four")
    assert files.disk.seen == {FIRST: bad}


def test_files_that_cannot_be_read_are_an_error_and_never_an_empty_record() -> None:
    files = FaultyFiles(Disk())
    with Record.open(files) as record:
        note(record, "one")
    before = dict(files.disk.seen)
    for call in (1, 2):
        files.kind, files.fail_at = "eio", files.calls + call
        with pytest.raises(RecordUnreadableError):
            Record.open(files)
    assert files.disk.seen == before


def test_a_file_that_someone_else_wrote_to_is_not_built_on(place) -> None:
    files = place.open()
    record = Record.open(files)
    note(record, "one")
    files.append(own(files, FIRST), b"someone else\n")
    with pytest.raises((RecordClosedError, RecordGoneError)):
        note(record, "two")
    record.close()
    with place.record() as again:
        assert notes(again) == ["one"]
        assert codes(again) == ["torn end"]


def test_a_closed_record_refuses_to_write_but_can_be_read(place) -> None:
    record = place.record()
    note(record, "one")
    record.close()
    with pytest.raises(RecordClosedError):
        note(record, "two")
    assert notes(record) == ["one"]


def test_an_entry_is_synced_exactly_once_before_it_is_acknowledged() -> None:
    files = FaultyFiles(Disk())
    record = Record.open(files)
    before = files.calls
    note(record, "one")
    assert files.calls - before == 6, "renew, size, append, sync, renew, size"
    before = files.calls
    record.add_many([("check-in", record._clock(), "", {"stiffness": 1})] * 40)
    assert files.calls - before == 6


@pytest.mark.skipif(os.name != "posix", reason="rights are POSIX")
def test_folder_and_files_are_for_the_owner_only(tmp_path) -> None:
    folder = tmp_path / "deep" / "record"
    with Record.open(DiskFiles(folder)) as record:
        note(record, "one")
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    assert {stat.S_IMODE(path.stat().st_mode) for path in folder.iterdir()} == {0o600}


def test_short_writes_are_carried_on_until_all_is_written(tmp_path, monkeypatch) -> None:
    real = os.write
    monkeypatch.setattr(os, "write", lambda handle, data: real(handle, bytes(data[:7])))
    with Record.open(DiskFiles(tmp_path / "r")) as record:
        note(record, "one")
    monkeypatch.undo()
    with Record.open(DiskFiles(tmp_path / "r")) as record:
        assert notes(record) == ["one"]
        assert codes(record) == []


def test_a_full_real_disk_in_the_middle_of_a_write_leaves_no_trace(tmp_path, monkeypatch) -> None:
    record = Record.open(DiskFiles(tmp_path / "r"))
    note(record, "one")
    real, calls = os.write, []

    def half(handle, data):
        if calls:
            raise OSError(errno.ENOSPC, "no space left")
        calls.append(1)
        return real(handle, bytes(data[: len(data) // 2]))

    monkeypatch.setattr(os, "write", half)
    with pytest.raises(NotSavedError):
        note(record, "two")
    monkeypatch.undo()
    note(record, "three")
    record.close()
    with Record.open(DiskFiles(tmp_path / "r")) as again:
        assert notes(again) == ["one", "three"]
        assert codes(again) == []


def test_a_folder_that_cannot_be_made_is_told_in_a_sentence(tmp_path) -> None:
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(RecordUnreadableError):
        DiskFiles(tmp_path / "file" / "record")


def test_nothing_can_be_appended_before_a_needed_fold() -> None:
    journal = Journal.open(FaultyFiles(Disk()))
    assert journal.must_fold
    with pytest.raises(RecordClosedError):
        journal.append(b"{}")
