"""The files of a record beside the one that is written to, read and never changed.

Another device's files, generations that came back, copies that a sync program could not unite:
each may hold a save that is nowhere else. What was read before is known by its digest.
"""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from hashlib import sha256
from typing import Any

from pocketpump.record.errors import NewerRecordError
from pocketpump.record.journal.file_names import generation_of, is_record
from pocketpump.record.journal.files import Files
from pocketpump.record.journal.lines import Scan, scan
from pocketpump.record.journal.migrations import SCHEMA


@dataclass(frozen=True, slots=True)
class Part:
    """What one file holds: ``expected`` for another device's own, not for what should not be."""

    name: str
    schema: int
    bodies: list[Any]
    expected: bool


@dataclass(slots=True)
class Others:
    """What was found in the other files.

    ``read`` gives the digest of every file whose lines are now known; ``parts`` what is in those
    that were not known before. ``settled`` is true when there is a newly read file that nobody
    goes on writing to; ``lost`` counts the lines that are not there, ``unread`` the files that
    the device did not give, ``newer`` those that a newer PocketPump wrote, which stay as they are.
    """

    read: dict[str, str] = field(default_factory=dict)
    parts: list[Part] = field(default_factory=list)
    settled: bool = False
    unread: int = 0
    newer: int = 0
    lost: int = 0


def digest(data: bytes) -> str:
    """Return the digest by which a file that did not change is known again."""
    return sha256(data).hexdigest()[:32]


def refuse_newer(found: Scan) -> None:
    """Raise :class:`NewerRecordError` when a newer PocketPump wrote the file."""
    if _is_newer(found):
        raise NewerRecordError


def read_others(
    files: Files, names: Iterable[str], taken: Collection[str], known: Mapping[str, str]
) -> Others:
    """Read every file of the record among ``names`` but those ``taken``.

    ``known`` are the digests of files whose lines are in the record already.
    """
    found = Others()
    wanted = [name for name in names if is_record(name) and name not in taken]
    for name in sorted(wanted, key=_order):
        try:
            data = files.read(name)
        except OSError:
            found.unread += 1
            continue
        told = digest(data)
        if known.get(name) != told:
            lines = scan(data)
            if _is_newer(lines):
                found.newer += 1
                continue
            _take(found, name, lines, files.writer)
        found.read[name] = told
    return found


def _take(found: Others, name: str, lines: Scan, writer: str) -> None:
    if lines.header is None and not lines.bodies:
        return  # only begun to arrive, or nothing of ours
    named = generation_of(name)
    schema = lines.header.schema if lines.header else SCHEMA
    expected = named is not None and named[0] != writer
    found.parts.append(Part(name, schema, lines.bodies, expected))
    found.lost += lines.lost
    found.settled |= not expected or lines.damaged


def _is_newer(found: Scan) -> bool:
    return found.header is not None and found.header.schema > SCHEMA


def _order(name: str) -> tuple[bool, str, int, str]:
    """Sort by writer, the newest generation first: it holds the entries in their order."""
    writer, generation = generation_of(name) or ("", 0)
    return generation_of(name) is None, writer, -generation, name
