"""The record's files as a whole: what is in each, moving them aside and back, erasing them."""

from dataclasses import dataclass

from pocketpump.record.journal.file_names import (
    aside_name,
    aside_number,
    generation_of,
    is_left_over,
    is_record,
    name_before_aside,
)
from pocketpump.record.journal.files import Files, MemoryFiles
from pocketpump.record.journal.lines import scan


@dataclass(frozen=True, slots=True)
class FileReport:
    """What one file holds: bytes, whole lines, and whether all that was written is there.

    ``schema`` is the version of its entries, None when its head cannot be read (as in what
    was cut off a torn end). ``unread`` are the bytes that are no whole line: of another device's
    file they may be just arriving, and it counts as whole.
    """

    name: str
    size: int
    lines: int
    schema: int | None
    whole: bool
    unread: int = 0


def check_files(files: Files) -> tuple[FileReport, ...]:
    """Read every file again, newest generation last; never changes one.

    A file that the device does not let us read counts as not whole.
    """
    return tuple(_check(files, name) for name in sorted(files.names()))


def move_aside(files: Files) -> tuple[str, ...]:
    """Rename every file of the record so that opening begins a new one; returns the new names.

    Other devices' files and copies of ours go too. Our newest generation goes last: wherever
    this stops, it is still there and opens. Raises :class:`OSError` when the device refuses.
    """
    names = files.names()
    number = 1 + max((aside_number(name) or 0 for name in names), default=0)
    moved = []
    for name in _newest_last(files, names):
        target = aside_name(number, name)
        files.replace(name, target)
        moved.append(target)
    files.remember(0, 0)
    return tuple(moved)


def erase(files: Files) -> None:
    """Remove every file of the record, what was set aside too, for good.

    What is aside goes first and the newest generation last: wherever this stops, the record
    as it counts is still there and opens. Raises :class:`OSError` when the device refuses.
    """
    names = files.names()
    aside = sorted(name for name in names if aside_number(name) is not None)
    for name in (*aside, *_newest_last(files, names)):
        files.remove(name)
    files.forget_rest()
    files.remember(0, 0)


def set_aside(files: Files) -> tuple[MemoryFiles, ...]:
    """Return a copy of each record that was moved aside, the oldest first, ready to be opened."""
    found: dict[int, MemoryFiles] = {}
    for name in sorted(files.names()):
        number = aside_number(name)
        if number is not None:
            copy = found.setdefault(number, MemoryFiles())
            copy.append(name_before_aside(name), files.read(name))
    return tuple(found[number] for number in sorted(found))


def _newest_last(files: Files, names: list[str]) -> list[str]:
    """Return the names of all that counts or was left over, our newest generation last."""

    def rank(name: str) -> tuple[bool, bool, str]:
        told = generation_of(name)
        return told is not None, told is not None and told[0] == files.writer, name

    return sorted((name for name in names if is_record(name) or is_left_over(name)), key=rank)


def _check(files: Files, name: str) -> FileReport:
    try:
        data = files.read(name)
    except OSError:
        return FileReport(name, 0, 0, None, whole=False)
    found = scan(data)
    whole = not found.damaged and found.header is not None
    if (generation_of(name) or (files.writer,))[0] == files.writer:
        whole = whole and found.good == len(data)  # another device may be just writing
    schema = found.header.schema if found.header else None
    unread = len(data) - found.good
    return FileReport(name, len(data), len(found.bodies), schema, whole, unread)
