"""A whole visit typed in one go on a phone, with a wrong strength planted."""

from datetime import UTC, date, datetime, timedelta
from math import ceil

from pocketpump.core.pump.programme_payload import programme_to_payload
from pocketpump.core.pump.programme_text import parse_setting
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


# Keystroke-level model: Card, Moran and Newell, Communications of the ACM 23 (7), 1980,
# pages 396-410. The slowest hand it knows ("worst typist, unfamiliar with keyboard").
KEY_S, POINT_S, THINK_S = 1.20, 1.10, 1.35


class Effort:
    """Drives a hand and adds up what a slow person needs for the same by the model."""

    def __init__(self, hand):
        self.hand, self.seconds = hand, 0.0

    def _reach(self, name, role):
        target = self.hand.find(name, role)
        target.wait_for(state="attached")
        box, height = target.bounding_box(), self.hand.page.viewport_size["height"]
        # One swipe, thought of and pointed at, moves about half a screen.
        away = max(0.0, box["y"] + box["height"] - (height - 80), -box["y"])
        self.seconds += ceil(away / (height / 2)) * (THINK_S + POINT_S)
        self.seconds += THINK_S + POINT_S + KEY_S

    def tap(self, name):
        self._reach(name, "button")
        self.hand.tap(name)
        return self

    def type_into(self, label, text):
        self._reach(label, "textbox")
        self.seconds += len(text) * KEY_S
        self.hand.type_into(label, text)
        return self


def test_the_usual_visit_takes_a_slow_hand_less_than_a_minute(phone, start_server, tmp_path):
    folder = tmp_path / "record"
    begun_record(folder)
    server = start_server("pocketpump", "--no-browser", "--zone", ZONE, record=folder)
    phone.open(server.url).see("refill-by")
    effort = Effort(phone).tap("Log a refill")
    effort.type_into("Expected volume", "4").type_into("Withdrawn volume", "4.3")
    # The first step in the empty box leads to the computed date: the usual printed one.
    effort.tap("One day later: Clinic's alarm date")
    phone.see("agrees with the computed one")
    effort.tap("Save the refill")
    phone.see("The refill is saved.")
    print(f"the usual visit by the keystroke-level model: {effort.seconds:.0f} s")
    assert effort.seconds < 60
