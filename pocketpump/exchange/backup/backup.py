r"""The backup: one JSON file with every entry ever written, that proves itself whole.

The file is JSON that any reader opens, with one entry a line; ``docs/backup.schema.json``
describes it. Its last member, ``sha256``, stands on a line of its own and is the SHA-256 of
every byte before that line (line ends as ``\n``), so any change anywhere is noticed. The
file holds everything, corrected and removed entries too: the history comes back with it.
"""

import json
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from hashlib import sha256
from typing import Any

from pocketpump import __version__
from pocketpump.core.errors import PocketPumpError, Problem
from pocketpump.core.messages import message, plural_message
from pocketpump.record import Entry, from_document, to_document
from pocketpump.record.entry.bounds import load, parts_in
from pocketpump.record.journal.migrations import SCHEMA, migrate

FORMAT = "pocketpump-backup"
VERSION = 1
LARGEST = 256 * 1024 * 1024
"""Bytes: ten years of entries are a fiftieth of it; photos and scans fill the rest."""
MOST_PARTS = 3_000_000
"""Objects, lists and values at most, counted in the bytes: ten years of entries have a tenth of
it. A made-up file could hold a hundred million tiny ones, and no memory would do. What comes into
a record is bounded below both (:class:`pocketpump.record.entry.bounds.Room`), so that it fits."""

_ENTRY_LEVEL = 3  # {"entries": [entry]}
_BEGINS = re.compile(rb'\s*\{\s*"format"\s*:\s*"([a-z-]{1,40})"')
_SEAL = re.compile(rb'"sha256":"([0-9a-f]{64})"\n\}\n?\Z')


class BackupError(PocketPumpError):
    """A file that nothing can be taken from; the record is as it was."""


@dataclass(frozen=True, slots=True)
class Backup:
    """What a backup holds: every entry, when it was written (UTC), and what is odd about it."""

    entries: tuple[Entry, ...]
    written_at: datetime
    problems: tuple[Problem, ...] = ()


def write_backup(entries: Iterable[Entry], now: datetime) -> bytes:
    """Return the file with all of ``entries``, checked by reading it again.

    Raises :class:`BackupError` when it would be larger than a backup may be, or when reading
    it does not give the very same entries.
    """
    kept = tuple(entries)
    head = {
        "format": FORMAT,
        "version": VERSION,
        "schema": SCHEMA,
        "written_at": now.astimezone(UTC).isoformat(timespec="seconds"),
        "written_by": f"PocketPump {__version__}",
        "entry_count": len(kept),
    }
    members = [f'"{name}":{_text(value)}' for name, value in head.items()]
    lines = ",\n".join(_text(to_document(entry)) for entry in kept)
    body = ("{\n" + ",\n".join(members) + ',\n"entries":[\n' + lines + "\n],\n").encode()
    data = body + f'"sha256":"{sha256(body).hexdigest()}"\n}}\n'.encode()
    if len(data) > LARGEST:
        raise BackupError(
            message(
                "The record is too large for one backup file: {size} of {most} MB, mostly photos"
                " and scans. Nothing was written; the record stays as it is.",
                size=megabytes(len(data)),
                most=megabytes(LARGEST),
            )
        )
    if parts_in(data) > MOST_PARTS:
        raise BackupError(
            message(
                "The record is too large for one backup file: it holds more single values than"
                " PocketPump could read again. Nothing was written; the record stays as it is."
            )
        )
    refuse_other(read_backup(data), kept)
    return data


def refuse_other(read: Backup, kept: tuple[Entry, ...]) -> None:
    """Raise :class:`BackupError` unless what was read again are the very entries ``kept``."""
    if read.entries != kept:
        raise BackupError(
            message("The backup could not be checked, so it was not made; please try again.")
        )


def read_backup(data: bytes) -> Backup:
    """Return what a backup holds; entries of older versions are brought up to date.

    Raises :class:`BackupError` when it is no backup, was changed by as little as one bit, or
    was written by a newer PocketPump.
    """
    refuse_larger(data)
    if format_of(data) != FORMAT:
        raise not_a_backup()
    # Mail programs change line ends; inside JSON texts there are none, so nothing is lost.
    plain = data.replace(b"\r\n", b"\n")
    seal = _SEAL.search(plain)
    # All of this on the bytes alone: only a whole file of a sensible size is taken apart.
    if seal is None or sha256(plain[: seal.start()]).hexdigest().encode() != seal[1]:
        raise damaged()
    refuse_more(plain)
    told = read_json(data)
    refuse_newer(told, VERSION)
    try:
        documents, schema = told["entries"], int(told["schema"])
        if schema > SCHEMA:
            raise _newer()
        if len(documents) != told["entry_count"]:
            raise ValueError
        written_at = datetime.fromisoformat(told["written_at"]).astimezone(UTC)
        return _read(documents, schema, written_at)
    except (KeyError, TypeError, ValueError, AttributeError, OverflowError):
        raise damaged() from None


def refuse_larger(data: bytes, times: int = 1) -> None:
    """Raise :class:`BackupError` when a file is larger than a record can be, so many times."""
    if len(data) > times * LARGEST:
        raise BackupError(
            message("This file is too large to be a PocketPump backup; choose another file.")
        )


def refuse_more(data: bytes) -> None:
    """Raise :class:`BackupError` when a file holds more than a record can, by its bytes alone."""
    if parts_in(data) > MOST_PARTS:
        raise BackupError(
            message("This file holds more than a PocketPump backup can; choose another file.")
        )


def format_of(data: bytes) -> str:
    """Return what the file says it is, without taking it apart; "" when it does not say."""
    begins = _BEGINS.match(data[:200])
    return begins[1].decode() if begins else ""


def read_json(data: bytes) -> Mapping[str, Any]:
    """Return the JSON object in ``data``, whose beginning was read; raises `BackupError`."""
    try:
        told: dict[str, Any] = load(data, _ENTRY_LEVEL)
    except ValueError:
        # Half a file is no longer JSON, but its beginning told what it was.
        raise damaged() from None
    return told


def megabytes(size: int) -> int:
    """Return a size in whole megabytes, rounded up."""
    return -(-size // (1024 * 1024))


def refuse_newer(told: Mapping[str, Any], version: int) -> None:
    """Raise :class:`BackupError` unless the file's version is one that this program knows."""
    written = told.get("version")
    if type(written) is not int or written < 1:
        raise damaged()
    if written > version:
        raise _newer()


def not_a_backup() -> BackupError:
    """Return the error for a file of another kind."""
    return BackupError(
        message(
            "This file is not a PocketPump backup, and nothing was taken from it; choose another "
            "file."
        )
    )


def _read(documents: Iterable[Any], schema: int, written_at: datetime) -> Backup:
    entries: list[Entry] = []
    left_out = 0
    for document in documents:
        try:
            entries.append(from_document(migrate(document, schema)))
        except (TypeError, ValueError):
            left_out += 1
    problems: tuple[Problem, ...] = ()
    if left_out:
        sentence = plural_message(
            "{count} of the backup's entries cannot be read and were left out.",
            "{count} of the backup's entries cannot be read and were left out.",
            left_out,
        )
        problems = (Problem("not understood", sentence),)
    return Backup(tuple(entries), written_at, problems)


def _text(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":"))


def damaged() -> BackupError:
    """Return the error for a file that is not as it was written."""
    return BackupError(
        message(
            "This backup was damaged or changed after it was written, and nothing was taken from "
            "it; use another copy of it."
        )
    )


def _newer() -> BackupError:
    return BackupError(
        message(
            "This backup was written by a newer PocketPump, and nothing was taken from it; "
            "update PocketPump here and try again."
        )
    )
