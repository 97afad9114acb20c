"""A number, a day and a name are read the same, or refused, at every door."""

import argparse
import csv
import io
from dataclasses import replace
from datetime import timedelta
from uuid import uuid4

import pytest
from exchange_helpers import NOW
from hypothesis import example, given
from hypothesis import strategies as st

from pocketpump.cli.options import volume
from pocketpump.core.errors import InputError
from pocketpump.core.units.blank_text import is_empty_looking
from pocketpump.core.units.instants import parse_date, parse_instant
from pocketpump.core.units.quantity import VOLUME, parse_number, parse_quantity
from pocketpump.core.units.typed_dates import YEAR_FIRST, day_in_order, read_day, read_time
from pocketpump.exchange.tables.cells import read_cell, write_cell
from pocketpump.exchange.tables.spreadsheet import Columns, read_sheet, refill_steps
from pocketpump.exchange.tables.tables import finish, table_steps, write_table
from pocketpump.record import MemoryFiles, Record, check_payload, new_entry
from pocketpump.record.entry.frozen import freeze
from pocketpump.record.entry.kinds import KINDS, Field


def ids() -> str:
    return str(uuid4())


FILLED = next(field for field in KINDS["refill"] if field.name == "filled_ml")
BELOW = Field("value", "number", low=-1e9, high=1e9)
ODD = ["1.125", "2.000", "5,", "5.", "020", "0,350", ".5", "2\n0", "20\n", "\u0662\u0660",
       "２０", "1,000", "1e1", "-5", "+5", "−5", "NaN", "0x10", "1_0", "", "1'000.5"]  # fmt: skip
AMOUNTS = st.text(alphabet="0123456789.,' -+\n\u0662e", max_size=9) | st.sampled_from(ODD)


def result(read, text):
    try:
        return read(text)
    except (InputError, argparse.ArgumentTypeError):
        return "refused"


def in_our_table(text: str):
    return read_cell(text, FILLED)


def in_their_table(text: str):
    out = io.StringIO(newline="")
    csv.writer(out).writerows([["Date", "Filled (mL)", "Strength (mcg/mL)"],
                               ["2026-01-12", text, "500"]])  # fmt: skip
    sheet = read_sheet(out.getvalue().encode())
    columns = Columns({"day": 0, "filled_ml": 1, "strength_mcg_per_ml": 2}, YEAR_FIRST)
    found = finish(
        refill_steps(sheet, columns, (), zone=NOW.tzinfo, zone_name="UTC", now=NOW, make_id=ids)
    ).entries
    if not found:
        raise InputError("left out")
    return found[0].payload["filled_ml"]


@given(AMOUNTS)
@example("2.000")
@example("020")
@example("5,")
def test_a_volume_is_read_the_same_at_every_door(text):
    typed = result(lambda t: parse_quantity(t, VOLUME, bare_unit="mL"), text)
    if typed == "refused" or typed > 0:
        assert result(in_their_table, text) == typed
    assert result(lambda t: volume(f"{t.rstrip()} mL"), text) == typed
    number = result(parse_number, text)
    assert result(in_our_table, text) == number
    assert typed in (number, "refused")


@pytest.mark.parametrize(
    "text", ["2.000", "1,000", "5,", "5.", "020", "2\n0", "\u0662\u0660", "1e1"]
)
def test_what_may_be_misread_is_refused_in_a_table_too(text):
    record = Record.open(MemoryFiles(), clock=lambda: NOW)
    record.add("refill", NOW, "", {"filled_ml": 17.5, "strength_mcg_per_ml": 500})
    rows = list(csv.reader(io.StringIO(write_table(record.alive, "refill").decode("utf-8-sig"))))
    rows[1] = [text if cell == "17.5" else cell for cell in rows[1]]
    out = io.StringIO(newline="")
    csv.writer(out).writerows(rows)
    held = {one.id: one for one in record.entries}
    found = finish(table_steps(out.getvalue().encode(), held, set(held), zone=NOW.tzinfo, now=NOW,
                       make_id=ids))  # fmt: skip
    assert found.entries == ()
    assert [problem.code for problem in found.problems] == ["row left out"]


@given(st.floats(-1e9, 1e9) | st.integers(-(10**9), 10**9))
def test_every_number_written_into_a_table_is_read_back(value):
    back = read_cell(write_cell(value, BELOW, True), BELOW)
    assert (back, type(back)) == (value, type(value))


@pytest.mark.parametrize(
    "text",
    ["٢٠٢٦-٠١-١٢", "2026-01-1٢", "１２ Jan 2026", "13.01.２026", "13.01.2026２", "2026011２"],
)
def test_days_in_digits_of_other_scripts_are_refused_at_every_door(text):
    for read in (read_day, parse_date, lambda t: parse_instant(t, NOW.tzinfo)):
        with pytest.raises(InputError):
            read(text)
    for order in ("year first", "day first", "month first"):
        assert day_in_order(text, order) is None


@pytest.mark.parametrize("text", ["1４:30", "١٤:٣٠", "1٤"])
def test_times_too(text):
    with pytest.raises(InputError):
        read_time(text)


NOTHING = ["\u200e", "\u2800", "\u3164", "\u200b", "\ufeff", "\u115f", "\uffa0", "\u00ad", "\u2060",
           "\u202e\u202c", "\U000e0020", "\ufe0f", " \t\n", "\x00", "\u034f", "\u180e",
           "\u0301", " \u0301\u0308", "\u0903", "\u20dd", "\u20e3\ufe0f"]  # fmt: skip


@pytest.mark.parametrize("text", [*NOTHING, "".join(NOTHING)])
def test_a_name_of_which_nothing_is_seen_is_no_name(text):
    assert is_empty_looking(text)
    with pytest.raises(InputError, match="filled in"):
        check_payload("contact", {"name": text})
    with pytest.raises(InputError, match="filled in"):
        new_entry("question", NOW, "", {"text": text}, now=NOW, make_id=ids)


@pytest.mark.parametrize("text", ["A", "é", "山", "ا", "👩‍🦽", "e\u0301", "का", "-", "᠎x"])
def test_what_is_seen_is_a_name(text):
    assert not is_empty_looking(text)
    assert check_payload("contact", {"name": text}) == {"name": text}


def test_marks_that_turn_the_direction_are_not_kept():
    said = {"name": "Dr\u202e ydaL\u202c", "phone": "\u206612\u200e34\u2069"}
    assert check_payload("contact", said) == {"name": "Dr ydaL", "phone": "1234"}
    worries = {"stiffness": 3, "worries": ["\u200fx"]}
    assert check_payload("check-in", worries)["worries"] == ["x"]
    # A joiner is part of how a word or a picture is written.
    assert check_payload("contact", {"name": "می\u200cخواهم"})["name"] == "می\u200cخواهم"


def test_what_was_written_before_the_rule_is_brought_back():
    said = {"name": "\u200e", "phone": "\u200e1"}
    assert check_payload("contact", said, kept=True) == said
    with pytest.raises(InputError):
        check_payload("contact", {"name": " "}, kept=True)


def test_an_unchanged_row_of_an_older_entry_is_no_change():
    old = new_entry("contact", NOW, "", {"name": "x"}, now=NOW, make_id=ids)
    record = Record.open(MemoryFiles(), clock=lambda: NOW)
    record.import_entries([replace(old, payload=freeze({"name": "\u200e", "phone": "\u200e1"}))])
    held = {one.id: one for one in record.entries}
    found = finish(
        table_steps(
            write_table(record.alive, "contact"),
            held,
            set(held),
            zone=NOW.tzinfo,
            now=NOW + timedelta(days=1),
            make_id=ids,
        )
    )
    assert found.entries == record.entries
    assert found.problems == ()
