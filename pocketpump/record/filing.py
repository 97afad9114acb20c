"""The record's files as a whole: what is in each, moving them aside and back, erasing them."""

import re
from dataclasses import dataclass

from pocketpump.record.files import Files, MemoryFiles
from pocketpump.record.lines import scan

_OURS = re.compile(r"(record|damaged|cut)-\d+")
_ASIDE = re.compile(r"aside-(\d+)-")


@dataclass(frozen=True, slots=True)
class FileReport:
    """What one file holds: bytes, whole lines, and whether all that was written is there.

    ``schema`` is the version of its entries, None when its head cannot be read (as in what
    was cut off a torn end).
    """

    name: str
    size: int
    lines: int
    schema: int | None
    whole: bool


def check_files(files: Files) -> tuple[FileReport, ...]:
    """Read every file again, newest generation last; never changes one.

    A file that the device does not let us read counts as not whole.
    """
    return tuple(_check(files, name) for name in sorted(files.names()))


def move_aside(files: Files) -> tuple[str, ...]:
    """Rename every file of the record so that opening begins a new one; returns the new names.

    The newest generation goes last: wherever this stops, it is still there and opens. Raises
    :class:`OSError` when the device refuses.
    """
    names = files.names()
    number = 1 + max((int(found[1]) for name in names if (found := _ASIDE.match(name))), default=0)
    # Within one kind the higher number is the newer; "record" sorts after "cut" and "damaged".
    moved = []
    for name in sorted(name for name in names if _OURS.match(name)):
        target = f"aside-{number:03}-{name}"
        files.replace(name, target)
        moved.append(target)
    return tuple(moved)


def erase(files: Files) -> None:
    """Remove every file of the record, what was set aside too, for good.

    What is aside goes first and the newest generation last: wherever this stops, the record
    as it counts is still there and opens. Raises :class:`OSError` when the device refuses.
    """
    ours = [name for name in files.names() if _OURS.match(name) or _ASIDE.match(name)]
    for name in sorted(ours, key=lambda name: (name.startswith("record-"), name)):
        files.remove(name)


def set_aside(files: Files) -> tuple[MemoryFiles, ...]:
    """Return a copy of each record that was moved aside, the oldest first, ready to be opened."""
    found: dict[int, MemoryFiles] = {}
    for name in sorted(files.names()):
        if number := _ASIDE.match(name):
            copy = found.setdefault(int(number[1]), MemoryFiles())
            copy.append(name[number.end() :], files.read(name))
    return tuple(found[number] for number in sorted(found))


def _check(files: Files, name: str) -> FileReport:
    try:
        data = files.read(name)
    except OSError:
        return FileReport(name, 0, 0, None, whole=False)
    found = scan(data)
    whole = not found.damaged and found.header is not None and found.good == len(data)
    schema = found.header.schema if found.header else None
    return FileReport(name, len(data), len(found.bodies), schema, whole)
