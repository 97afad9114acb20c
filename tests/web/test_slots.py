"""The slot store: every stop at every step leaves the file before or the file after."""

from __future__ import annotations

import random
from contextlib import suppress

import pytest

from pocketpump.record.errors import StorageFullError
from pocketpump.record.journal.slot import DATA_START, decode_header, encode_header
from pocketpump.record.journal.slots import SlotFiles
from pocketpump.web.browser_files import BrowserFiles
from pocketpump.web.errors import StorageBusyError, StorageUnavailableError


class ScreenRoute(BaseException):
    """The device stops dead."""


class Disk:
    """What survives: per handle the flushed bytes, and the writes not yet flushed."""

    def __init__(self, count: int) -> None:
        self.safe = [b""] * count
        self.steps = 0
        self.stop_at = -1
        self.fail_at = -1
        self.tear: random.Random | None = None

    def handles(self) -> list[Fake]:
        return [Fake(self, index) for index in range(len(self.safe))]

    def step(self) -> str:
        self.steps += 1
        if self.steps == self.stop_at:
            return "stop"
        if self.steps == self.fail_at:
            return "fail"
        return ""


class Fake:
    def __init__(self, disk: Disk, index: int) -> None:
        self.disk, self.index = disk, index
        self.now = bytearray(disk.safe[index])

    def _keep_part(self) -> None:
        """A stop may have let any part of the unflushed bytes through, torn anywhere."""
        disk = self.disk
        if disk.tear is None:
            return
        before, after = disk.safe[self.index], bytes(self.now)
        cut = disk.tear.randint(0, max(len(before), len(after)))
        size = disk.tear.choice([len(before), len(after)])
        first, second = disk.tear.choice([(before, after), (after, before)])
        mixed = first[:cut].ljust(cut, b"\0") + second[cut:]
        disk.safe[self.index] = mixed.ljust(size, b"\0")[:size]

    def read(self, size: int, at: int) -> bytes:
        return bytes(self.now[at : at + size])

    def write(self, data: bytes, at: int) -> int:
        kind = self.disk.step()
        if kind == "fail":
            raise OSError("write failed")
        part = data[: len(data) // 2] if kind == "stop" else data
        self.now[len(self.now) :] = bytes(max(0, at + len(part) - len(self.now)))
        self.now[at : at + len(part)] = part
        if kind == "stop":
            self._keep_part()
            raise ScreenRoute
        return len(data)

    def truncate(self, size: int) -> None:
        kind = self.disk.step()
        if kind == "fail":
            raise OSError("truncate failed")
        self.now = self.now[:size].ljust(size, b"\0")
        if kind == "stop":
            self._keep_part()
            raise ScreenRoute

    def get_size(self) -> int:
        return len(self.now)

    def flush(self) -> None:
        kind = self.disk.step()
        if kind == "stop":
            self._keep_part()
            raise ScreenRoute
        if kind == "fail":
            # The worst kind: it may have arrived, yet says it has not.
            self.disk.safe[self.index] = bytes(self.now)
            raise OSError("flush failed")
        self.disk.safe[self.index] = bytes(self.now)

    def close(self) -> None:
        pass


def state(files: SlotFiles) -> dict[str, bytes]:
    return {name: files.read(name) for name in files.names()}


def fresh(count: int = 4) -> tuple[Disk, SlotFiles]:
    disk = Disk(count)
    return disk, SlotFiles(disk.handles())


def test_header_round_trip_and_every_damage_is_seen() -> None:
    raw = encode_header("journal-7.log", 42)
    assert decode_header(raw) == ("journal-7.log", 42)
    for at in range(4 + 8 + 2 + len("journal-7.log") + 4):
        assert decode_header(raw[:at] + bytes([raw[at] ^ 1]) + raw[at + 1 :]) is None
    assert decode_header(b"") is None


def test_files_come_back_after_reopening() -> None:
    disk, files = fresh()
    files.append("a", b"one")
    files.append("a", b"two")
    files.sync("a")
    files.append("b", b"")
    assert state(SlotFiles(disk.handles())) == {"a": b"onetwo", "b": b""}


def test_replace_remove_truncate() -> None:
    disk, files = fresh()
    files.append("main", b"old")
    files.append("tmp", b"new")
    files.replace("tmp", "main")
    assert state(files) == {"main": b"new"} == state(SlotFiles(disk.handles()))
    files.truncate("main", 1)
    assert files.size("main") == 1
    with pytest.raises(ValueError, match="cut down"):
        files.truncate("main", 5)
    files.remove("main")
    assert SlotFiles(disk.handles()).names() == []
    with pytest.raises(FileNotFoundError):
        files.read("main")


def test_a_reused_slot_does_not_show_old_bytes() -> None:
    disk, files = fresh(1)
    files.append("a", b"secret" * 100)
    files.sync("a")
    files.remove("a")
    files.append("b", b"x")
    files.sync("b")
    assert state(SlotFiles(disk.handles())) == {"b": b"x"}


def test_full_pool_says_so() -> None:
    _, files = fresh(1)
    files.append("a", b"1")
    with pytest.raises(StorageFullError, match="no room"):
        files.append("b", b"2")


def test_problems_become_kind_errors() -> None:
    with pytest.raises(StorageBusyError, match="another tab"):
        BrowserFiles.from_worker([], "busy")
    with pytest.raises(StorageUnavailableError, match="ordinary window"):
        BrowserFiles.from_worker([], "unavailable")


def test_damaged_header_keeps_the_data_out_of_reuse() -> None:
    disk, files = fresh(1)
    files.append("a", b"precious")
    files.sync("a")
    disk.safe[0] = bytes(DATA_START) + disk.safe[0][DATA_START:]
    again = SlotFiles(disk.handles())
    assert again.damaged() == 1
    with pytest.raises(StorageFullError):
        again.append("b", b"x")


def save(files: SlotFiles, data: bytes) -> None:
    if "tmp" in files.names():
        files.remove("tmp")
    files.append("tmp", data)
    files.replace("tmp", "main")


def test_stop_anywhere_in_a_save_leaves_before_or_after() -> None:
    clean, files = fresh()
    save(files, b"before")
    start = clean.steps
    save(files, b"after!")
    total = clean.steps - start
    seen = set()
    for step in range(1, total + 1):
        for seed in range(60):
            disk, files = fresh()
            save(files, b"before")
            disk.stop_at, disk.tear = disk.steps + step, random.Random(seed)
            with pytest.raises(ScreenRoute):
                save(files, b"after!")
            disk.stop_at, disk.tear = -1, None
            again = SlotFiles(disk.handles())
            assert again.read("main") in (b"before", b"after!")
            seen.add(again.read("main"))
            save(again, b"later")
            assert SlotFiles(disk.handles()).read("main") == b"later"
    assert seen == {b"before", b"after!"}


def test_stop_during_recovery_is_harmless() -> None:
    for first in range(1, 12):
        for second in range(1, 4):
            disk, files = fresh()
            save(files, b"before")
            disk.stop_at, disk.tear = disk.steps + first, random.Random(first)
            with suppress(ScreenRoute):
                save(files, b"after!")
            disk.stop_at = disk.steps + second
            with suppress(ScreenRoute):
                SlotFiles(disk.handles())
            disk.stop_at, disk.tear = -1, None
            assert SlotFiles(disk.handles()).read("main") in (b"before", b"after!")


def test_failed_calls_leave_a_store_that_goes_on() -> None:
    for step in range(1, 14):
        disk, files = fresh()
        save(files, b"before")
        disk.fail_at = disk.steps + step
        expected = {b"before", b"after!"}
        try:
            save(files, b"after!")
            expected = {b"after!"}
        except OSError:
            pass
        disk.fail_at = -1
        assert files.read("main") in expected
        # What is written from here on must be what is found, whatever went wrong above.
        files.append("main", b"+more")
        files.sync("main")
        assert SlotFiles(disk.handles()).read("main") == files.read("main")
        assert files.read("main").endswith(b"+more")
        save(files, b"last")
        assert SlotFiles(disk.handles()).read("main") == b"last"


@pytest.mark.parametrize("seed", range(40))
def test_any_story_matches_a_plain_dictionary(seed: int) -> None:
    chance = random.Random(seed)
    disk, files = fresh(6)
    model: dict[str, bytes] = {}
    for _ in range(60):
        name, other = chance.sample("abcd", 2)
        match chance.randrange(5):
            case 0 | 1:
                data = chance.randbytes(chance.randrange(50))
                files.append(name, data)
                files.sync(name)
                model[name] = model.get(name, b"") + data
            case 2 if name in model:
                files.replace(name, other)
                model[other] = model.pop(name)
            case 3 if name in model:
                files.remove(name)
                del model[name]
            case 4:
                files = SlotFiles(disk.handles())
        assert state(files) == model
