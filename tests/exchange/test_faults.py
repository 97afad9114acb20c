"""The fault campaign beyond single saves: bringing in, taking back, starting over, backup files.

``tests/record`` makes each call of each save fail; here the same disk fails under the larger
acts, whole files are swapped, cut, spoilt and evicted, and two programs want one record.
Afterwards everything acknowledged is there, or can be had again, and the person was told.
"""

import asyncio
import errno
import os
import random
import shutil
import subprocess
import sys
from collections import Counter
from datetime import UTC, timedelta
from pathlib import Path

import pytest
from exchange_helpers import NOW, copies, ids, live
from record_faults import KINDS, Dead, Disk, FaultyFiles, copy_of

from pocketpump.cli.files import write_new
from pocketpump.core.errors import InputError, PocketPumpError
from pocketpump.exchange.backup.encrypted import make_backup, open_backup
from pocketpump.exchange.backup.record_check import check_up
from pocketpump.record import DiskFiles, MemoryFiles, NotSavedError, Record, RecordInUseError
from pocketpump.record.facts.card_facts import care_of
from pocketpump.record.facts.situation import newest, situation_of
from pocketpump.record.journal import tinydb_storage

FAULTS: Counter[str] = Counter()
SEEDS = (21, 24, 27)
ROOT = Path(__file__).parents[2]


@pytest.fixture(autouse=True)
def _folds_often(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tinydb_storage, "FOLD_AFTER", 5)


def disk_with(entries) -> Disk:
    """A disk with a record of two generations that holds ``entries``."""
    disk = Disk()
    for half in (entries[: len(entries) // 2], entries[len(entries) // 2 :], ()):
        with Record.open(FaultyFiles(disk)) as record:
            record.import_entries(half)
    return disk


def again(disk: Disk) -> Record:
    return Record.open(FaultyFiles(disk), clock=lambda: NOW)


def tried(disk: Disk, kind: str, fail_at: int, act) -> bool:
    """Do ``act`` on a record on a disk that fails; tell whether it was acknowledged."""
    files = FaultyFiles(disk, kind, fail_at)
    try:
        act(Record.open(files, clock=lambda: NOW))
        return True
    except (PocketPumpError, Dead):
        return False
    finally:
        FAULTS[kind] += 1


def calls_of(entries, act) -> int:
    files = FaultyFiles(disk_with(entries))
    act(Record.open(files, clock=lambda: NOW))
    return files.calls


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("kind", KINDS)
def test_a_copy_comes_in_whole_or_not_at_all_whatever_fails(kind, seed):
    mine, theirs, _ = copies(seed)
    both = ids(mine.entries) | ids(theirs.entries)

    def act(record):
        record.import_entries(theirs.entries)

    for fail_at in range(1, calls_of(mine.entries, act) + 1):
        disk = disk_with(mine.entries)
        acknowledged = tried(disk, kind, fail_at, act)
        found = ids(again(disk).entries)
        assert found in (ids(mine.entries), both)
        assert not acknowledged or found == both


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("kind", KINDS)
def test_taking_back_a_copy_happens_whole_or_not_at_all(kind, seed):
    mine, theirs, _ = copies(seed)

    def act(record):
        record.undo_import(record.import_entries(theirs.entries))

    for fail_at in range(1, calls_of(mine.entries, act) + 1):
        disk = disk_with(mine.entries)
        acknowledged = tried(disk, kind, fail_at, act)
        record = again(disk)
        assert ids(mine.entries) <= ids(record.entries)
        shown = {e.id for e in record.alive if e.removes is None}
        united = Record.open(MemoryFiles())
        united.import_entries(mine.entries)
        before = {e.id for e in united.alive if e.removes is None}
        united.import_entries(theirs.entries)
        after = {e.id for e in united.alive if e.removes is None}
        assert shown in (before, after)
        assert not acknowledged or shown == before


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("kind", KINDS)
def test_starting_over_leaves_the_whole_old_record_in_place_or_aside(kind, seed):
    mine = copies(seed)[0]

    def act(record):
        record.start_over()

    for fail_at in range(1, calls_of(mine.entries, act) + 1):
        disk = disk_with(mine.entries)
        acknowledged = tried(disk, kind, fail_at, act)
        found = ids(again(disk).entries)
        assert found in (set(), ids(mine.entries))
        assert not acknowledged or not found
        if not found:
            old = MemoryFiles()
            for name, data in disk.seen.items():
                if name.startswith("aside-001-record-"):
                    old.append(name.removeprefix("aside-001-"), data)
            assert ids(Record.open(old).entries) == ids(mine.entries)


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("kind", KINDS)
def test_erasing_leaves_the_whole_record_or_nothing_at_all(kind, seed):
    mine, theirs, _ = copies(seed)

    def act(record):
        record.erase()

    def disk() -> Disk:
        made = disk_with(theirs.entries)
        again(made).start_over()
        with again(made) as record:
            record.import_entries(mine.entries)
        return made

    files = FaultyFiles(disk())
    act(Record.open(files, clock=lambda: NOW))
    for fail_at in range(1, files.calls + 1):
        made = disk()
        acknowledged = tried(made, kind, fail_at, act)
        found = ids(again(made).entries)
        assert found in (set(), ids(mine.entries))
        assert not acknowledged or (not found and not again(made).set_aside())


def test_what_was_set_aside_more_than_once_comes_back_whole():
    first, second, _ = copies(24)
    record = Record.open(MemoryFiles(), clock=lambda: NOW)
    for one in (first, second):
        record.import_entries(one.entries)
        record.start_over()
    assert record.entries == ()
    record.import_entries(record.set_aside())
    united = Record.open(MemoryFiles())
    united.import_entries((*first.entries, *second.entries))
    assert record.alive == united.alive


def test_swapped_generations_lose_nothing_and_are_told():
    for seed in range(60):
        files = MemoryFiles()
        chance = random.Random(seed)
        known: set[str] = set()
        for _ in range(3):
            with Record.open(files, clock=lambda: NOW) as record:
                live(record, chance, 9)
                known = ids(record.entries)
        names = sorted(name for name in files.names() if name.startswith("record-"))[-2:]
        assert len(names) == 2
        files.replace(names[0], "between")
        files.replace(names[1], names[0])
        files.replace("between", names[1])
        opened = Record.open(files)
        assert ids(opened.entries) == known
        assert "mixed up" in {problem.code for problem in opened.problems}
        opened.add("check-in", NOW, "", {"stiffness": 1})
        assert len(Record.open(files).entries) == len(known) + 1
        FAULTS["swapped"] += 1


def test_an_old_generation_in_the_place_of_the_newest_is_told():
    files = MemoryFiles()
    for _ in range(3):
        with Record.open(files, clock=lambda: NOW) as record:
            live(record, random.Random(1), 9)
    old, new = sorted(name for name in files.names() if name.startswith("record-"))[-2:]
    data = files.read(old)
    files.truncate(new, 0)
    files.append(new, data)
    assert "mixed up" in {problem.code for problem in Record.open(files).problems}
    FAULTS["swapped"] += 1


def test_a_spoilt_record_and_its_backup_together_lose_nothing():
    mine = copies(23)[0]
    backup = asyncio.run(make_backup(mine.entries, NOW))
    whole = MemoryFiles()
    with Record.open(whole) as record:
        record.import_entries(mine.entries)
    chance = random.Random(5)
    for _ in range(400):
        spoilt = copy_of(whole)
        name = "record-000001.jsonl"
        data = bytearray(spoilt.read(name))
        act = chance.choice(["bits", "cut", "zeros", "gone"])
        if act == "bits":
            for _ in range(chance.randint(1, 40)):
                data[chance.randrange(len(data))] ^= 1 << chance.randrange(8)
        elif act == "cut":
            del data[chance.randrange(len(data)) :]
        elif act == "zeros":
            start = chance.randrange(len(data))
            data[start : start + 300] = bytes(len(data[start : start + 300]))
        spoilt.remove(name)
        if act != "gone":
            spoilt.append(name, bytes(data))
        record = Record.open(spoilt)
        found = ids(record.entries)
        assert found <= ids(mine.entries)
        # Gone or cut at a line's end, a file alone cannot tell: there the counts do, and the
        # screen that a fresh record opens on offers to bring a backup in.
        assert record.problems or found == ids(mine.entries) or act in ("cut", "gone")
        record.import_entries(asyncio.run(open_backup(backup)).entries)
        assert record.alive == mine.alive
        FAULTS[f"spoilt: {act}"] += 1


def test_storage_evicted_while_open_is_told_and_the_backup_brings_it_back():
    for number in range(20):
        files = MemoryFiles()
        record = Record.open(files, clock=lambda: NOW)
        live(record, random.Random(number), 6)
        backup = asyncio.run(make_backup(record.entries, NOW))
        kept = record.alive
        for name in files.names():
            files.remove(name)
        with pytest.raises(NotSavedError):
            record.add("check-in", NOW, "", {"stiffness": 1})
        fresh = Record.open(files)
        assert fresh.entries == ()
        fresh.import_entries(asyncio.run(open_backup(backup)).entries)
        assert fresh.alive == kept
        FAULTS["evicted"] += 1


def test_a_clock_set_back_loses_nothing_and_both_copies_still_agree():
    for number in range(40):
        now = [NOW]
        phone = Record.open(MemoryFiles(), clock=lambda now=now: now[0])
        desktop = Record.open(MemoryFiles(), clock=lambda now=now: now[0])
        for step in (0, -400, 3, -4000):
            now[0] += timedelta(days=step)
            live(phone, random.Random(number + step), 4)
            desktop.import_entries(phone.entries)
            live(desktop, random.Random(number - step), 4)
            phone.import_entries(desktop.entries)
            assert phone.alive == desktop.alive
        assert asyncio.run(open_backup(asyncio.run(make_backup(phone.entries, now[0])))).entries
        FAULTS["clock"] += 1


STANDING = {
    "care": lambda n: {"allergies": f"allergy {n}"},
    "plan": lambda n: {"text": f"plan {n}"},
    "pump": lambda n: {"reservoir_ml": 20.0 + n, "alarm_volume_ml": 2.0},
    "clinic days": lambda n: {"open_weekdays": [n]},
    "device": lambda n: {"months_left": 10 + n},
    "backup": lambda n: {"entry_count": n},
}


@pytest.mark.parametrize("kind", STANDING)
def test_a_clock_once_set_forward_freezes_nothing_and_is_told(kind):
    for days in (1, 400, 3650):
        now = [NOW - timedelta(days=9)]
        phone = Record.open(MemoryFiles(), clock=lambda now=now: now[0])
        desktop = Record.open(MemoryFiles(), clock=lambda: NOW)
        phone.add(kind, now[0], "", STANDING[kind](1))
        now[0] = NOW + timedelta(days=days)
        phone.add(kind, now[0], "", STANDING[kind](2))
        now[0] = NOW
        latest = phone.add(kind, now[0], "", STANDING[kind](3))
        desktop.import_entries(phone.entries)
        for record in (phone, desktop):
            assert newest(record.alive, kind, NOW) == latest
            assert check_up(record, NOW, UTC).codes == ("clock",)
            assert len(record.entries) == 3
        assert phone.alive == desktop.alive
        FAULTS["clock forward"] += 1


def test_a_wrong_clock_hides_neither_the_pump_nor_the_allergies():
    now = [NOW + timedelta(days=3650)]
    record = Record.open(MemoryFiles(), clock=lambda: now[0])
    record.add("care", now[0], "", {"allergies": "none"})
    record.add("pump", now[0], "", {"reservoir_ml": 20.0, "alarm_volume_ml": 2.0})
    # As long as there is nothing better, what is there counts, and is told.
    assert care_of(record.alive, NOW).allergies == "none"
    assert situation_of(record.alive, NOW)[0] is not None
    now[0] = NOW
    record.add("care", NOW, "", {"allergies": "penicillin"})
    assert care_of(record.alive, NOW).allergies == "penicillin"
    FAULTS["clock forward"] += 1


# ── backup files on a real disk ─────────────────────────────────────────────


@pytest.mark.parametrize("call", ["open", "write", "fsync", "read", "rename"])
@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EROFS, errno.EACCES, errno.EIO])
def test_a_backup_that_cannot_be_written_leaves_nothing_behind_and_is_told(
    tmp_path, monkeypatch, call, number
):
    def fail(*_args, **_kwargs):
        raise OSError(number, os.strerror(number))

    class Full:
        def __init__(self, file):
            self.file = file

        def __enter__(self):
            return self

        def __exit__(self, *_):
            self.file.close()

        def write(self, data):
            self.file.write(data[: len(data) // 2])
            fail()

    real = os.fdopen
    targets = {"open": (os, "open"), "fsync": (os, "fsync"), "read": (Path, "read_bytes"),
               "rename": (Path, "rename")}  # fmt: skip
    if call == "write":
        monkeypatch.setattr(os, "fdopen", lambda *a: Full(real(*a)))
    else:
        monkeypatch.setattr(*targets[call], fail)
    with pytest.raises(InputError, match="could not be written") as caught:
        write_new(tmp_path / "b.json", b"x" * 100)
    monkeypatch.undo()
    assert os.strerror(number) in str(caught.value)
    assert list(tmp_path.iterdir()) == []
    FAULTS["backup file"] += 1


def test_a_disk_that_gives_back_something_else_is_noticed(tmp_path, monkeypatch):
    monkeypatch.setattr(Path, "read_bytes", lambda _: b"other")
    with pytest.raises(InputError, match="read back differs"):
        write_new(tmp_path / "b.json", b"data")
    assert list(tmp_path.iterdir()) == []
    FAULTS["backup file"] += 1


def test_a_file_that_is_there_is_never_overwritten_and_a_new_one_is_its_owners(tmp_path):
    path = tmp_path / "b.json"
    write_new(path, b"first")
    with pytest.raises(InputError, match="exists already"):
        write_new(path, b"second")
    assert path.read_bytes() == b"first"
    if os.name == "posix":
        assert path.stat().st_mode & 0o777 == 0o600


def test_two_programs_never_write_one_record(tmp_path):
    folder = tmp_path / "record"
    shutil.copytree(ROOT / "demo" / "record", folder)
    with Record.open(DiskFiles(folder)) as held:
        kept = held.entries
        for command in (["backup", str(tmp_path / "b.json")],
                        ["restore", str(ROOT / "tests/exchange/golden/0.1.0/plain.json")],
                        ["start-over", str(tmp_path / "c.json")]):  # fmt: skip
            done = subprocess.run(
                [sys.executable, "-m", "pocketpump", *command, "--record", str(folder)],
                capture_output=True, text=True, check=False, cwd=ROOT,
            )  # fmt: skip
            assert (done.returncode, done.stderr) == (2, f"{RecordInUseError()}\n")
            FAULTS["two writers"] += 1
        held.add("check-in", NOW, "", {"stiffness": 1})
    assert len(Record.open(DiskFiles(folder)).entries) == len(kept) + 1
    assert not (tmp_path / "b.json").exists()


def test_the_campaign_was_no_smaller_than_a_thousand_faults():
    if len(FAULTS) < len(KINDS) + 8:
        pytest.skip("counts only when the whole file runs in one process")
    print(f"\nfaults: {FAULTS.total()} {dict(FAULTS)}")
    assert FAULTS.total() >= 1000
