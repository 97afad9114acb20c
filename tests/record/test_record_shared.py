"""A folder that others write to as well: sync programs, another device, whoever deletes it."""

import errno
import json
import os
import random
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from record_helpers import Ticking, codes, counted_ids, note, notes

from pocketpump.record import (
    DiskFiles,
    MemoryFiles,
    NewerRecordError,
    Record,
    RecordGoneError,
    RecordReadOnlyError,
)
from pocketpump.record.errors import NotEndedError, NotEndedReadOnlyError
from pocketpump.record.journal import tinydb_storage
from pocketpump.record.journal.file_names import is_record
from pocketpump.record.journal.lines import Header, encode, encode_header
from pocketpump.record.journal.migrations import SCHEMA

GOLDEN = Path(__file__).parent / "golden"
posix = pytest.mark.skipif(os.name != "posix", reason="an open file can be replaced on POSIX only")


class Device:
    """One device with its own state folder and its own copy of the shared folder."""

    def __init__(self, base: Path, name: str) -> None:
        self.folder = base / name / "record"
        self.state = base / name / "state"
        self.name = name
        self.next_id = counted_ids(name)
        self.clock = Ticking()

    def open(self) -> Record:
        files = DiskFiles(self.folder, self.state)
        return Record.open(files, clock=self.clock, make_id=self.next_id)

    def files(self) -> list[Path]:
        return sorted(one for one in self.folder.iterdir() if is_record(one.name))


@pytest.fixture
def device(tmp_path: Path) -> Device:
    return Device(tmp_path, "a")


def replace_by_a_copy(path: Path) -> None:
    """As sync programs do: the very same bytes in another file, renamed over the first."""
    copy = path.with_name("sync.tmp")
    shutil.copy2(path, copy)
    copy.replace(path)


def delete_and_write_anew(path: Path) -> None:
    data = path.read_bytes()
    path.unlink()
    path.write_bytes(data)


def move_the_folder_and_copy_it_back(path: Path) -> None:
    away = path.parent.with_name("away")
    path.parent.rename(away)
    shutil.copytree(away, path.parent)


REPLACED = [replace_by_a_copy, delete_and_write_anew, move_the_folder_and_copy_it_back]


@posix
@pytest.mark.parametrize("replace", REPLACED)
def test_what_is_saved_after_the_file_was_replaced_by_an_identical_one_is_there(
    device: Device, replace
) -> None:
    with device.open() as record:
        note(record, "one")
        replace(device.files()[0])
        note(record, "two")
        note(record, "three")
    with device.open() as record:
        assert notes(record) == ["one", "three", "two"]
        assert codes(record) == []


@posix
@pytest.mark.parametrize("replace", REPLACED)
def test_a_file_replaced_in_the_very_middle_of_a_save_costs_nothing(
    device: Device, monkeypatch, replace
) -> None:
    real, once = os.write, []

    def replaced_first(handle, data):
        if not once:
            once.append(1)
            replace(device.files()[0])
        return real(handle, data)

    with device.open() as record:
        note(record, "one")
        monkeypatch.setattr(os, "write", replaced_first)
        note(record, "two")
    monkeypatch.undo()
    with device.open() as record:
        assert notes(record) == ["one", "two"]
        assert codes(record) == []


@posix
@pytest.mark.parametrize("what", ["file", "folder"])
def test_nothing_is_called_saved_once_the_file_is_gone_and_the_next_start_tells(
    device: Device, what: str
) -> None:
    with device.open() as record:
        note(record, "one")
        if what == "file":
            device.files()[0].unlink()
        else:
            shutil.rmtree(device.folder)
        with pytest.raises(RecordGoneError, match="make a backup now"):
            note(record, "two")
        assert notes(record) == ["one"], "it can still be backed up"
    for _ in range(2):
        with device.open() as record:
            assert record.entries == ()
            assert codes(record) == ["record gone"]
    with device.open() as record:
        note(record, "begun again")
    with device.open() as record:
        assert codes(record) == []


@posix
def test_a_file_put_back_while_open_is_gone_on_with(device: Device) -> None:
    with device.open() as record:
        note(record, "one")
        (path,) = device.files()
        data = path.read_bytes()
        path.unlink()
        with pytest.raises(RecordGoneError):
            note(record, "two")
        path.write_bytes(data)
        note(record, "two")
    with device.open() as record:
        assert notes(record) == ["one", "two"]


@posix
@pytest.mark.parametrize("same_size", [True, False])
def test_a_file_replaced_by_another_content_is_never_written_to(
    device: Device, same_size: bool
) -> None:
    with device.open() as record:
        note(record, "one")
        (path,) = device.files()
        older = path.read_bytes()
        note(record, "two")
        newer = path.read_bytes()
        other = newer.replace(b"two", b"2wo") if same_size else older
        copy = path.with_name("sync.tmp")
        copy.write_bytes(other)
        copy.replace(path)
        for _ in range(2):
            with pytest.raises(RecordGoneError):
                note(record, "three")
        assert path.read_bytes() == other


def test_a_record_that_was_rolled_back_while_closed_is_told(device: Device) -> None:
    with device.open() as record:
        note(record, "one")
    (path,) = device.files()
    older = path.read_bytes()
    with device.open() as record:
        note(record, "two")
    path.write_bytes(older)
    for _ in range(2):
        with device.open() as record:
            assert notes(record) == ["one"]
            assert codes(record) == ["rolled back"]


@pytest.mark.parametrize("end", ["erase", "start_over"])
def test_a_record_that_was_ended_on_purpose_is_not_missed(device: Device, end: str) -> None:
    with device.open() as record:
        note(record, "one")
        getattr(record, end)()
        assert codes(record) == []
    for path in device.files():
        path.unlink()
    with device.open() as record:
        assert record.entries == ()
        assert codes(record) == []


def test_files_that_come_back_after_they_were_missed_are_all_there_again(device: Device) -> None:
    with device.open() as record:
        note(record, "one")
    (path,) = device.files()
    data = path.read_bytes()
    path.unlink()
    with device.open() as record:
        assert codes(record) == ["record gone"]
        note(record, "two")
    path.write_bytes(data)
    with device.open() as record:
        assert notes(record) == ["one", "two"]
        assert codes(record) == ["second copy"]


def test_two_devices_never_write_to_one_name(tmp_path: Path) -> None:
    one, other = Device(tmp_path, "a"), Device(tmp_path, "b")
    for device in (one, other):
        with device.open() as record:
            note(record, device.name)
    assert not {path.name for path in one.files()} & {path.name for path in other.files()}


def test_a_state_folder_copied_to_another_device_does_not_make_them_one_writer(
    tmp_path: Path,
) -> None:
    one, other = Device(tmp_path, "a"), Device(tmp_path, "b")
    one.open().close()
    shutil.copytree(one.state, other.state)
    other.folder = one.folder
    other.open().close()
    assert len({path.name for path in one.files()}) == 2


def test_without_a_place_for_the_mark_the_writer_stays_the_same(tmp_path: Path) -> None:
    device = Device(tmp_path, "a")
    device.state.parent.mkdir()
    device.state.write_text("in the way")
    for text in "abc":
        with device.open() as record:
            note(record, text)
    assert len(device.files()) == 1


def test_the_record_of_before_goes_on_under_a_name_of_our_own_and_stays_as_it_was(
    device: Device, tmp_path: Path
) -> None:
    odd = ["unreadable"]  # its dose setting was written before settings had today's shape
    shutil.copytree(GOLDEN / "schema-1", device.folder)
    before = {path.name: path.read_bytes() for path in device.files()}
    with device.open() as record:
        assert codes(record) == odd
        held = {entry.id for entry in record.entries}
        note(record, "new")
    assert {name: (device.folder / name).read_bytes() for name in before} == before
    # An older PocketPump on another device goes on in the old file.
    older = MemoryFiles()
    for name, data in before.items():
        older.append(name, data)
    with Record.open(older, make_id=lambda: "from the older one") as record:
        note(record, "old")
    for name in before:
        (device.folder / name).write_bytes(older.read(name))
    with device.open() as record:
        assert {"new", "old"} <= set(notes(record))
        assert held < {entry.id for entry in record.entries}
        assert codes(record) == odd


SYNC_NAMES = (
    "record-X (conflicted copy 2026-03-01).jsonl",
    "record-X.sync-conflict-20260301-080000-ABCDEFG.jsonl",
    "record-X (1).jsonl",
    "Copy of record-X.jsonl",
    "record-X-LAPTOP.jsonl",
    "record-X.jsonl.orig",
)


@pytest.mark.parametrize("pattern", SYNC_NAMES)
def test_the_copy_that_a_sync_program_could_not_unite_is_found_and_told_once(
    device: Device, pattern: str
) -> None:
    with device.open() as record:
        note(record, "one")
    (path,) = device.files()
    older = path.read_bytes()
    with device.open() as record:
        note(record, "two")
    copy = path.with_name(pattern.replace("X", path.stem.removeprefix("record-")))
    copy.write_bytes(path.read_bytes())
    path.write_bytes(older)
    with device.open() as record:
        assert notes(record) == ["one", "two"]
        assert codes(record) == ["rolled back", "second copy"]
    copied = copy.read_bytes()
    with device.open() as record:
        assert notes(record) == ["one", "two"]
        assert codes(record) == []
        assert copy.read_bytes() == copied, "it is not ours to touch"
    with device.open() as record:
        record.erase()
    assert not copy.exists()


@pytest.mark.usefixtures("_folds_often")
def test_what_is_newer_in_an_older_generation_counts_and_is_never_deleted_unread(
    device: Device,
) -> None:
    with device.open() as record:
        note(record, "one")
    (first,) = device.files()
    before_the_fold = Device(device.folder.parent, "b")
    before_the_fold.folder = device.folder
    data = first.read_bytes()
    with MemoryRecord(first.name, data) as (copy, record):
        record._table.insert({"neither": "an entry"})
        note(record, "late")
        late = copy.read(first.name)
    with device.open() as record:
        for text in ("two", "three", "four"):
            note(record, text)
    device.open().close()
    assert len(device.files()) == 2
    first.write_bytes(late)
    for number in range(6):
        with device.open() as record:
            assert "late" in notes(record)
            note(record, f"more {number}")
            assert {"neither": "an entry"} in record._table.all()
    assert first not in device.files(), "its lines are in a newer one now"


class MemoryRecord:
    """The bytes of one file opened, in memory, as the writer that its name says."""

    def __init__(self, name: str, data: bytes) -> None:
        self.files = MemoryFiles()
        self.files.writer = name.split("-")[1]
        self.files.append(name, data)

    def __enter__(self):
        self.record = Record.open(self.files, make_id=counted_ids("late"))
        return self.files, self.record

    def __exit__(self, *_):
        self.record.close()


@pytest.fixture(name="_folds_often")
def folds_often(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tinydb_storage, "FOLD_AFTER", 3)


# ---- two copies written at once and united by file name ---------------------------------------

Tree = dict[str, bytes]


def tree_of(folder: Path) -> Tree:
    if not folder.is_dir():
        return {}
    return {one.name: one.read_bytes() for one in folder.iterdir() if one.name != "in-use.lock"}


def put_tree(folder: Path, tree: Tree) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    for name in tree_of(folder).keys() - tree.keys():
        (folder / name).unlink()
    for name, data in tree.items():
        path = folder / name
        if not path.exists() or path.read_bytes() != data:
            path.write_bytes(data)


def united(base: Tree, here: Tree, there: Tree, chance: random.Random, *, keep_loser: bool) -> Tree:
    """Unite two copies as sync programs do: what only one side changed is taken from it.

    What both changed has a winner by lot; the loser is deleted, or kept under a name of conflict.
    """
    result: Tree = {}
    for name in sorted({*base, *here, *there}):
        old, ours, theirs = base.get(name), here.get(name), there.get(name)
        if ours == theirs or theirs == old:
            chosen = ours
        elif ours == old:
            chosen = theirs
        else:
            first, second = chance.sample([ours, theirs], 2)
            chosen = first if first is not None else second
            loser = second if first is not None else None
            if keep_loser and loser is not None:
                stem, dot, ending = name.rpartition(".")
                result[f"{stem} (conflicted copy {chance.randrange(10**6)}){dot}{ending}"] = loser
        if chosen is not None:
            result[name] = chosen
    return result


def run_rounds(tmp_path: Path, rounds: int, seed: int, *, keep_loser: bool, begin: Tree) -> int:
    """Let two devices write at once, unite their folders, and look for every entry; count them."""
    chance = random.Random(seed)
    devices = [Device(tmp_path, "a"), Device(tmp_path, "b")]
    base: Tree = begin
    for device in devices:
        put_tree(device.folder, base)
    acknowledged: set[str] = set()
    for number in range(rounds):
        for device in chance.sample(devices, 2):
            for _ in range(chance.randrange(3)):
                with device.open() as record:
                    told = {entry.id for entry in record.entries}
                    for _ in range(chance.randrange(4)):
                        made = note(record, f"{device.name} {number}")
                        if chance.random() < 0.2:
                            made = record.correct(made.id, {"stiffness": 1, "note": "corrected"})
                        acknowledged.update((made.id, made.replaces or made.id))
                    assert told <= {entry.id for entry in record.entries}
        here, there = (tree_of(one.folder) for one in devices)
        base = united(base, here, there, chance, keep_loser=keep_loser)
        for device in devices:
            put_tree(device.folder, base)
            with device.open() as record:
                seen = {entry.id for entry in record.entries}
                assert acknowledged <= seen, f"round {number}: lost {acknowledged - seen}"
                assert not {"damaged", "record gone", "rolled back"} & set(codes(record))
    return len(acknowledged)


OLD = {path.name: path.read_bytes() for path in (GOLDEN / "schema-1").iterdir()}


@pytest.mark.usefixtures("_folds_often")
@pytest.mark.parametrize("keep_loser", [False, True], ids=["loser deleted", "loser kept"])
@pytest.mark.parametrize("begin", [{}, OLD], ids=["new", "from before"])
def test_two_copies_written_at_once_and_united_by_name_lose_nothing(
    tmp_path: Path, keep_loser: bool, begin: Tree
) -> None:
    saved = run_rounds(tmp_path, 25, 7, keep_loser=keep_loser, begin=begin)
    assert saved > 50


@pytest.mark.thorough
@pytest.mark.usefixtures("_folds_often")
@pytest.mark.parametrize("keep_loser", [False, True], ids=["loser deleted", "loser kept"])
def test_five_hundred_rounds_of_two_copies_united_by_name_lose_nothing(
    tmp_path: Path, keep_loser: bool
) -> None:
    saved = 0
    for seed in range(10):
        begin = OLD if seed % 2 else {}
        folder = tmp_path / str(seed)
        saved += run_rounds(folder, 50, seed, keep_loser=keep_loser, begin=begin)
    print(f"\n500 rounds, {saved} entries saved, none lost")
    assert saved > 1000


# ---- a folder that can only be read --------------------------------------------------------------

READ_ONLY = """
import os, sys
from pathlib import Path
import filelock, pocketpump.record.journal.marks
from pocketpump.record import DiskFiles, MemoryFiles, Record, RecordReadOnlyError
if os.geteuid() == 0:  # who may do everything is refused nothing
    os.setuid(65534)
folder = Path(sys.argv[1])
with Record.open(DiskFiles(folder)) as record:
    print([problem.code for problem in record.problems], len(record.alive))
    try:
        record.add("check-in", record._clock(), "", {"stiffness": 1})
    except RecordReadOnlyError as error:
        print(error)
    for end in () if os.access(folder, os.W_OK) else (record.erase, record.start_over):
        try:
            end()
        except RecordReadOnlyError as error:
            print(error)
    print(len(record.alive))
    record.check_files()
with Record.open(MemoryFiles.copy_of(folder)) as record:
    print([problem.code for problem in record.problems], len(record.alive))
"""


@posix
@pytest.mark.parametrize("what", ["folder", "file"])
def test_a_folder_or_file_that_can_only_be_read_is_read_and_says_so(
    device: Device, what: str, tmp_path: Path
) -> None:
    with device.open() as record:
        note(record, "one")
    everyone = [tmp_path, device.folder.parent, device.folder]
    for one in (*tmp_path.parents[:3], *everyone):
        one.chmod(0o755)
    (path,) = device.files()
    path.chmod(0o444)
    before = tree_of(device.folder)
    if what == "file":
        device.folder.chmod(0o777)
        (device.folder / "in-use.lock").unlink(missing_ok=True)
    if os.geteuid() == 0:
        for one in (device.state, *device.state.iterdir()):
            os.chown(one, 65534, -1)
    root = Path(__file__).parents[2]
    done = subprocess.run(
        [sys.executable, "-c", READ_ONLY, str(device.folder)],
        env={**os.environ, "PYTHONPATH": str(root), "POCKETPUMP_STATE": str(device.state)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.stderr == ""
    first, refused, *ended, copied = done.stdout.splitlines()
    if what == "folder":
        assert ended == [str(NotEndedReadOnlyError())] * 2 + ["1"]
    assert first == "['read only'] 1"
    assert refused == str(RecordReadOnlyError())
    assert copied == ("['read only'] 1" if what == "folder" else "[] 1")
    assert tree_of(device.folder) == before


# ---- another device with a newer PocketPump ------------------------------------------------------


def of_a_newer_version(data: bytes) -> bytes:
    """The same lines under a head that says a schema which is not known yet."""
    rows = data.splitlines()
    line, chain = encode_header(Header(SCHEMA + 1, 1, 0))
    for number, row in enumerate(rows[1:], 1):
        text, chain = encode(number, chain, json.dumps({"new": json.loads(row)[3]}).encode())
        line += text
    return line


NEWER_NAMES = ("record-bbbbbbbb-000001.jsonl", "record-000001.jsonl", "Copy of record-X.jsonl")


@pytest.mark.usefixtures("_folds_often")
@pytest.mark.parametrize("name", NEWER_NAMES)
def test_a_newer_file_of_another_device_does_not_lock_our_own_record_and_stays_as_it_is(
    device: Device, name: str
) -> None:
    with device.open() as record:
        note(record, "one")
    theirs = device.folder / name.replace("X", device.files()[0].stem)
    before = of_a_newer_version(device.files()[0].read_bytes())
    theirs.write_bytes(before)
    for number in range(6):  # folded and tidied, too
        with device.open() as record:
            assert "one" in notes(record)
            assert codes(record) == ["other file newer"]
            (told,) = record.problems
            assert "newer PocketPump" in told.sentence
            note(record, f"more {number}")
        assert theirs.read_bytes() == before
    # Read as soon as this device can.
    theirs.write_bytes(encode_header(Header(SCHEMA, 1, 0))[0])
    with device.open() as record:
        assert codes(record) == []


def test_a_third_devices_file_is_read_beside_a_newer_one(device: Device) -> None:
    device.open().close()
    third = Device(device.folder.parent.parent, "c")
    with third.open() as record:
        note(record, "theirs")
    (path,) = third.files()
    shutil.copy(path, device.folder)
    newer = device.folder / "record-bbbbbbbb-000003.jsonl"
    newer.write_bytes(of_a_newer_version(path.read_bytes()))
    with device.open() as record:
        assert notes(record) == ["theirs"]
        assert codes(record) == ["other file newer"]


def test_a_folder_in_which_everything_is_newer_is_refused_and_stays_as_it_is(
    device: Device,
) -> None:
    with device.open() as record:
        note(record, "one")
    (own,) = device.files()
    newer = of_a_newer_version(own.read_bytes())
    for name in (own.name, "record-bbbbbbbb-000001.jsonl", "record-000001.jsonl"):
        put_tree(device.folder, {name: newer})
        with pytest.raises(NewerRecordError):
            device.open()
        assert tree_of(device.folder) == {name: newer}


@pytest.mark.parametrize("end", ["erase", "start_over"])
def test_a_record_that_may_only_be_read_is_not_ended_and_it_says_why(end: str) -> None:
    files = MemoryFiles()
    with Record.open(files) as record:
        note(record, "one")
    files._read_only = True
    with Record.open(files) as record:
        with pytest.raises(NotEndedReadOnlyError, match="may only read"):
            getattr(record, end)()
        assert notes(record) == ["one"]
        assert record.draft("x") == {}


@posix
@pytest.mark.parametrize("end", ["erase", "start_over"])
@pytest.mark.parametrize("number", [errno.EACCES, errno.EROFS, errno.EIO, errno.ENOSPC])
def test_an_end_that_the_device_refused_half_way_says_so_and_the_record_is_there(
    device: Device, monkeypatch, end: str, number: int
) -> None:
    with device.open() as record:
        note(record, "one")

        def refuse(*_):
            raise OSError(number, "refused")

        monkeypatch.setattr(DiskFiles, "remove", refuse)
        monkeypatch.setattr(DiskFiles, "replace", refuse)
        with pytest.raises(NotEndedError, match="erased or moved aside"):
            getattr(record, end)()
    monkeypatch.undo()
    with device.open() as record:
        assert notes(record) == ["one"]


@posix
@pytest.mark.parametrize("number", [errno.EACCES, errno.EROFS, errno.EPERM])
def test_a_folder_that_became_read_only_while_open_is_told_as_that(
    device: Device, monkeypatch, number: int
) -> None:
    with device.open() as record:
        note(record, "one")

        def refuse(*_):
            raise OSError(number, "refused")

        monkeypatch.setattr(DiskFiles, "append", refuse)
        with pytest.raises(RecordReadOnlyError, match="may only read"):
            note(record, "two")
        monkeypatch.undo()
        note(record, "three")
    with device.open() as record:
        assert notes(record) == ["one", "three"]
