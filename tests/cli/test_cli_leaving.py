"""The commands that write files: calendar and sheet."""

import json
import os
from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path

import pytest
from icalendar import Calendar
from pypdf import PdfReader

from pocketpump.cli import main
from pocketpump.record import DiskFiles, Record

NOW = datetime(2026, 1, 20, 9, tzinfo=UTC)
FILLED = datetime(2026, 1, 12, 9, tzinfo=UTC)


@pytest.fixture
def record(tmp_path) -> str:
    """E14 (derived): alarm 2026-02-26."""
    folder = tmp_path / "record"
    with Record.open(DiskFiles(folder), clock=lambda: NOW) as kept:
        kept.add("pump", FILLED, "UTC", {"reservoir_ml": 20.0, "alarm_volume_ml": 2.0})
        kept.add("refill", FILLED, "UTC", {"filled_ml": 20.0, "strength_mcg_per_ml": 500.0})
        kept.add("programme", FILLED, "UTC", {"programme": {"days": [[[0, 200 / 24]]]}})
    return str(folder)


def run(capsys, *arguments: str) -> tuple[int, str, str]:
    status = main(arguments, clock=lambda: NOW)
    captured = capsys.readouterr()
    return status, captured.out, captured.err


def test_calendar_writes_the_dates_and_names_them_in_json(capsys, tmp_path, record):
    out = tmp_path / "dates.ics"
    status, printed, _ = run(
        capsys, "calendar", "--record", record, "--zone", "UTC", "--out", str(out), "--json"
    )
    assert status == 0
    told = {one["code"]: one["on"] for one in json.loads(printed)["reminders"]}
    assert told["alarm"] == "2026-02-26"
    days = [event["DTSTART"].dt for event in Calendar.from_ical(out.read_text()).walk("VEVENT")]
    assert sorted(day.isoformat() for day in days) == sorted(told.values())


@pytest.mark.parametrize(("option", "named"), [("--private", False), ("--full-titles", True)])
def test_calendar_titles_are_as_asked_for(capsys, tmp_path, record, option, named):
    out = tmp_path / "dates.ics"
    assert run(capsys, "calendar", "--record", record, "--out", str(out), option)[0] == 0
    assert ("SUMMARY:Refill by" in out.read_text()) is named


def test_calendar_and_sheet_tell_the_visit_that_was_booked_by_telephone(capsys, tmp_path, record):
    payload = {"visit_on": "2026-02-16", "visit_time": "10:30", "place": "Pump clinic"}
    with Record.open(DiskFiles(Path(record)), clock=lambda: NOW) as kept:
        kept.add("visit", NOW, "UTC", payload)
    out = tmp_path / "dates.ics"
    run(capsys, "calendar", "--record", record, "--zone", "UTC", "--out", str(out), "--full-titles")
    events = {str(e["SUMMARY"]): e for e in Calendar.from_ical(out.read_text()).walk("VEVENT")}
    assert "Call the clinic" not in events
    visit = events["Visit at the clinic"]
    assert visit["DTSTART"].dt.isoformat() == "2026-02-16"
    assert "At 10:30. Place: Pump clinic." in str(visit["DESCRIPTION"])
    # The plain file, which a stranger may read, says no place.
    run(capsys, "calendar", "--record", record, "--zone", "UTC", "--out", str(out), "--private",
        "--replace")  # fmt: skip
    assert "Pump clinic" not in out.read_text()
    page = tmp_path / "sheet.html"
    run(capsys, "sheet", "--record", record, "--zone", "UTC", "--out", str(page))
    assert "Mon 16 Feb 2026, 10:30, Pump clinic" in page.read_text()


def test_sheet_writes_pdf_and_page(capsys, tmp_path, record):
    for name in ("sheet.pdf", "sheet.html"):
        status, printed, err = run(
            capsys, "sheet", "--record", record, "--zone", "UTC", "--out", str(tmp_path / name),
            "--since", "2026-01-01",
        )  # fmt: skip
        assert (status, err) == (0, "")
        assert name in printed
    content = (tmp_path / "sheet.pdf").read_bytes()
    assert "Thu 26 Feb 2026" in PdfReader(BytesIO(content)).pages[0].extract_text()
    assert "since Thu 1 Jan 2026" in (tmp_path / "sheet.html").read_text()


@pytest.mark.parametrize(("paper", "points"), [("a4", (595, 842)), ("Letter", (612, 792))])
def test_the_sheet_is_of_the_paper_asked_for(capsys, tmp_path, record, paper, points):
    path = tmp_path / "sheet.pdf"
    assert run(capsys, "sheet", "--record", record, "--out", str(path), "--paper", paper)[0] == 0
    box = PdfReader(path).pages[0].mediabox
    assert (round(float(box.width)), round(float(box.height))) == points


def test_the_sheet_names_the_person_only_where_that_is_asked_for(capsys, tmp_path, record):
    with Record.open(DiskFiles(Path(record)), clock=lambda: NOW) as kept:
        kept.add("care", NOW, "UTC", {"name": "Mara Holm"})
    for option in ([], ["--named"]):
        path = tmp_path / f"{len(option)}.html"
        run(capsys, "sheet", "--record", record, "--out", str(path), *option)
        assert ("Mara Holm" in path.read_text()) is bool(option)


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["calendar", "--out", "x.ics", "--record", "/nowhere/at/all"], "There is no record at"),
        (["calendar"], "--out"),
        (["sheet", "--out", "sheet.docx"], "end --out in .pdf or .html"),
        (["sheet", "--out", "s.pdf", "--paper", "a3"], "is no paper size: write a4 or letter"),
        (["sheet", "--out", "s.pdf", "--since", "tomorrow"], "is not a date"),
        (["sheet", "--out", "s.pdf", "--since", "2026-01-21"], "cannot begin after today"),
        (["sheet", "--out", "/nowhere/at/all/s.pdf"], "could not be written"),
    ],
)
def test_an_error_is_one_sentence_and_writes_nothing(
    capsys, tmp_path, monkeypatch, record, arguments, told
):
    monkeypatch.chdir(tmp_path)
    before = sorted(tmp_path.iterdir())
    monkeypatch.setenv("POCKETPUMP_RECORD", record)
    status, out, err = run(capsys, *arguments)
    assert (status, out) == (2, "")
    assert told in err
    assert err.count("\n") == 1
    assert sorted(tmp_path.iterdir()) == before


@pytest.mark.parametrize(
    ("command", "name"), [("sheet", "s.pdf"), ("card", "c.pdf"), ("calendar", "d.ics")]
)
def test_no_page_overwrites_a_file_and_each_is_its_owners(
    capsys, tmp_path, record, command, name
):  # fmt: skip
    path = tmp_path / name
    order = (command, "--record", record, "--out", str(path))
    path.write_text("mine")
    status, printed, err = run(capsys, *order)
    assert (status, printed) == (2, "")
    assert "exists already" in err
    assert path.read_text() == "mine"
    if command == "calendar":
        assert run(capsys, *order, "--replace")[0] == 0
    else:
        path.unlink()
        assert run(capsys, *order)[0] == 0
    assert len(path.read_bytes()) > 100
    if os.name == "posix":
        assert path.stat().st_mode & 0o777 == 0o600
