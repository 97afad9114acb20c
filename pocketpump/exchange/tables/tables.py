"""Tables for spreadsheets: one CSV file a kind, with units in the headers; out and in again.

Every column's header carries its unit, so that no number stands without one. The last three
columns say which entry a row is; because of them a table that comes back changes nothing when
it was not changed, and becomes corrections where it was. Papers stand there by name and date
only: a spreadsheet cuts a cell after 32,767 letters, and a cut scan must not come back.
"""

import contextlib
import csv
import io
import json
import re
from collections.abc import Callable, Collection, Generator, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime, tzinfo
from typing import Any, TypeAlias

from pocketpump.core.errors import InputError, Problem, shown
from pocketpump.core.messages import joined, message
from pocketpump.core.pump.programme_payload import programme_from_payload
from pocketpump.core.pump.programme_text import describe_programme
from pocketpump.core.units.instants import parse_instant
from pocketpump.exchange.tables.cells import guard, read_cell, unguard, write_cell
from pocketpump.record import KINDS, Entry, new_entry
from pocketpump.record.entry.bounds import is_name
from pocketpump.record.entry.checks import is_fit
from pocketpump.record.entry.entries import instant_of_writing
from pocketpump.record.entry.field_labels import column
from pocketpump.record.entry.frozen import freeze, thaw
from pocketpump.record.entry.kinds import REMOVAL, Field

TABLES = tuple(kind for kind in KINDS if kind != REMOVAL)
"""The kinds that have a table."""

AT, ZONE, IN_WORDS = "day and time", "time zone", "setting in words"
KIND, WRITTEN, ID, REPLACES = "kind", "written at", "entry id", "replaces"
_FILE_NAMES = {
    "programme": "dose settings",
    "clinic days": "clinic days",
    "care": "care details",
    "device": "device readings",
    "attachment": "papers",
}
_LARGEST = 64 * 1024 * 1024
_WRITTEN = re.compile(
    r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}(\.[0-9]{6})?"
    r"[-+][0-9]{2}:[0-9]{2}(:[0-9]{2})?"
)
_STAY = ("attachment", "data")
"""The kind and field that no table holds."""


@dataclass(frozen=True, slots=True)
class ImportedEntries:
    """Entries read from a table, ready to be previewed and imported, and what was left out."""

    entries: tuple[Entry, ...]
    problems: tuple[Problem, ...]


Steps: TypeAlias = Generator[int, None, ImportedEntries]
"""Reading that can be shown and stopped: the row it is at now and then, the outcome at the end."""
STEP = 200
"""Rows from one step to the next: less than a tenth of a second, also on a phone."""


def file_name(kind: str) -> str:
    """Return the name of a kind's table: ``dose-settings.csv``."""
    return _FILE_NAMES.get(kind, f"{kind}s").replace(" ", "-") + ".csv"


def write_table(entries: Iterable[Entry], kind: str) -> bytes:
    """Return the table of the entries of one kind, in the order given.

    UTF-8 with a byte order mark, commas, and the line ends of RFC 4180. Entries whose values
    do not fit their kind are left out; checking the record tells of them.
    """
    fields = _fields(kind)
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\r\n")
    words = [IN_WORDS] if kind == "programme" else []
    names = [column(field.name) for field in fields]
    writer.writerow([AT, ZONE, *words, *names, KIND, WRITTEN, ID, REPLACES])
    for entry in entries:
        if entry.kind != kind or not is_fit(kind, entry.payload):
            continue
        said = [_in_words(entry)] if words else []
        cells = [write_cell(entry.payload.get(f.name), f, f.name in entry.payload) for f in fields]
        tail = [kind, entry.written_at.isoformat(), entry.id, entry.replaces or ""]
        zone = guard(entry.zone)
        writer.writerow([entry.at.isoformat(), zone, *said, *cells, *map(guard, tail)])
    return text.getvalue().encode("utf-8-sig")


def finish(steps: Steps) -> ImportedEntries:
    """Go on to the end and return what was read."""
    while True:
        try:
            next(steps)
        except StopIteration as ended:
            found: ImportedEntries = ended.value
            return found


def table_steps(
    data: bytes,
    held: Mapping[str, Entry],
    alive: Collection[str],
    *,
    zone: tzinfo,
    now: datetime,
    make_id: Callable[[], str],
) -> Steps:
    """Read what a table that PocketPump wrote holds, as entries.

    ``held`` are all entries here by id, ``alive`` the ids of those that count, ``zone`` that of
    times without one. A row that was changed becomes a correction, a row without an id a new
    entry unless the same is here; a row that cannot be read is left out and told of. Raises
    :class:`InputError` when it is no such table.
    """
    rows = read_rows(data)
    if not is_table(rows):
        raise InputError(
            message("This is not a table that PocketPump wrote: choose its columns instead.")
        )
    entries: list[Entry] = []
    problems: list[Problem] = []
    here = {_saying(held[one]): held[one] for one in alive if one in held}
    for number, row in enumerate(rows[1:], 2):
        if not number % STEP:
            yield number
        cells = dict(zip(rows[0], row, strict=False))
        try:
            entry = _entry(cells, held, alive, zone, now, make_id)
        except InputError as error:
            problems.append(left_out(number, error))
            continue
        # A row without an id that was brought in before would come again with another one.
        entries.append(entry if _own_id(cells) else here.setdefault(_saying(entry), entry))
    return ImportedEntries(tuple(entries), tuple(problems))


def is_table(rows: list[list[str]]) -> bool:
    """Tell whether the rows are of a table that PocketPump wrote."""
    return bool(rows) and {AT, KIND, ID} <= set(rows[0])


def left_out(number: int, error: InputError) -> Problem:
    """Return the problem that one row of a table could not be taken."""
    row = message("Row {row} was left out.", row=number)
    return Problem("row left out", joined(" ", (row, str(error))))


def read_rows(data: bytes) -> list[list[str]]:
    """Return the rows of a CSV file, empty ones left out; raises :class:`InputError`.

    The text may be UTF-8, UTF-16 with its mark, or the Windows one of western Europe, and
    divided by comma, semicolon or tab: spreadsheets write all of these.
    """
    if len(data) > _LARGEST:
        raise InputError(
            message("This file is too large for a table of entries; choose another file.")
        )
    text = _decoded(data)
    first = text.split("\n", 1)[0]
    delimiter = max(",;\t", key=first.count)
    if "\x00" in first:
        raise InputError(message("This is not a table: save it as CSV in the spreadsheet first."))
    try:
        rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True))
    except csv.Error:
        raise InputError(
            message("This table cannot be read: save it as CSV in the spreadsheet first.")
        ) from None
    return [row for row in rows if any(cell.strip() for cell in row)]


def _decoded(data: bytes) -> str:
    for mark, name in ((b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"), (b"", "utf-8-sig")):
        if data.startswith(mark):
            try:
                return data.decode(name)
            except UnicodeDecodeError:
                break
    return data.decode("cp1252", errors="replace")


def _fields(kind: str) -> tuple[Field, ...]:
    return tuple(field for field in KINDS[kind] if (kind, field.name) != _STAY)


def _own_id(cells: Mapping[str, str]) -> str:
    return unguard(cells.get(ID, ""))


def _saying(entry: Entry) -> tuple[str, datetime, str]:
    return entry.kind, entry.at, json.dumps(thaw(entry.payload), sort_keys=True)


def _in_words(entry: Entry) -> str:
    try:
        programme: Any = entry.payload["programme"]
        return describe_programme(programme_from_payload(programme))
    except InputError:
        return ""


def _entry(
    cells: Mapping[str, str],
    held: Mapping[str, Entry],
    alive: Collection[str],
    zone: tzinfo,
    now: datetime,
    make_id: Callable[[], str],
) -> Entry:
    kind = cells.get(KIND, "").strip()
    if kind not in TABLES:
        raise InputError(
            message("“{word}” is no kind of entry: leave that column alone.", word=shown(kind))
        )
    filled = ((f, cells.get(column(f.name), "")) for f in _fields(kind))
    payload = {f.name: read_cell(text, f) for f, text in filled if text}
    own, earlier = _own_id(cells), unguard(cells.get(REPLACES, ""))
    if not all(map(is_name, filter(None, (own, earlier)))):
        raise InputError(message("“{word}” is no id: leave that column alone.", word=shown(own)))
    ours = held.get(own)
    if kind == _STAY[0]:
        if ours is None or ours.kind != kind:
            raise InputError(
                message("A paper itself is not in a table: bring in a backup instead.")
            )
        payload[_STAY[1]] = ours.payload[_STAY[1]]
    at = _instant(cells.get(AT, ""), zone)
    zone_name = unguard(cells.get(ZONE, ""))
    said = (kind, at, zone_name, freeze(payload))
    if ours is not None and (ours.kind, ours.at, ours.zone, ours.payload) == said:
        return ours
    # Of our own row only an instant that was changed is held to the years that count.
    kept = bool(own) if ours is None else ours.at == at
    entry = new_entry(kind, at, zone_name, payload, now=now, make_id=make_id, kept=kept)
    if not own:
        return entry
    if ours is None:
        written = instant_of_writing(_instant(cells.get(WRITTEN, ""), UTC))
        return replace(entry, id=own, written_at=written, replaces=earlier or None)
    if own not in alive:
        raise InputError(message("The entry in it was changed or removed here since."))
    return replace(entry, replaces=own)


def _instant(text: str, zone: tzinfo) -> datetime:
    if _WRITTEN.fullmatch(text):
        # As PocketPump writes it; also an old zone's offset of odd seconds.
        with contextlib.suppress(ValueError):
            return datetime.fromisoformat(text)
    return parse_instant(text, zone)
