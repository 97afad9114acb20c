"""What was noted on the phone app's opening page and is not in the record yet, as JSON.

A list of objects: ``form`` (1), ``epoch`` (what tells the record it was noted for) and
``document``, a finished entry. `pocketpump.app.inbox` brings them into the record; in a file of
the record's files they stand beside those (`pocketpump.exchange.backup.raw_files`).
"""

from dataclasses import dataclass
from typing import Any

from pocketpump.core.errors import InputError
from pocketpump.record import Entry, from_document
from pocketpump.record.entry.bounds import load, parts_in

_LEVEL = 3  # [{"document": entry}]
_MOST_PARTS = 100_000
"""Somebody may note a check-in an hour for a year without the app ever coming."""


@dataclass(frozen=True)
class NotedItem:
    """An entry with what tells the record that it was noted for."""

    entry: Entry
    epoch: str


def read_noted(text: bytes) -> tuple[tuple[NotedItem, ...], bool]:
    """Return the items in JSON ``text`` in the order they were noted, and whether all were read."""
    if parts_in(text) > _MOST_PARTS:
        return (), False
    try:
        told = load(text, _LEVEL)
    except ValueError:
        return (), False
    if not isinstance(told, list):
        return (), False
    found = [item for item in map(_read, told) if item is not None]
    return tuple(found), len(found) == len(told)


def _read(told: Any) -> NotedItem | None:
    try:
        return NotedItem(from_document(told["document"]), str(told["epoch"]))
    except (InputError, KeyError, TypeError):
        return None
