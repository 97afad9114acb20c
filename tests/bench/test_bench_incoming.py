"""How long what comes in takes to be read: `pytest tests/bench/test_bench_incoming.py -s`.

Measured and printed, never asserted. A table ten times as long must take about ten times as long.
"""

import contextlib
import csv
import io
import time
from datetime import UTC, datetime, timedelta
from uuid import uuid4
from zoneinfo import ZoneInfo

import pytest

from pocketpump.core.errors import InputError
from pocketpump.core.pump.programme_text import parse_pattern, parse_setting, parse_timed_bolus
from pocketpump.core.units.instants import parse_date, parse_instant
from pocketpump.core.units.quantity import VOLUME, parse_number, parse_quantity
from pocketpump.core.units.typed_dates import YEAR_FIRST, read_day, read_time
from pocketpump.exchange.backup.import_preview import preview
from pocketpump.exchange.tables.spreadsheet import (
    Columns,
    find_order,
    guess_columns,
    read_sheet,
    refill_steps,
)
from pocketpump.exchange.tables.tables import AT, ID, KIND, finish, table_steps

ROME = ZoneInfo("Europe/Rome")
NOW = datetime(2150, 1, 1, tzinfo=UTC)
READERS = {
    "number": parse_number,
    "quantity": lambda text: parse_quantity(text, VOLUME),
    "setting": parse_setting,
    "pattern": parse_pattern,
    "bolus": parse_timed_bolus,
    "day": read_day,
    "time": read_time,
    "date": parse_date,
    "instant": lambda text: parse_instant(text, ROME),
}
FILLINGS = (" ", "1", "a", ",", ".", "1 ", "1,", " x ", "\n", "-", "'", "(", ":", "45 mcg x ")


def make_id() -> str:
    return str(uuid4())


def table(rows: int, header: list[str], row) -> bytes:
    out = io.StringIO(newline="")
    csv.writer(out).writerows([header, *map(row, range(rows))])
    return out.getvalue().encode()


def ours(rows: int) -> bytes:
    start = datetime(2020, 1, 1, tzinfo=UTC)
    header = [AT, "stiffness (0-10)", "stiffness", KIND, ID]

    def row(number: int) -> list[str]:
        at = start + timedelta(minutes=number)
        return [at.isoformat(), "3", "3", "check-in", ""]

    return table(rows, header, row)


def theirs(rows: int) -> bytes:
    def row(number: int) -> list[str]:
        year, month, day = 1950 + number // 336 % 200, number // 28 % 12 + 1, number % 28 + 1
        return [f"{year}-{month:02}-{day:02}", "20", "500"]

    return table(rows, ["Date", "Filled (mL)", "Strength (mcg/mL)"], row)


@pytest.mark.parametrize("reader", READERS)
def test_long_texts(reader):
    for size in (20_000, 200_000):
        slowest = 0.0
        for filling in FILLINGS:
            for before, after in (("20", "mL"), ("", ""), ("45 mcg", "5"), ("00:00", "3")):
                text = before + filling * (size // len(filling)) + after
                started = time.perf_counter()
                with contextlib.suppress(InputError):
                    READERS[reader](text)
                slowest = max(slowest, time.perf_counter() - started)
        print(f"{reader:>10} of {size:>7,} letters: {slowest * 1000:8.1f} ms at the worst")


@pytest.mark.parametrize("rows", [2_000, 20_000, pytest.param(200_000, marks=pytest.mark.thorough)])
def test_long_tables(rows):
    started = time.perf_counter()
    found = finish(table_steps(ours(rows), {}, (), zone=ROME, now=NOW, make_id=make_id))
    read = time.perf_counter()
    told = preview((), found.entries, ROME)
    after = time.perf_counter() - read
    print(f"\nours   {rows:>7,} rows: read {read - started:6.2f} s, previewed {after:6.2f} s;"
          f" {told.adds} new, {len(found.problems)} left out")  # fmt: skip
    started = time.perf_counter()
    sheet = read_sheet(theirs(rows))
    of = guess_columns(sheet)
    order = find_order(sheet, of)
    refills = finish(refill_steps(sheet, Columns(of, order or YEAR_FIRST), (), zone=ROME,
                         zone_name="Europe/Rome", now=NOW, make_id=make_id))  # fmt: skip
    print(f"theirs {rows:>7,} rows: read {time.perf_counter() - started:6.2f} s;"
          f" {len(refills.entries)} refills, {len(refills.problems)} left out")  # fmt: skip
