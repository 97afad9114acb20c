"""A whole visit typed in one go on a phone, with a wrong strength planted."""

from datetime import UTC, date, datetime, timedelta

from pocketpump.core.programme_text import parse_setting, programme_to_payload
from pocketpump.record import DiskFiles, Record

ZONE = "Europe/Amsterdam"


def begun_record(folder) -> date:
    """A pump of 20 mL at 500 mcg/mL and 200 mcg/day, filled 40 days ago: 4 mL are left now."""
    filled = datetime.now(UTC) - timedelta(days=40)
    programme = programme_to_payload(parse_setting("200 mcg/day"))
    with Record.open(DiskFiles(folder)) as record:
        record.add("pump", filled, ZONE, {"reservoir_ml": 20.0, "alarm_volume_ml": 2.0})
        record.add("programme", filled, ZONE, {"programme": programme})
        record.add("refill", filled, ZONE, {"filled_ml": 20.0, "strength_mcg_per_ml": 500.0})
    return date.today()  # noqa: DTZ011 the device's own day


def test_a_whole_visit_with_a_wrong_strength_is_caught_before_it_is_saved(
    phone, start_server, tmp_path
):
    folder = tmp_path / "record"
    today = begun_record(folder)
    server = start_server("pocketpump", "--no-browser", "--zone", ZONE, record=folder)
    phone.open(server.url).see("refill-by").tap("Log a refill").see("A refill")
    phone.type_into("Expected volume", "4").type_into("Withdrawn volume", "4.3")
    phone.see("within the usual limits")
    phone.tap("Yes, a new setting").type_into("Daily dose", "220")
    phone.type_into("Strength", "1000")  # the clinic filled 500, as before
    # 20 mL at 500, 220 mcg/day, alarm at 2 mL: 18 / 0.44 = 40.9 days (derived).
    printed = today + timedelta(days=40)
    phone.type_into("Clinic's alarm date", printed.isoformat())
    phone.see("Ask the clinic which is right")
    phone.see("If the strength were 500 mcg/mL and not 1000 mcg/mL")
    phone.screenshot("visit-wrong-strength")

    # What is typed survives a closed browser: the draft is kept.
    phone.open(server.url).tap("Log a refill").see("Less: Strength, now 1000")
    phone.type_into("Strength", "500").see("agrees with the computed one")
    phone.miss("If the strength were")
    phone.type_into("Next visit", (today + timedelta(days=33)).isoformat())
    phone.tap("Save the refill").see("The refill is saved.").see("220 mcg/day")
    phone.tap("Undo").see("That was taken back.").see("200 mcg/day")
