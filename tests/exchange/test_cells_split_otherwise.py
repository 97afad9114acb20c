"""No cell becomes a formula in a spreadsheet that divides the file at another mark than we do."""

import csv
import io
import json

import pytest
from exchange_helpers import NOW
from hypothesis import example, given
from hypothesis import strategies as st

from pocketpump.core.units.blank_text import first_seen
from pocketpump.exchange.tables.cells import guard, read_cell, unguard, write_cell
from pocketpump.exchange.tables.tables import finish, table_steps, write_table
from pocketpump.record import MemoryFiles, Record
from pocketpump.record.entry.kinds import Field

MARKS = ",;\t|\r\n\x0b\x0c\x85\u2028\u2029"
FORMULAS = ("=1+1", "+1", "-1", "@sum", "\uff1d1", "\u22121")
HIDDEN = ("", " ", "\u200b", '"', '" ', "\u00a0")
TEXT = Field("text")


def runs(cell: str) -> bool:
    """Tell whether a spreadsheet may take a cell for a formula, whatever it strips first."""
    for dropped in ("", '"'):
        seen = first_seen(cell.replace('"', dropped) if not dropped else cell.lstrip('" '))
        if seen and seen in "=+-@\u2212\uff1d\uff0b\uff0d\uff20":
            return True
    return False


@pytest.mark.parametrize("mark", MARKS)
@pytest.mark.parametrize("hidden", HIDDEN)
@pytest.mark.parametrize("formula", FORMULAS)
def test_a_formula_behind_a_separator_is_guarded_and_comes_back_as_it_was(mark, hidden, formula):
    text = f"as usual{mark}{hidden}{formula}"
    cell = write_cell(text, TEXT, True)
    assert not any(map(runs, cell.split(mark)))
    assert read_cell(cell, TEXT) == text


@given(st.text(alphabet="a1 '=+-@;,\t\n\r|\"\u200b\u2212\uff1d", max_size=12))
@example(";'=")
@example("';=")
@example(";''=x")
def test_whatever_the_text_no_piece_runs_and_it_comes_back(text):
    cell = guard(text)
    assert unguard(cell) == text
    for mark in MARKS:
        assert not any(map(runs, cell.split(mark)))


@pytest.mark.parametrize("text", ["better; pain -2", "9-16, Sat 9-12", "a=b; c", "1,5 mL"])
def test_ordinary_words_stay_as_they_are(text):
    assert guard(text) == text


@pytest.mark.parametrize("item", ["x;=1+1", "=1+1", "x\t@sum", 'x;"=1', "x, +1"])
def test_a_list_in_a_cell_is_guarded_too_and_stays_a_list_to_any_json_reader(item):
    field = Field("texts", "texts")
    cell = write_cell(["usual", item], field, True)
    for mark in ";\t|":
        assert not any(map(runs, cell.split(mark)))
    assert json.loads(cell) == read_cell(cell, field) == ["usual", item]


@pytest.mark.parametrize("delimiter", ";\t|")
def test_a_whole_table_divided_otherwise_holds_no_formula_and_comes_back(delimiter):
    evil = ["x;=1+1", "x\n=1+1", 'x"y";=1', "x\t@sum", 'a;"=1+1', "x,\n;\t'=1", "x|=1"]
    with Record.open(MemoryFiles(), clock=lambda: NOW) as record:
        for text in evil:
            worries = ["usual", text]
            record.add("check-in", NOW, "", {"stiffness": 3, "note": text, "worries": worries})
        data = write_table(record.alive, "check-in")
        text = data.decode("utf-8-sig")
        for row in csv.reader(io.StringIO(text, newline=""), delimiter=delimiter):
            assert not any(map(runs, row))
        for line in text.splitlines():
            assert not any(map(runs, line.split(delimiter)))
        held = {one.id: one for one in record.entries}
        found = finish(
            table_steps(data, held, set(held), zone=NOW.tzinfo, now=NOW, make_id=lambda: "n")
        )
        assert found.entries == record.alive
