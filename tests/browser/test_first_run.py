"""The main job in a real browser: from nothing to a countdown, and it is still there."""

import json
import os
import signal
import subprocess
import sys
from datetime import date, timedelta

from pocketpump.core.units.instants import date_text

ZONE = "Europe/Amsterdam"
FILLED_DAYS_AGO = 10


def forecast_of(record) -> dict:
    """The forecast as the command line gives it from the same record."""
    done = subprocess.run(
        [sys.executable, "-m", "pocketpump", "dates", "--record", str(record), "--zone", ZONE,
         "--json"],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    return json.loads(done.stdout)


def stop(server) -> None:
    """Stop the app as a crash would: without a chance to tidy up."""
    os.kill(server.process.pid, signal.SIGKILL)
    server.process.wait(10)


def test_from_nothing_to_a_countdown_that_survives_a_crash_a_correction_and_an_undo(
    phone, start_server
):
    server = start_server("pocketpump", "--no-browser", "--zone", ZONE)
    filled_on = date.today() - timedelta(days=FILLED_DAYS_AGO)  # noqa: DTZ011 the device's own day

    phone.open(server.url).see("Welcome").tap("Begin")
    phone.see("Your pump").tap("Save the pump")
    phone.see("Write the size in mL.").see("Nothing was saved yet")
    phone.type_into("Size of the reservoir", "20").tap("Save the pump")
    phone.see("Your last refill")
    phone.type_into("Day of the refill", filled_on.isoformat())
    phone.type_into("Time", "09:00")
    phone.type_into("Filled volume", "20").type_into("Strength", "0.5 mg/mL")
    # 20 mL, alarm at 2 mL, 0.4 mL/day: 45 days (derived).
    printed = filled_on + timedelta(days=45)
    phone.type_into("Clinic's alarm date", printed.isoformat())
    phone.tap("Save the refill").see("Your dose setting")
    phone.type_into("Daily dose", "200").tap("Since the last refill").tap("Save the dose setting")
    phone.see("refill-by").see(date_text(printed))
    phone.screenshot("first-run-today")

    stop(server)
    told = forecast_of(server.record)
    assert told["alarm_at"][:10] == printed.isoformat()
    assert told["days_to_alarm"] == 45 - FILLED_DAYS_AGO - 1 or (
        told["days_to_alarm"] == 45 - FILLED_DAYS_AGO
    )

    server = start_server("pocketpump", "--no-browser", "--zone", ZONE, record=server.record)
    phone.open(server.url).see(f"{told['days_to_refill_by']}").see(date_text(printed))

    phone.tap("Refills").tap("Correct this refill")
    phone.type_into("Strength", "1000").tap("Save the refill")
    phone.see("The refill is corrected.")
    # Twice the strength at the same dose: twice the days.
    later = filled_on + timedelta(days=90)
    phone.see(date_text(later)).see("The computed alarm date is")
    phone.tap("Undo").see("That was taken back.").see(date_text(printed))
    phone.miss(date_text(later))
    assert phone.foreign == []

    stop(server)
    assert forecast_of(server.record)["alarm_at"][:10] == printed.isoformat()


def test_a_wrong_entry_is_explained_beside_the_field_and_nothing_is_saved(phone, start_server):
    server = start_server("pocketpump", "--no-browser", "--zone", ZONE)
    phone.open(server.url).tap("Begin").see("Your pump")
    # 1000 mL is impossible and refused; 99 mL is only asked about.
    phone.type_into("Size of the reservoir", "1000").tap("Save the pump")
    phone.see("more than 100 mL, which no pump uses")
    phone.type_into("Size of the reservoir", "99").tap("Save the pump")
    phone.see("99 mL is an unusual size").screenshot("odd-size")
    phone.tap("It is right").tap("Save the pump")
    phone.see("Your last refill")
    phone.type_into("Filled volume", "40 mg").type_into("Strength", "1,000")
    phone.tap("Save the refill")
    phone.see('"40 mg" is not a volume: write it like 20 mL.')
    phone.see('"1,000" can be read in two ways')
    phone.type_into("Filled volume", "40").miss('"40 mg" is not a volume')
    phone.type_into("Strength", "50").see("for the screening dose only").screenshot("odd-strength")
    stop(server)
    done = subprocess.run(
        [sys.executable, "-m", "pocketpump", "dates", "--record", str(server.record)],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 2
    assert done.stderr == "There is no refill yet: enter the last one.\n"


def test_the_demo_opens_on_a_whole_story_and_keeps_nothing(desktop, start_server):
    server = start_server("pocketpump", "demo", "--no-browser")
    desktop.open(server.url).see("This is the record of an invented person.")
    desktop.see("refill-by").screenshot("demo-today-desktop")
    desktop.tap("Refills").see("Withdrawn").tap("More").tap("Dose settings").see("day pattern")
    assert list(server.record.iterdir()) == []
