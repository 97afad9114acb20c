"""Tables go out and come back the same, and what was changed in them becomes a correction."""

import csv
import io
import unicodedata
import uuid
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from exchange_helpers import NOW, copies
from hypothesis import given, settings
from hypothesis import strategies as st

from pocketpump.core.errors import InputError
from pocketpump.core.units.instants import zone_named
from pocketpump.core.units.typed_dates import DAY_FIRST, MONTH_FIRST, YEAR_FIRST
from pocketpump.exchange.tables.cells import guard, unguard
from pocketpump.exchange.tables.spreadsheet import (
    Columns,
    find_order,
    guess_columns,
    read_sheet,
    refill_steps,
)
from pocketpump.exchange.tables.tables import (
    TABLES,
    file_name,
    finish,
    read_rows,
    table_steps,
    write_table,
)
from pocketpump.record import MemoryFiles, Record
from pocketpump.record.entry.kinds import KINDS

ROME = zone_named("Europe/Rome")


def ids() -> str:
    return str(uuid.uuid4())


def read(data: bytes, record: Record | None = None):
    held = {entry.id: entry for entry in record.entries} if record else {}
    alive = {entry.id for entry in record.alive} if record else set()
    return finish(
        table_steps(data, held, alive, zone=ROME, now=NOW + timedelta(days=9), make_id=ids)
    )


def cells(data: bytes) -> list[list[str]]:
    return list(csv.reader(io.StringIO(data.decode("utf-8-sig"), newline="")))


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 2**32))
def test_every_table_comes_back_equal_into_an_empty_record(seed):
    record = copies(seed)[0]
    for kind in TABLES:
        wanted = [entry for entry in record.alive if entry.kind == kind]
        incoming = read(write_table(record.alive, kind))
        assert incoming.problems == ()
        assert list(incoming.entries) == wanted
        assert [type(v) for e in incoming.entries for v in e.payload.values()] == [
            type(v) for e in wanted for v in e.payload.values()
        ]


@pytest.mark.parametrize("year", [1900, 2200])
def test_a_table_brings_back_what_was_kept_of_years_that_are_not_counted(year):
    with Record.open(MemoryFiles(), clock=lambda: NOW) as record:
        record.import_entries([replace(record.add("care", NOW, "", {"name": "n"}), id="far",
                               at=NOW.replace(year=year))])  # fmt: skip
        far = write_table([one for one in record.alive if one.id == "far"], "care")
        assert [one.id for one in read(far).entries] == ["far"]
        # What is changed in it, or new, is of our time.
        assert [one.replaces for one in read(far.replace(b",n,", b",m,"), record).entries] == [
            "far"
        ]
        moved = far.replace(str(year).encode(), str(year + 1).encode())
        for data, held in ((moved, record), (far.replace(b"far", b""), None)):
            (problem,) = read(data, held).problems
            assert "is not from 1950 to 2150" in problem.sentence


@settings(max_examples=60, deadline=None)
@given(st.text(max_size=30), st.text(max_size=30))
def test_any_text_comes_back_and_never_runs_as_a_formula(note, drug):
    record = Record.open(MemoryFiles(), clock=lambda: NOW)
    payload = {"filled_ml": 20, "strength_mcg_per_ml": 500, "note": note, "drug": drug}
    try:
        record.add("refill", NOW, "", payload)
    except InputError:
        return
    data = write_table(record.alive, "refill")
    assert read(data).entries == record.alive
    assert not any(map(runs, (cell for row in cells(data) for cell in row)))


@pytest.mark.parametrize(
    "text",
    [
        f"{before}{sign}1"
        for before in (
            "",
            " ",
            "\u00a0",
            "\t",
            "\r",
            "\n",
            "\ufeff",
            "\u200b",
            "\u2800",
            "\x00",
            " \r\n",
        )
        for sign in "=+-@\uff1d\uff0b\uff0d\uff20\u2212\ufe66"
    ],
)
def test_no_blank_or_invisible_mark_hides_a_formula(text):
    assert runs(text)
    assert not runs(guard(text))
    assert unguard(guard(text)) == text


@given(st.text())
def test_a_guarded_text_comes_back_exactly(text):
    assert unguard(guard(text)) == text
    assert not runs(guard(text))


def runs(cell: str) -> bool:
    """Whether a spreadsheet might run a cell, once it has dropped what nobody sees."""
    seen = [c for c in unicodedata.normalize("NFKC", cell)
            if not c.isspace() and c not in "\u2800\u3164"
            and unicodedata.category(c) not in ("Cc", "Cf")]  # fmt: skip
    return cell[:1] in ("\t", "\r", "\n") or "".join(seen)[:1] in tuple("=+-@\u2212")


def test_an_unchanged_table_adds_nothing_where_it_came_from():
    record = copies(5)[0]
    for kind in TABLES:
        incoming = read(write_table(record.alive, kind), record)
        assert record.import_entries(incoming.entries).added == ()


def test_every_amount_has_its_unit_in_the_header():
    units = {"_mcg_per_ml": "(mcg/mL)", "_ml": "(mL)", "_percent": "(%)", "_days": "(days)",
             "_minutes": "(minutes)"}  # fmt: skip
    for kind in TABLES:
        header = cells(write_table((), kind))[0]
        for field in KINDS[kind]:
            for ending, unit in units.items():
                if field.name.endswith(ending):
                    words = field.name.removesuffix(ending).replace("_", " ")
                    assert f"{words} {unit}" in header
                    break


def test_a_changed_row_becomes_a_correction_and_a_new_row_an_entry():
    record = Record.open(MemoryFiles(), clock=lambda: NOW)
    old = record.add("refill", NOW, "", {"filled_ml": 20.0, "strength_mcg_per_ml": 500.0})
    rows = cells(write_table(record.alive, "refill"))
    changed = [cell.replace("20.0", "19,5") for cell in rows[1]]
    new = ["2026-01-12 09:00", "Europe/Rome", "20", "500", *[""] * 8, "refill", "", "", ""]
    bad = ["2026-01-12 09:00", "", "-3", "500", *[""] * 8, "refill", "", "", ""]
    text = io.StringIO(newline="")
    # As a spreadsheet of another country saves it: semicolons, decimal comma, no mark.
    csv.writer(text, delimiter=";").writerows([rows[0], changed, new, bad])
    incoming = read(text.getvalue().encode(), record)
    assert len(incoming.problems) == 1
    assert incoming.problems[0].sentence.startswith("Row 4 was left out.")
    record.import_entries(incoming.entries)
    told = [(e.payload["filled_ml"], e.replaces) for e in record.alive]
    assert told == [(20, None), (19.5, old.id)]
    assert record.alive[0].at == datetime(2026, 1, 12, 8, tzinfo=UTC)


def test_a_new_row_brought_in_twice_is_there_once():
    record = Record.open(MemoryFiles(), clock=lambda: NOW)
    head = cells(write_table((), "refill"))[0]
    row = {head[0]: "2026-01-12 09:00", "filled (mL)": "20", "strength (mcg/mL)": "500",
           "kind": "refill"}  # fmt: skip
    text = io.StringIO(newline="")
    line = [row.get(name, "") for name in head]
    csv.writer(text).writerows([head, line, line])
    for _ in range(2):
        record.import_entries(read(text.getvalue().encode(), record).entries)
    assert [e.payload["filled_ml"] for e in record.alive] == [20]


def test_papers_go_out_by_name_only_and_never_come_back_cut():
    record = Record.open(MemoryFiles(), clock=lambda: NOW)
    scan = {"name": "a.pdf", "media_type": "application/pdf", "data": "QUJD" * 90_000}
    kept = record.add("attachment", NOW, "", scan)
    data = write_table(record.alive, "attachment")
    assert len(data) < 1000
    assert read(data, record).entries == (kept,)
    renamed = read(data.replace(b"a.pdf", b"b.pdf"), record)
    assert [(e.replaces, e.payload["name"], len(e.payload["data"])) for e in renamed.entries] == [
        (kept.id, "b.pdf", 360_000)]  # fmt: skip
    elsewhere = read(data)
    assert elsewhere.entries == ()
    assert "A paper itself is not in a table" in elsewhere.problems[0].sentence


@pytest.mark.parametrize("zone", ['=HYPERLINK("x")', "@SUM(1)", "+1", "\tx"])
def test_a_zone_that_is_none_neither_comes_in_nor_runs_as_a_formula(zone):
    record = Record.open(MemoryFiles(), clock=lambda: NOW)
    entry = record.add("check-in", NOW, "", {"stiffness": 1})
    odd = replace(entry, id="odd", zone=zone)
    assert [p.code for p in record.import_entries([odd]).problems] == ["unfit"]
    assert len(record.entries) == 1
    assert all(not cell.startswith(("=", "+", "-", "@", "\t"))
               for row in cells(write_table([odd], "check-in")) for cell in row)  # fmt: skip


def test_every_table_has_a_name_of_words():
    assert (file_name("care"), file_name("device")) == ("care-details.csv", "device-readings.csv")
    assert len({file_name(kind) for kind in TABLES}) == len(TABLES)


@pytest.mark.parametrize(
    "data", [b"", b"\x00\x01\x02", b"a,b\n1,2\n", b'"open', b"\xff\xfe\x00", b"PK\x03\x04\x00\x00"]
)
def test_what_is_no_table_of_ours_is_told_in_one_sentence(data):
    with pytest.raises(InputError) as caught:
        read(data)
    assert str(caught.value).endswith(".")


# ── past refills from elsewhere ─────────────────────────────────────────────


def past(text: str, held=(), *, order="", unit="", encoding="utf-8", of=None):
    sheet = read_sheet(text.encode(encoding))
    columns = {**guess_columns(sheet), **(of or {})}
    told = Columns(columns, order or find_order(sheet, columns), unit)
    return finish(
        refill_steps(sheet, told, held, zone=ROME, zone_name="Europe/Rome", now=NOW, make_id=ids)
    )


def values(incoming) -> list[tuple]:
    return [
        (e.at.date(), e.payload["filled_ml"], e.payload["strength_mcg_per_ml"],
         e.payload.get("withdrawn_ml")) for e in incoming.entries
    ]  # fmt: skip


def test_units_in_headers_and_cells_are_believed_and_others_asked_for():
    # 10 mg in 5 mL is 2000 mcg/mL (injectable-drugs handbook).
    semicolons = "Date;Filled (ml);Concentration (mg/ml);Residual\n14.3.2024;40;2;3,5\n"
    in_cells = "date,volume,strength,withdrawn\n2024-03-14,40 mL,10 mg/5 mL,3.5 mL\n"
    bare = "date\tvolume\tstrength\twithdrawn\n14/3/2024\t40\t2\t3.5\n"
    wanted = [(date(2024, 3, 14), 40, 2000, 3.5)]
    assert values(past(semicolons)) == wanted
    assert values(past(in_cells)) == wanted
    assert values(past(bare, unit="mg/mL")) == wanted
    assert values(past(bare, encoding="utf-16", unit="mg/mL")) == wanted
    refused = past(bare)
    assert refused.entries == ()
    assert "has no unit" in refused.problems[0].sentence


def test_a_strength_a_thousand_times_too_low_is_asked_about():
    odd = past("date,volume,strength\n2024-03-14,40,2\n", unit="mcg/mL")
    assert [problem.code for problem in odd.problems] == ["low strength"]


@pytest.mark.parametrize(
    ("days", "order"),
    [
        (["2024-03-04", "2024-05-06"], YEAR_FIRST),
        (["4/3/2024", "14/5/2024"], DAY_FIRST),
        (["3/4/2024", "5/14/2024"], MONTH_FIRST),
        (["4 Mar 2024", "6-may-2024"], DAY_FIRST),
        (["3/4/2024", "5/6/2024"], ""),
        (["13/2/2024", "2/13/2024"], ""),  # written in two ways: nothing is settled silently
        (["2024-02-13", "13/2/2024"], ""),
        (["14/5/2024", "unknown", ""], DAY_FIRST),
    ],
)
def test_the_order_of_days_is_found_from_the_whole_column_or_asked_for(days, order):
    sheet = read_sheet(("date,volume,strength\n" + "".join(f"{d},40,500\n" for d in days)).encode())
    assert find_order(sheet, guess_columns(sheet)) == order


def test_an_unclear_order_is_never_guessed():
    text = "date,volume,strength\n3/4/2024,40,500\n"
    with pytest.raises(InputError, match="in which order"):
        past(text, unit="mcg/mL")
    day_first = past(text, order=DAY_FIRST, unit="mcg/mL")
    month_first = past(text, order=MONTH_FIRST, unit="mcg/mL")
    assert [values(one)[0][0] for one in (day_first, month_first)] == [
        date(2024, 4, 3), date(2024, 3, 4)]  # fmt: skip


def test_a_table_read_twice_adds_its_refills_once():
    text = "date,volume,strength\n2024-03-14,40,500\n2024-03-14,40,500\n2024-06-02,40,500\n"
    record = Record.open(MemoryFiles(), clock=lambda: NOW)
    first = past(text, record.alive, unit="mcg/mL")
    record.import_entries(first.entries)
    assert len(record.alive) == 2
    again = past(text, record.alive, unit="mcg/mL")
    assert again.entries == ()
    assert [problem.code for problem in again.problems] == ["already here"] * 3


def test_rows_that_cannot_be_are_left_out_and_told_the_rest_is_taken():
    text = (
        "date,time,volume,strength\n2024-13-14,,40,500\n2030-01-01,,40,500\n2024-01-01,25:00,40,500\n"
        '2024-01-02,9:30,"1,000",500\n2024-01-03,9:30,400,500\n2024-03-31,02:30,40,500\n,,40,500\n'
        "2024-01-04,9:30,40,500\n"
    )
    incoming = past(text, order=YEAR_FIRST, unit="mcg/mL")
    assert len(incoming.problems) == 7
    assert [problem.sentence.split()[1] for problem in incoming.problems] == list("2345678")
    assert [f"{e.at:%d %H:%M}" for e in incoming.entries] == ["04 09:30"]


def test_a_missing_column_is_asked_for():
    with pytest.raises(InputError, match="which column holds the strength"):
        past("date,volume\n2024-03-14,40\n")


@settings(max_examples=200, deadline=None)
@given(st.binary(max_size=200))
def test_any_bytes_give_rows_or_one_sentence(data):
    try:
        rows = read_rows(data)
    except InputError as error:
        assert str(error).endswith(".")
    else:
        assert all(any(cell.strip() for cell in row) for row in rows)


@pytest.mark.parametrize(
    "written",
    ["0001-01-01T00:00:00+00:00", "0001-01-01T00:00:00+14:00", "1900-01-01T00:00:00+14:00",
     "9999-12-31T23:59:59-14:00", "2200-12-31T23:59:59-14:00"],
)  # fmt: skip
def test_a_row_written_at_no_time_of_ours_is_left_out_and_told(written):
    record = Record.open(MemoryFiles(), clock=lambda: NOW)
    entry = record.add("check-in", NOW, "", {"stiffness": 3})
    table = write_table([replace(entry, id="another")], "check-in").decode("utf-8-sig")
    incoming = read(table.replace(NOW.isoformat() + ",another", written + ",another").encode())
    assert incoming.entries == ()
    assert len(incoming.problems) == 1


def test_a_dose_setting_spoilt_in_a_table_corrects_none():
    """A decimal comma in the cell of the rates, as an editor of another language may write it."""
    record = Record.open(MemoryFiles(), clock=lambda: NOW)
    kept = record.add("programme", NOW, "UTC", {"programme": {"days": [[[0, 8.333]]]}})
    table = write_table(record.alive, "programme").decode("utf-8-sig")
    assert table.count("8.333") == 1
    incoming = read(table.replace("8.333", "8,333").encode(), record)
    assert incoming.entries == ()
    assert len(incoming.problems) == 1
    assert list(record.alive) == [kept]
