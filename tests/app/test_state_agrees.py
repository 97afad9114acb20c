"""The command line says what Today says, of every way a visit can be noted, moved or missed."""

import json
from datetime import UTC, datetime

import pytest
from screen_hand import PagelessApp, controls_in, texts

from pocketpump.app.screens.today.today import today
from pocketpump.cli import main
from pocketpump.core.pump.programme import stopped
from pocketpump.core.pump.programme_payload import programme_to_payload
from pocketpump.record import DiskFiles, Record

FILLED = datetime(2026, 1, 12, 9, tzinfo=UTC)
# A pump whose first window is 14.5 % to both sides.
PUMP = {"reservoir_ml": 20.0, "alarm_volume_ml": 2.0, "tolerance_percent": 8.8}
REFILL = {"filled_ml": 20.0, "strength_mcg_per_ml": 500.0}
PATTERN = {"programme": {"days": [[[0, 200 / 24]]]}}
STOPPED = {"programme": programme_to_payload(stopped())}
MISSED = ("happening", "2026-02-05T10:00", {"what": "missed refill"})


def visit(said: str, on: str, **more) -> tuple[str, str, dict]:
    return ("visit", said, {"visit_on": on, **more})


def refill(at: str, **more) -> tuple[str, str, dict]:
    return ("refill", at, {**REFILL, **more})


# E14 (derived): filled 2026-01-12; call by 02-05, refill by 02-19, window from 02-21, alarm 02-26.
CASES = {
    "nothing booked": ("2026-02-06", [], "call"),
    "booked with the refill": ("2026-02-06", [refill("2026-01-12T10:00",
                                                    next_visit_on="2026-02-16")], "calm"),
    "booked by telephone": ("2026-02-06", [visit("2026-01-20T10:00", "2026-02-16")], "calm"),
    "booked for today": ("2026-02-16", [visit("2026-01-20T10:00", "2026-02-16")], "calm"),
    "booked for the last day": ("2026-02-19", [visit("2026-01-20T10:00", "2026-02-19")], "due"),
    "booked too late": ("2026-02-06", [visit("2026-01-20T10:00", "2026-02-20")], "late-visit"),
    "moved to a day too late": (
        "2026-02-06",
        [visit("2026-01-20T10:00", "2026-02-16"), visit("2026-02-01T10:00", "2026-02-23")],
        "late-visit",
    ),
    "moved to a day in time": (
        "2026-02-06",
        [refill("2026-01-12T10:00", next_visit_on="2026-02-23"),
         visit("2026-02-01T10:00", "2026-02-16")],
        "calm",
    ),
    "cancelled": (
        "2026-02-06",
        [refill("2026-01-12T10:00", next_visit_on="2026-02-16"),
         visit("2026-02-01T10:00", "2026-02-16", cancelled=True)],
        "call",
    ),
    "past and no refill": ("2026-02-17", [visit("2026-01-20T10:00", "2026-02-16")], "call"),
    "said before the refill": (
        "2026-02-10",
        [visit("2026-01-12T08:00", "2026-01-20"), visit("2026-01-11T08:00", "2026-02-16")],
        "call",
    ),
    "dated ahead": ("2026-02-06", [visit("2026-03-20T10:00", "2026-02-16")], "call"),
    "a refill dated ahead": (
        "2026-02-06",
        [visit("2026-01-20T10:00", "2026-02-16"), refill("2026-08-01T10:00")],
        "calm",
    ),
    "missed, booked before": ("2026-02-06", [visit("2026-01-20T10:00", "2026-02-16"), MISSED],
                              "missed"),
    "missed, booked again": ("2026-02-06", [MISSED, visit("2026-02-05T11:00", "2026-02-16")],
                             "calm"),
    "missed, booked again, past": (
        "2026-02-17", [MISSED, visit("2026-02-05T11:00", "2026-02-16")], "missed"
    ),
    "missed, booked again too late": (
        "2026-02-06", [MISSED, visit("2026-02-05T11:00", "2026-02-20")], "missed"
    ),
    "missed, booked again, cancelled": (
        "2026-02-06",
        [MISSED, visit("2026-02-05T11:00", "2026-02-16"),
         visit("2026-02-06T08:00", "2026-02-16", cancelled=True)],
        "missed",
    ),
    "missed and made up for": ("2026-02-06", [MISSED, refill("2026-02-06T08:00")], "calm"),
    "overdue": ("2026-02-20", [visit("2026-01-20T10:00", "2026-02-23")], "overdue"),
    "alarm": ("2026-02-27", [visit("2026-01-20T10:00", "2026-02-16")], "alarm"),
    "stopped": ("2026-02-06", [("programme", "2026-02-01T10:00", STOPPED)], "stopped"),
    "an urgent alarm": (
        "2026-02-06",
        [visit("2026-01-20T10:00", "2026-02-16"),
         ("happening", "2026-02-06T08:00", {"what": "urgent alarm heard"})],
        "urgent-alarm",
    ),
}  # fmt: skip


@pytest.mark.parametrize("zone", ["UTC", "Pacific/Kiritimati", "America/Adak"])
@pytest.mark.parametrize("case", CASES)
def test_the_command_line_says_what_today_says(capsys, tmp_path, case, zone):
    day, entries, expected = CASES[case]
    now = datetime.fromisoformat(f"{day}T12:00+00:00")
    clock = [FILLED]
    folder = tmp_path / "record"
    with Record.open(DiskFiles(folder), clock=lambda: clock[0]) as record:
        record.add("pump", FILLED, "UTC", PUMP)
        record.add("programme", FILLED, "UTC", PATTERN)
        record.add("refill", FILLED, "UTC", REFILL)
        for kind, at, payload in sorted(entries, key=lambda one: one[1]):
            clock[0] = datetime.fromisoformat(f"{at}+00:00")
            record.add(kind, clock[0], "UTC", payload)
        app = PagelessApp(now, zone)
        app.services.record.import_entries(record.entries)
    asked = ["dates", "--record", str(folder), "--zone", zone, "--json"]
    assert main(asked, clock=lambda: now) == 0
    told = json.loads(capsys.readouterr().out)
    drawn = today(app)
    box = next(c for c in controls_in(drawn) if str(c.key or "").startswith("state:"))
    assert box.key == f"state:{told['state']}"
    assert told["sentence"] in texts([box])
    if zone == "UTC":
        assert told["state"] == expected
    # The reminders, too: a booked visit in time is named, and nobody is asked to call for it.
    assert main(["calendar", "--record", str(folder), "--zone", zone, "--json", "--out",
                 str(tmp_path / "dates.ics")], clock=lambda: now) == 0  # fmt: skip
    codes = {one["code"] for one in json.loads(capsys.readouterr().out)["reminders"]}
    shown = set(texts(drawn))
    assert ("call-by" in codes) == ("Call the clinic by" in shown)
    assert ("next-visit" in codes) == ("Visit at the clinic" in shown)
