"""Places to keep a record in: every test that takes ``place`` runs on each of them."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest
from record_helpers import Ticking, counted_ids

from pocketpump.record import DiskFiles, Files, MemoryFiles, Record


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


@pytest.fixture(params=[memory_place, disk_place], ids=["memory", "disk"])
def place(request: pytest.FixtureRequest, tmp_path: Path) -> Place:
    return request.param(tmp_path)
