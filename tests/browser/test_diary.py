"""The diary in a real browser: a check-in in three taps, a warning to the call in two more."""

import json
import time

import pytest

from pocketpump.record import DiskFiles, Record

ZONE = "Europe/Amsterdam"
# Numbers kept free for fiction (Ofcom), and 112, the common number of the European Union.
CLINIC, EMERGENCY = "+44 20 7946 0112", "112"


@pytest.fixture(scope="module")
def demo(start_server) -> str:
    return start_server("pocketpump", "demo", "--no-browser", "--zone", ZONE).url


def note_own(folder) -> None:
    """Note what every record here has: a pump, a refill, a setting, two numbers to call."""
    from datetime import UTC, datetime, timedelta

    at = datetime.now(UTC) - timedelta(days=20)
    with Record.open(DiskFiles(folder)) as record:
        record.add("pump", at, ZONE, {"reservoir_ml": 20.0, "alarm_volume_ml": 2.0})
        record.add("refill", at, ZONE, {"filled_ml": 20.0, "strength_mcg_per_ml": 500.0})
        programme = {"days": [[[0, 8.0]]], "clock_offset_minutes": 0}
        record.add("programme", at, ZONE, {"programme": programme})
        record.add("contact", at, ZONE, {"name": "Emergency", "role": "local emergency number",
                                         "phone": EMERGENCY, "emergency": True})  # fmt: skip
        record.add("contact", at, ZONE, {"name": "Pump clinic", "role": "pump clinic",
                                         "phone": CLINIC, "emergency": True})  # fmt: skip


@pytest.fixture
def own(start_server, tmp_path):
    """An app on a record of its own."""
    note_own(tmp_path / "record")
    return start_server("pocketpump", "--no-browser", "--zone", ZONE, record=tmp_path / "record")


def kept(server, kind: str) -> list[dict]:
    """The payloads of ``kind`` on the disk, whatever the app has in memory."""
    server.process.kill()
    server.process.wait(10)
    with Record.open(DiskFiles(server.record)) as record:
        return [json.loads(json.dumps(e.payload)) for e in record.alive if e.kind == kind]


def test_a_check_in_takes_three_taps_and_can_be_undone(phone, own):
    phone.open(own.url).see("refill-by")
    phone.tap("How is it now?").tap("6").tap("Save")
    phone.see("The check-in is saved.").screenshot("check-in-saved")
    phone.tap("Undo").see("That was taken back.")
    phone.tap("How is it now?").tap("3").tap("Save").see("The check-in is saved.")
    assert phone.foreign == []
    assert kept(own, "check-in") == [{"stiffness": 3}]


def test_saving_without_a_number_says_what_is_missing(phone, own):
    phone.open(own.url + "#/check-in").see("Stiffness now").tap("Save")
    phone.see("Tap a number for stiffness.").see("Nothing was saved yet")
    phone.look_again().tap("0").miss("Nothing was saved yet").tap("Save").see(
        "The check-in is saved."
    )
    assert kept(own, "check-in") == [{"stiffness": 0}]


@pytest.mark.thorough
def test_a_back_dated_check_in_with_everything(new_hand, own):
    phone = new_hand((390, 3400))  # the whole form in sight, so that no tap has to scroll
    phone.open(own.url + "#/check-in").see("Stiffness now").tap("7").tap("Add more")
    phone.see("Pain").tap("Earlier").tap("One day earlier: Day")
    phone.tap("Constipation").tap("Yes").type_into("Note", "A long day.")
    phone.tap("Save the check-in").see("The check-in is saved.")
    phone.tap("Diary").tap("All check-ins and notes").see("A long day.").see("constipation")
    assert kept(own, "check-in") == [
        {"stiffness": 7, "side_effects": ["constipation"], "tablets_as_planned": True,
         "note": "A long day."}
    ]  # fmt: skip


@pytest.mark.parametrize("way", ["#/contacts", "#/card"])
def test_the_demo_dials_nothing_and_says_so(phone, demo, way):
    phone.page.add_init_script("window.dialled = []; window.open = url => window.dialled.push(url)")
    phone.open(demo + way).see("Pump clinic")
    phone.tap("Pump clinic" if way == "#/card" else "Call Pump clinic")
    phone.see("The demo dials nothing.").screenshot("demo-dials-nothing")
    assert phone.page.evaluate("window.dialled") == []


def test_from_the_check_in_two_taps_lead_to_the_number_to_call(phone, own):
    phone.page.add_init_script("window.dialled = []; window.open = url => window.dialled.push(url)")
    phone.open(own.url + "#/check-in").see("Stiffness now")
    phone.tap("Something worries me").tap("Stiffness, skin, pulse").tap("Itching without a rash")
    phone.see("Call the pump clinic today.").see("too little baclofen").screenshot("signs-today")
    phone.tap("Call Pump clinic")
    phone.until(lambda: phone.page.evaluate("window.dialled"), "the number to be dialled")
    assert phone.page.evaluate("window.dialled") == ["tel:+442079460112"]
    phone.tap("More spasms").tap("Racing pulse")
    phone.see("This is an emergency. Call now.").screenshot("signs-emergency")
    assert EMERGENCY in phone.find("Call ").inner_text()
    phone.tap("Save this with a check-in").see("You ticked: Itching without a rash")
    phone.tap("8").tap("Save").see("The check-in is saved.")
    assert kept(own, "check-in") == [
        {"stiffness": 8, "worries": ["itch", "more spasms", "fast pulse"]}
    ]


def test_a_scan_leaves_a_question_open_until_it_is_answered(phone, own):
    phone.open(own.url + "#/happening").see("What happened?").tap("Scan").tap("Save the note")
    phone.see("The note is saved.").tap("Today")
    phone.see("Was the pump checked after the scan?").tap("Answer this")
    phone.see("Was the pump checked after the scan?").tap("Yes").tap("Save the note")
    phone.see("The note is corrected.").tap("Today").miss("Was the pump checked")


def test_a_number_to_call_is_set_and_a_wrong_one_refused(phone, start_server):
    server = start_server("pocketpump", "--no-browser", "--zone", ZONE)
    phone.open(server.url + "#/contacts").see("Whom to call").tap("Set the pump clinic")
    phone.type_into("Name", "Clinic").type_into("Telephone", "ask Anna").tap("Save the number")
    phone.see("Write a telephone number")
    # The client takes a moment to open a box; keys sent within it are lost, a person's are not.
    phone.field("Telephone").click()
    phone.page.wait_for_timeout(500)
    phone.type_into("Telephone", CLINIC).tap("Save the number")
    phone.see("Clinic: the number is saved.").see(CLINIC)


def test_the_diary_of_the_demo_says_what_the_changes_did(phone, demo):
    phone.open(demo + "#/diary").see("What it says").see("Hours of the day")
    phone.screenshot("diary").tap("4 weeks").tap("All").see("Chart from")
    phone.tap("After each dose change").see("the change of").tap("How was this worked out?")
    phone.see("van Elteren").see("not that the change was the cause")
    phone.screenshot("changes")


def test_measures_show_their_milestones(phone, demo):
    phone.open(demo + "#/measures").see("Timed walk of 10 m").see("Goal reached")
    phone.tap("Note a measure").tap("Time standing").type_into("Value", "10.5")
    phone.tap("Save the measure").see("The measure is saved.").see("10.5 min")
    phone.screenshot("measures")


def test_every_target_of_the_check_in_and_the_signs_is_large_and_apart(new_hand, demo):
    phone = new_hand((390, 2400))  # nothing lies half under what is pinned
    for route, see in (("check-in", "Stiffness now"), ("signs", "Any of these?")):
        phone.open(demo + f"#/{route}").see(see)
        time.sleep(1)
        boxes = [b.bounding_box() for b in phone.page.get_by_role("button").all()]
        boxes = [b for b in boxes if b and b["width"]]
        assert len(boxes) > 5
        for box in boxes:
            assert min(box["width"], box["height"]) >= 55.5, box


def test_a_sudden_change_is_told_calmly_on_today_and_leads_to_the_warning_signs(
    phone, start_server, tmp_path
):
    from datetime import UTC, datetime, timedelta

    folder, now = tmp_path / "record", datetime.now(UTC)
    note_own(folder)
    with Record.open(DiskFiles(folder)) as record:
        for day in range(1, 20):
            at = now - timedelta(days=day)
            record.add("check-in", at, ZONE, {"stiffness": 6 + day % 2})
        record.add("check-in", now, ZONE, {"stiffness": 1})
    server = start_server("pocketpump", "--no-browser", "--zone", ZONE, record=folder)
    phone.open(server.url).see("Today's stiffness of 1 is well below what is usual for you")
    phone.see("This can be chance.").miss("Please check").screenshot("sudden")
    phone.tap("Look at the warning signs").see("Call Pump clinic")
    phone.open(server.url + "#/diary").see("Slow drift of stiffness").screenshot("diary-sudden")
