"""Places to keep a record in: every test that takes ``place`` runs on each of them."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest
from record_helpers import Ticking, counted_ids

from pocketpump.record import DiskFiles, Files, MemoryFiles, Record
from pocketpump.record.journal.slots import SlotFiles


@dataclass
class Place:
    """Somewhere files are kept; ``open`` gives the same files again and again."""

    open: Callable[[], Files]

    def record(self, ids: str = "e") -> Record:
        return Record.open(self.open(), clock=Ticking(), make_id=counted_ids(ids))


def memory_place(_folder: Path) -> Place:
    files = MemoryFiles()
    return Place(lambda: files)


def disk_place(folder: Path) -> Place:
    return Place(lambda: DiskFiles(folder / "record"))


class MemoryHandle:
    """One of the browser's open files, in memory."""

    def __init__(self) -> None:
        self._bytes = bytearray()

    def read(self, size: int, at: int) -> bytes:
        return bytes(self._bytes[at : at + size])

    def write(self, data: bytes, at: int) -> int:
        self._bytes.extend(bytes(max(0, at - len(self._bytes))))
        self._bytes[at : at + len(data)] = data
        return len(data)

    def truncate(self, size: int) -> None:
        del self._bytes[size:]
        self._bytes.extend(bytes(size - len(self._bytes)))

    def get_size(self) -> int:
        return len(self._bytes)

    def flush(self) -> None:
        pass

    def close(self) -> None:
        pass


def browser_place(_folder: Path) -> Place:
    """The browser's row of slots, over handles in memory."""
    handles = [MemoryHandle() for _ in range(16)]
    return Place(lambda: SlotFiles(handles))


@pytest.fixture(params=[memory_place, disk_place, browser_place], ids=["memory", "disk", "browser"])
def place(request: pytest.FixtureRequest, tmp_path: Path) -> Place:
    return request.param(tmp_path)
