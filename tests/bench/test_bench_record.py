"""What a save and an opening cost: printed, not asserted. Run with ``pytest tests/bench -s``."""

import sqlite3
import time
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from statistics import median

import pytest

from pocketpump.record import DiskFiles, Record, to_document
from pocketpump.record.entry.json_text import to_text

MANY, FEW, ROUNDS = 12_000, 10, 400
DRAFT = (
    "check-in",
    datetime(2026, 3, 1, 12, tzinfo=UTC),
    "Europe/Berlin",
    {
        "stiffness": 4,
        "spasms": 1,
        "pain": 2,
        "sleep": 7,
        "sleepiness": 3,
        "worries": ["headache"],
        "tablets_as_planned": True,
        "note": "A usual day, a little stiffer towards the evening.",
    },
)


def timed(act: Callable[[], object]) -> float:
    begun = time.perf_counter()
    act()
    return time.perf_counter() - begun


@pytest.mark.bench
def test_what_saving_and_opening_cost_beside_sqlite(tmp_path: Path) -> None:
    large = Record.open(DiskFiles(tmp_path / "large"))
    large.add_many([DRAFT] * MANY)
    large.close()
    Record.open(DiskFiles(tmp_path / "large")).close()  # folds
    openings, work = [], []
    for _ in range(5):
        begun, worked = time.perf_counter(), time.process_time()
        large = Record.open(DiskFiles(tmp_path / "large"))
        openings.append(time.perf_counter() - begun)
        work.append(time.process_time() - worked)
        assert len(large.entries) == MANY
        large.close()
    large = Record.open(DiskFiles(tmp_path / "large"))
    settling = timed(lambda: large.alive)
    small = Record.open(DiskFiles(tmp_path / "small"))
    small.add_many([DRAFT] * FEW)
    assert len(small.alive) == FEW

    text = to_text(to_document(large.entries[0])).decode()
    sqlite = sqlite3.connect(tmp_path / "rival.sqlite", isolation_level=None)
    sqlite.execute("PRAGMA synchronous=FULL")
    sqlite.execute("CREATE TABLE entries (id TEXT PRIMARY KEY, document TEXT NOT NULL)")
    sqlite.execute("BEGIN")
    for number in range(MANY):
        sqlite.execute("INSERT INTO entries VALUES (?, ?)", (f"first-{number}", text))
    sqlite.execute("COMMIT")
    fresh = iter(range(ROUNDS))

    def save_in_sqlite() -> None:
        sqlite.execute("BEGIN")
        sqlite.execute("INSERT INTO entries VALUES (?, ?)", (f"later-{next(fresh)}", text))
        sqlite.execute("COMMIT")

    times: dict[str, list[float]] = {"large": [], "small": [], "read": [], "sqlite": []}
    for _ in range(ROUNDS):
        times["large"].append(timed(lambda: large.add(*DRAFT)))
        times["read"].append(timed(lambda: large.alive))
        times["small"].append(timed(lambda: small.add(*DRAFT)))
        times["sqlite"].append(timed(save_in_sqlite))
    assert len(large.alive) == MANY + ROUNDS
    large.close()
    small.close()
    sqlite.close()

    middle = {name: median(each) * 1000 for name, each in times.items()}
    print(
        f"\nsave at {MANY} entries {middle['large']:.3f} ms, at {FEW} {middle['small']:.3f} ms, "
        f"sqlite synchronous=FULL at {MANY} {middle['sqlite']:.3f} ms; "
        f"ratio to sqlite {middle['large'] / middle['sqlite']:.2f} (goal at most 2), "
        f"to small {middle['large'] / middle['small']:.2f}"
    )
    print(
        f"open at {MANY} entries {median(openings):.3f} s (goal at most 0.5; "
        f"{median(work):.3f} s of it our own work), "
        f"then first look at alive {settling:.3f} s, alive after a save {middle['read']:.3f} ms"
    )
