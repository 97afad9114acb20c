"""Forms in a real browser: typed text stays, a save is of its tap, Back never adds an entry."""

import json
from datetime import UTC, datetime

import pytest
from driving import PHONE

from pocketpump.record import DiskFiles, Record

ZONE = "Europe/Berlin"
MORNING, LATER = "2026-03-20T08:00+01:00", "2026-03-20T13:30+01:00"


@pytest.fixture
def own(start_server, tmp_path):
    """An app in German on a record of its own; its clock stands where ``clock`` says."""
    at = datetime(2026, 3, 12, 8, tzinfo=UTC)
    with Record.open(DiskFiles(tmp_path / "record")) as record:
        record.add("pump", at, ZONE, {"reservoir_ml": 20.0, "alarm_volume_ml": 2.0})
        record.add("refill", at, ZONE, {"filled_ml": 20.0, "strength_mcg_per_ml": 500.0})
        programme = {"days": [[[0, 8.0]]], "clock_offset_minutes": 0}
        record.add("programme", at, ZONE, {"programme": programme})
        record.add("preference", at, ZONE, {"name": "language", "value": "de"})
    clock = tmp_path / "clock"
    clock.write_text(MORNING)
    command = ("a_clock_to_set", str(clock), "--no-browser", "--zone", ZONE)
    return start_server(*command, record=tmp_path / "record"), clock


def kept(server, kind: str) -> list:
    server.process.kill()
    server.process.wait(10)
    with Record.open(DiskFiles(server.record)) as record:
        return [e for e in record.alive if e.kind == kind]


def test_a_number_typed_in_german_that_reads_two_ways_stays_and_is_refused(own, new_hand):
    server, _ = own
    hand = new_hand(PHONE)
    hand.open(server.url).turn_to(server.url.split("?")[0] + "#/refill", "Eine Füllung")
    hand.type_into("Konzentration", "1,000")
    hand.tap("Mehr: Konzentration")
    hand.reads("Konzentration", "1,000")
    hand.tap("Füllung speichern").see("Noch nichts gespeichert.").reads("Konzentration", "1,000")
    hand.screenshot("refused-in-german")
    assert len(kept(server, "refill")) == 1


def test_a_check_in_left_open_is_of_its_tap_and_back_corrects_the_newest(own, new_hand):
    server, clock = own
    hand = new_hand(PHONE)
    base = server.url.split("?")[0]
    hand.open(server.url).turn_to(base + "#/check-in", "Wie geht es Ihnen jetzt?")
    hand.tap("3")
    clock.write_text(LATER)
    hand.tap("Speichern").see("gespeichert")
    clock.write_text("2026-03-20T13:31+01:00")
    hand.turn_to(base + "#/log", "Alle")
    hand.tap("Korrigieren").see("Steifheit jetzt")
    address = hand.page.url
    hand.tap("5").tap("Speichern").see("korrigiert")
    hand.page.go_back()
    hand.page.wait_for_timeout(1500)
    hand.screenshot("back-after-a-correction")
    assert hand.page.url == address
    hand.tap("Speichern").see("korrigiert")
    (one,) = kept(server, "check-in")
    assert json.loads(json.dumps(dict(one.payload))) == {"stiffness": 5}
    assert one.at.astimezone(UTC) == datetime(2026, 3, 20, 12, 30, tzinfo=UTC)
