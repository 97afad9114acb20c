"""The record's files as they are, with what of them cannot be read: saved to be kept or mended.

In the browser the page writes them without understanding them when Python could not start
(``web/page/trouble.js``): one JSON object with the bytes of each slot in base 64, see
:mod:`pocketpump.record.journal.slot` and ``docs/file_formats.md``. :func:`write_raw_files` writes
the same of any record. Every line in them proves itself whole, so the file needs no seal, and what
is damaged in it costs itself alone. What was noted on the page and is not in the record yet
stands beside them, under "inbox".
"""

import base64
import json
from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

from pocketpump.exchange.backup.backup import Backup, damaged, read_json, refuse_newer
from pocketpump.exchange.backup.import_preview import found_in
from pocketpump.exchange.backup.noted_items import read_noted
from pocketpump.record.journal.file_names import record_name
from pocketpump.record.journal.slot import files_in, to_slot

FORMAT = "pocketpump-files"
VERSION = 1
_MOST_QUOTES = 4000
"""Four a slot and twelve for the rest: many more than there ever are."""


def write_raw_files(files: Mapping[str, bytes], now: datetime) -> bytes:
    """Return one file of format :data:`FORMAT` with ``files`` by name, byte for byte."""
    slots = {
        f"slot-{number:02}": base64.b64encode(to_slot(name, data)).decode()
        for number, (name, data) in enumerate(sorted(files.items()))
    }
    written_at = now.astimezone(UTC).isoformat(timespec="seconds")
    told = {"format": FORMAT, "version": VERSION, "written_at": written_at, "files": slots}
    return (json.dumps(told, indent=0) + "\n").encode()


def read_raw_files(data: bytes) -> Backup:
    """Return the entries in a file of format :data:`FORMAT`, each checked as it is read.

    ``written_at`` is the device's clock when the file was saved. What the record had moved aside
    when it was begun anew is in the file and not among the entries.

    Raises :class:`~.backup.BackupError` when nothing can be taken from it, and
    :class:`~pocketpump.record.errors.NewerRecordError`.
    """
    # One object in another, of texts alone, so that reading it takes no more memory.
    if data.count(b"{") != 2 or data.count(b"[") or data.count(b'"') > _MOST_QUOTES:
        raise damaged()
    told = read_json(data)
    refuse_newer(told, VERSION)
    try:
        written_at = datetime.fromisoformat(told["written_at"]).astimezone(UTC)
        files = _files_in(told["files"])
        noted = base64.b64decode(told.get("inbox", ""), validate=True)
    except (KeyError, TypeError, ValueError, AttributeError, OverflowError):
        raise damaged() from None
    entries, problems = found_in(files) if files or not noted else ((), ())
    items, _ = read_noted(noted or b"[]")
    held = {entry.id for entry in entries}
    waiting = tuple(item.entry for item in items if item.entry.id not in held)
    return Backup((*entries, *waiting), written_at, problems)


def _files_in(told: Mapping[str, Any]) -> Mapping[str, bytes]:
    """Return the files in the slots by their names."""
    named, torn = files_in(
        base64.b64decode(text, validate=True) for _, text in sorted(told.items())
    )
    # A file whose name is torn is read beside the others, as that of another device would be.
    beside = {record_name(f"{number:08x}", 1): data for number, data in enumerate(torn)}
    return {**named, **beside}
