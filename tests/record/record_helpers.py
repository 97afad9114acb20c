"""Clocks, ids and sample entries for the record's tests."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta, timezone
from itertools import count

from pocketpump.record import Entry, Files, Record

NOON = datetime(2026, 3, 1, 12, tzinfo=timezone(timedelta(hours=1)))
CHECK_IN = {"stiffness": 4, "spasms": 1, "pain": 2.5, "worries": ["headache"], "note": "so-so"}


class Ticking:
    """A clock that moves on by one second each time it is read."""

    def __init__(self, start: datetime = datetime(2026, 3, 2, 8, tzinfo=UTC)) -> None:
        self.now = start

    def __call__(self) -> datetime:
        self.now += timedelta(seconds=1)
        return self.now


def counted_ids(prefix: str) -> Callable[[], str]:
    numbers = count(1)
    return lambda: f"{prefix}-{next(numbers):05}"


def note(record: Record, text: str) -> Entry:
    return record.add("check-in", NOON, "Europe/Berlin", {"stiffness": 4, "note": text})


def notes(record: Record) -> list[str]:
    return sorted(str(e.payload["note"]) for e in record.alive if e.kind == "check-in")


def codes(record: Record) -> list[str]:
    return [problem.code for problem in record.problems]


def own(files: Files, name: str) -> str:
    """The name under which our writer has what is called ``name`` where there are no writers."""
    word, rest = name.split("-", 1)
    return f"{word}-{files.writer}-{rest}" if files.writer else name


def plain(files: Files, name: str) -> str:
    """The name without our writer."""
    return name.replace(f"-{files.writer}-", "-", 1) if files.writer else name
