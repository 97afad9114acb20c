"""The invented record of the demo, moved so that its story ends now."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pocketpump
from pocketpump.core.errors import PocketPumpError
from pocketpump.core.messages import message
from pocketpump.record.entry.entries import Entry
from pocketpump.record.entry.kinds import KINDS
from pocketpump.record.journal.files import MemoryFiles
from pocketpump.record.store import Record

_WEEK = timedelta(days=7)


def demo_folder() -> Path:
    """Return the folder with the demo's record file, installed or in a checkout.

    Raises `PocketPumpError` where there is none.
    """
    package = Path(pocketpump.__file__).parent
    for folder in (package / "demo" / "record", package.parent / "demo" / "record"):
        if folder.is_dir():
            return folder
    raise PocketPumpError(message("The demo's record is missing: install PocketPump again."))


def moved_to_now(folder: Path, now: datetime) -> tuple[Entry, ...]:
    """Return the entries of the record in ``folder``, moved by whole weeks to before ``now``.

    What of the story's last week is still to come is left out, so that there is always a
    check-in of these days. Weekdays and times of day stay as they are, so clinic
    days and day patterns still fit. The file itself is only read.
    """
    with Record.open(MemoryFiles.copy_of(folder)) as record:
        entries = record.entries
    end = max(entry.written_at for entry in entries)
    weeks = -((end - now) // _WEEK)
    moved = (_moved(entry, weeks * _WEEK) for entry in entries)
    return tuple(entry for entry in moved if entry.written_at <= now)


def _moved(entry: Entry, by: timedelta) -> Entry:
    return replace(
        entry,
        at=_moved_on_the_wall(entry.at, entry.zone, by),
        written_at=entry.written_at + by,
        payload=_moved_dates(entry.kind, entry.payload, by),
    )


def _moved_on_the_wall(at: datetime, zone: str, by: timedelta) -> datetime:
    if not zone:
        return at + by
    wall = at.astimezone(ZoneInfo(zone)).replace(tzinfo=None) + by
    moved = wall.replace(tzinfo=ZoneInfo(zone))
    return datetime.fromisoformat(moved.isoformat())


def _moved_dates(kind: str, payload: Mapping[str, Any], by: timedelta) -> dict[str, Any]:
    moved = dict(payload)
    for field in KINDS.get(kind, ()):
        value = moved.get(field.name)
        # Whoever the story is of was born when it says, whenever it is told.
        if field.type == "date" and value and field.name != "born_on":
            moved[field.name] = (date.fromisoformat(value) + by).isoformat()
    return moved
