"""A time of day is read alike at every door: forms, command line, patterns, boluses, tables."""

from datetime import UTC, datetime, time

import pytest

from pocketpump.app.screens.pump.bolus_fields import _timed
from pocketpump.core.errors import InputError
from pocketpump.core.pump.programme_text import parse_pattern, parse_setting, parse_timed_bolus
from pocketpump.core.safety.opening_hours import read_hours
from pocketpump.core.units.typed_dates import read_said_time, read_time
from pocketpump.exchange.tables.cells import read_cell
from pocketpump.exchange.tables.spreadsheet import Columns, read_sheet, refill_steps
from pocketpump.exchange.tables.tables import finish
from pocketpump.record.entry.kinds import Field

NOW = datetime(2026, 3, 2, 9, tzinfo=UTC)
SAID = {
    "06:30": time(6, 30),
    "6:30": time(6, 30),
    "6.30 Uhr": time(6, 30),
    "06:30 Uhr": time(6, 30),
    "6 Uhr": time(6),
    "6Uhr": time(6),
    "18 uhr": time(18),
    "0 Uhr": time(0),
    "6am": time(6),
    "8 pm": time(20),
    "8 PM": time(20),
    "8\u202fpm": time(20),
    "8:15 p.m.": time(20, 15),
    "8:15 a. m.": time(8, 15),
    "12 am": time(0),
    "12 pm": time(12),
    "14:30 Uhr": time(14, 30),
    "14h30": time(14, 30),
    "9.05": time(9, 5),
}
"""What everybody may write."""
NOT_SAID = ("8", "08", "0830", "8 30", "0.25", "24:00", "25 Uhr", "13 pm", "0 am", "8 Uhr pm",
            "6:7", "6:60", "8m", "8:30 m", "8.", "pm", "Uhr", "\uff18:30", "8 h", "-8:00",
            "noon")  # fmt: skip
"""What could be an amount, a number of times or a part of a day, or is no time."""


def minutes(clock: time) -> int:
    return clock.hour * 60 + clock.minute


@pytest.mark.parametrize(("text", "clock"), SAID.items())
def test_one_reading_at_every_door(text, clock):
    assert read_time(text) == clock
    assert parse_timed_bolus(f"45 mcg at {text}").start_minutes == (minutes(clock),)
    assert _timed(text).start_minutes == (minutes(clock),)
    for read in (parse_pattern, parse_setting):
        if read is parse_setting and text in ("14h30", "9.05"):
            continue  # there it could be a dose
        starts = {s.start_minute for s in read(f"{text} 10,5 mcg/h, 23:59 8 mcg/h").days[0]}
        assert starts == {0, minutes(clock), 1439}
    assert read_cell(text, Field("visit_time", "time")) == f"{clock:%H:%M}"
    assert from_a_spreadsheet(text).time() == clock


@pytest.mark.parametrize("text", NOT_SAID)
def test_what_is_ambiguous_or_none_is_refused_beside_amounts_and_in_tables(text):
    with pytest.raises(InputError):
        parse_timed_bolus(f"45 mcg at {text}")
    with pytest.raises(InputError):
        parse_pattern(f"{text} 10 mcg/h")
    with pytest.raises(InputError):
        read_cell(text, Field("visit_time", "time"))
    with pytest.raises(InputError):
        from_a_spreadsheet(text)


@pytest.mark.parametrize(("text", "clock"), [("8", 8), ("0830", 8.5), ("8 30", 8.5)])
def test_a_box_that_asks_for_a_time_alone_takes_digits_alone(text, clock):
    assert minutes(read_time(text)) == clock * 60


@pytest.mark.parametrize("text", ["8m", "8:30 m", "8.", "13 pm", "0 am"])
def test_no_box_takes_what_is_no_time(text):
    with pytest.raises(InputError):
        read_time(text)


def test_digits_alone_beside_a_bolus_are_how_many_a_day():
    assert _timed("4").per_day == 4
    assert _timed("4").start_minutes == ()
    with pytest.raises(InputError, match="not a time of day"):
        _timed("8, 20")
    with pytest.raises(InputError, match="not a time of day"):
        _timed("8 and 8 pm")


@pytest.mark.parametrize(
    "text",
    ["6 Uhr 10 mcg/h, 22 Uhr 8,5 mcg/h", "6am 10 mcg/h,10 pm 8.5 mcg/h", "6 Uhr 10 mcg/h,22 Uhr 8,5"
     " mcg/h", "Mo-So: 6 Uhr 10 µg/Std., 22 Uhr 8,5 µg/Std."],
)  # fmt: skip
def test_a_whole_pattern_in_such_times(text):
    assert parse_setting(text) == parse_setting("06:00 10 mcg/h, 22:00 8.5 mcg/h")


def test_a_rate_is_never_taken_for_minutes():
    assert parse_pattern("6 Uhr 30 mcg/h") == parse_pattern("06:00 30 mcg/h")
    for text in ("6 Uhr 30 10 mcg/h", "6 30 mcg/h", "6 30 10 mcg/h"):
        with pytest.raises(InputError):
            parse_pattern(text)


@pytest.mark.parametrize("text", ["14:30:00", "2:30:00 PM", "14:30:59"])
def test_seconds_that_a_spreadsheet_adds_are_left_out(text):
    assert read_cell(text, Field("visit_time", "time")) == "14:30"
    assert from_a_spreadsheet(text).time() == time(14, 30)


def from_a_spreadsheet(text: str) -> datetime:
    sheet = read_sheet(f"When;Time;In;Conc\n2026-01-12;{text};20;500\n".encode())
    of = {"day": 0, "time": 1, "filled_ml": 2, "strength_mcg_per_ml": 3}
    columns = Columns(of, "year first", "mcg/mL")
    found = finish(
        refill_steps(sheet, columns, (), zone=UTC, zone_name="UTC", now=NOW, make_id=lambda: "n")
    )
    if found.problems:
        raise InputError(found.problems[0].sentence)
    return found.entries[0].at


@pytest.mark.parametrize("blank", [" ", "\n", "\u00a0"])
def test_a_text_of_blanks_is_read_once_only(blank):
    # Each would take minutes if what follows the blanks were looked for again from every one.
    text = f"1{blank * 200_000}!"
    for read in (read_said_time, read_time, parse_pattern, parse_setting, parse_timed_bolus):
        with pytest.raises(InputError):
            read(text)
    assert read_hours(text) is None
