"""Past refills from a table that someone kept elsewhere, column by column.

The person says which column is what; nothing is guessed that could be read in two ways. A
refill on a day that has one here already is left alone, so reading a table twice adds nothing.
"""

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, time, tzinfo
from typing import Any

from pocketpump.core.errors import InputError, Problem, shown
from pocketpump.core.messages import message
from pocketpump.core.units.instants import attach_zone
from pocketpump.core.units.quantity import STRENGTH, VOLUME, Dimension, parse_quantity
from pocketpump.core.units.typed_dates import (
    ORDER_WORDS,
    ORDERS,
    YEAR_FIRST,
    day_in_order,
    read_said_time,
)
from pocketpump.exchange.tables.tables import (
    STEP,
    ImportedEntries,
    Steps,
    left_out,
    read_rows,
)
from pocketpump.record import Entry, new_entry

_FEWEST_MCG_PER_ML = 50.0
"""The weakest strength supplied (for the screening dose only: injectable-drugs handbook)."""

_UNIT = re.compile(r"[(\[]([^)\]]+)[)\]]")


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a column may hold: our field, its words, and the words that headers use for it."""

    field: str
    words: str
    hints: tuple[str, ...]
    needed: bool = False


WANTED = (
    Wanted("day", message("Day of the refill"), ("date", "day", "refill"), needed=True),
    Wanted("time", message("Time"), ("time", "hour")),
    Wanted(
        "filled_ml", message("Filled volume"), ("filled", "fill vol", "volume in", "volume"), True
    ),
    Wanted("strength_mcg_per_ml", message("Strength"), ("strength", "concentration", "conc"), True),
    Wanted("expected_ml", message("Expected volume"), ("expected",)),
    Wanted("withdrawn_ml", message("Withdrawn volume"), ("withdrawn", "residual", "taken out")),
    Wanted("printed_alarm_on", message("Clinic's alarm date"), ("alarm",)),
    Wanted("note", message("Note"), ("note", "remark", "comment")),
)
_WHICH = {
    "day": message("Say which column holds the day of the refill."),
    "filled_ml": message("Say which column holds the filled volume."),
    "strength_mcg_per_ml": message("Say which column holds the strength."),
}
_DIMENSIONS: Mapping[str, Dimension] = {
    "filled_ml": VOLUME,
    "expected_ml": VOLUME,
    "withdrawn_ml": VOLUME,
    "strength_mcg_per_ml": STRENGTH,
}


@dataclass(frozen=True, slots=True)
class SpreadsheetShape:
    """A table: its headers, and its rows with as many cells as there are headers."""

    headers: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Columns:
    """How to read a sheet: for each of our fields the column's number (from 0).

    ``order`` is one of :data:`pocketpump.core.units.typed_dates.ORDERS`; ``strength_unit`` the unit
    of strengths that carry none, "" when there must be one in the header or the cell.
    """

    of: Mapping[str, int]
    order: str
    strength_unit: str = ""


def read_sheet(data: bytes) -> SpreadsheetShape:
    """Return the table in a CSV file; raises :class:`InputError` when there is none."""
    rows = read_rows(data)
    if len(rows) < 2:
        raise InputError(message("This table has no rows under its headers; choose another file."))
    width = len(rows[0])
    cut = (tuple((row + [""] * width)[:width]) for row in rows[1:])
    return SpreadsheetShape(tuple(cell.strip() for cell in rows[0]), tuple(cut))


def guess_columns(sheet: SpreadsheetShape) -> dict[str, int]:
    """Return the columns whose headers speak for themselves, each given to one field."""
    found: dict[str, int] = {}
    for wanted in sorted(WANTED, key=lambda one: one.field in ("day", "filled_ml")):
        for hint in wanted.hints:
            for number, header in enumerate(sheet.headers):
                if hint in header.lower() and number not in found.values():
                    found.setdefault(wanted.field, number)
    return found


def find_order(sheet: SpreadsheetShape, columns: Mapping[str, int]) -> str:
    """Return the order of the days' numbers; "" when that must be asked.

    It must be when the table could be read in two ways, and when its days were written in two.
    """
    fitting = set(ORDERS)
    for field in ("day", "printed_alarm_on"):
        if field in columns:
            for row in sheet.rows:
                cell = row[columns[field]]
                readable = {order for order in ORDERS if day_in_order(cell, order)}
                # A cell that is no day in any order says nothing about the order.
                fitting = fitting & readable if readable else fitting
    if YEAR_FIRST in fitting:
        return YEAR_FIRST
    return fitting.pop() if len(fitting) == 1 else ""


def refill_steps(
    sheet: SpreadsheetShape,
    columns: Columns,
    held: Iterable[Entry],
    *,
    zone: tzinfo,
    zone_name: str,
    now: datetime,
    make_id: Callable[[], str],
) -> Steps:
    """Read the sheet's refills as entries, and what was left out or looks odd.

    ``held`` are the entries that count here, ``zone`` (named ``zone_name``) that of the wall
    clock in the table; a refill without a time is noted at noon. Raises :class:`InputError`
    when a needed column is not told.
    """
    for wanted in WANTED:
        if wanted.needed and wanted.field not in columns.of:
            raise InputError(_WHICH[wanted.field], wanted.field)
    if columns.order not in ORDERS:
        raise InputError(message("Say in which order the days are written."), "order")
    days = {e.at.astimezone(zone).date() for e in held if e.kind == "refill"}
    entries: list[Entry] = []
    problems: list[Problem] = []
    for number, row in enumerate(sheet.rows, 2):
        if not number % STEP:
            yield number
        cells = {field: row[column].strip() for field, column in columns.of.items()}
        try:
            at, payload = _refill(cells, sheet, columns, zone)
            if at > now:
                raise InputError(message("Its day is still to come."))
            entry = new_entry("refill", at, zone_name, payload, now=now, make_id=make_id)
        except InputError as error:
            problems.append(left_out(number, error))
            continue
        if at.date() in days:
            there = InputError(message("There is a refill on that day already."))
            problems.append(replace(left_out(number, there), code="already here"))
            continue
        days.add(at.date())
        entries.append(entry)
        if payload["strength_mcg_per_ml"] < _FEWEST_MCG_PER_ML:
            sentence = message(
                "Row {row} has a very low strength: look at the number and the unit.", row=number
            )
            problems.append(Problem("low strength", sentence))
    return ImportedEntries(tuple(entries), tuple(problems))


def _refill(
    cells: Mapping[str, str], sheet: SpreadsheetShape, columns: Columns, zone: tzinfo
) -> tuple[datetime, dict[str, Any]]:
    day = _day(cells["day"], columns.order)
    at = attach_zone(datetime.combine(day, _clock(cells.get("time", ""))), zone)
    payload: dict[str, Any] = {}
    for field, dimension in _DIMENSIONS.items():
        if cells.get(field):
            header = sheet.headers[columns.of[field]]
            unit = _unit_in(header, dimension) or (
                columns.strength_unit if dimension is STRENGTH else dimension.unit
            )
            payload[field] = parse_quantity(cells[field], dimension, bare_unit=unit)
    if cells.get("printed_alarm_on"):
        payload["printed_alarm_on"] = _day(cells["printed_alarm_on"], columns.order).isoformat()
    if cells.get("note"):
        payload["note"] = cells["note"]
    return at, payload


def _unit_in(header: str, dimension: Dimension) -> str:
    """Return the unit in brackets in a header; "" when there is none of that dimension."""
    found = _UNIT.search(header)
    if found is None:
        return ""
    try:
        parse_quantity("1", dimension, bare_unit=found[1])
    except InputError:
        return ""
    return found[1]


def _clock(text: str) -> time:
    if not text:
        return time(12)
    try:
        return read_said_time(text)
    except InputError:
        raise InputError(
            message("“{text}” is not a time: write it like 14:30.", text=shown(text))
        ) from None


def _day(text: str, order: str) -> date:
    found = day_in_order(text, order)
    if found is None:
        raise InputError(
            message(
                "“{text}” is not a day written with the {order}.",
                text=shown(text),
                order=ORDER_WORDS[order],
            )
        )
    return found
