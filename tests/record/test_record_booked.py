"""Which visit is booked: the newest said since the last refill, wherever it was noted."""

from datetime import UTC, date, datetime, time, timedelta
from itertools import permutations

import pytest

from pocketpump.core.errors import InputError
from pocketpump.core.pump.forecast import forecast
from pocketpump.record import MemoryFiles, Record, to_document
from pocketpump.record.facts.booked_visit import booked_visit
from pocketpump.record.facts.card_facts import care_of
from pocketpump.record.facts.circumstances import present_of
from pocketpump.record.facts.situation import newest, situation_of
from pocketpump.record.facts.state import next_turn
from pocketpump.record.journal.tinydb_storage import RecordDB

FILLED = datetime(2026, 1, 12, 9, tzinfo=UTC)
NOW = datetime(2026, 2, 6, 12, tzinfo=UTC)
REFILL = {"filled_ml": 20.0, "strength_mcg_per_ml": 500.0}


class Notes:
    """A record in which each entry is written down when it speaks of, or ``written`` later."""

    def __init__(self) -> None:
        self.clock = FILLED
        self.record = Record.open(MemoryFiles(), clock=lambda: self.clock)

    def refill(self, at: datetime, visit: str = "", written: datetime | None = None) -> str:
        payload = REFILL | ({"next_visit_on": visit} if visit else {})
        return self._add("refill", at, payload, written)

    def visit(self, at: datetime, on: str, written: datetime | None = None, **more) -> str:
        return self._add("visit", at, {"visit_on": on, **more}, written)

    def _add(self, kind: str, at: datetime, payload: dict, written: datetime | None) -> str:
        self.clock = written or at
        return self.record.add(kind, at, "UTC", payload).id

    def day(self, now: datetime = NOW) -> str | None:
        found = booked_visit(self.record.alive, now)
        return found.on.isoformat() if found else None


def later(days: float) -> datetime:
    return FILLED + timedelta(days=days)


def test_a_visit_needs_no_refill_form():
    notes = Notes()
    notes.refill(FILLED)
    assert notes.day() is None
    notes.visit(later(3), "2026-02-16", visit_time="10:30", place="Pump clinic", note="fasting")
    found = booked_visit(notes.record.alive, NOW)
    assert (found.on, found.clock, found.place) == (date(2026, 2, 16), time(10, 30), "Pump clinic")


def test_the_newest_said_counts_whichever_way_it_was_noted():
    notes = Notes()
    notes.refill(FILLED, "2026-02-10")
    assert notes.day() == "2026-02-10"
    notes.visit(later(3), "2026-02-16")
    assert notes.day() == "2026-02-16"
    notes.visit(later(5), "2026-02-13")
    assert notes.day() == "2026-02-13"
    notes.refill(later(10), "2026-05-04")
    assert notes.day() == "2026-05-04"


def test_a_refill_ends_every_visit_said_before_it():
    notes = Notes()
    notes.refill(FILLED)
    notes.visit(later(3), "2026-02-16")
    notes.refill(later(10))
    assert notes.day() is None


def test_a_visit_said_at_the_very_minute_of_the_refill_counts():
    notes = Notes()
    notes.refill(FILLED, "2026-02-10")
    notes.visit(FILLED, "2026-02-16")
    assert notes.day() == "2026-02-16"


def test_of_two_refills_in_one_minute_the_one_that_is_counted_says_the_visit():
    notes = Notes()
    notes.record.add("pump", FILLED, "UTC", {"reservoir_ml": 20.0, "alarm_volume_ml": 2.0})
    notes.refill(FILLED + timedelta(seconds=40), "2026-02-10")
    last = notes.refill(FILLED + timedelta(seconds=5), "2026-02-16", written=later(1))
    situation, _ = situation_of(notes.record.alive, NOW)
    assert situation.fill_at(NOW).id == newest(notes.record.alive, "refill", NOW).id == last
    assert notes.day() == "2026-02-16"


def test_a_visit_said_in_the_minute_of_the_refill_is_said_at_it():
    notes = Notes()
    notes.refill(FILLED + timedelta(seconds=40))
    notes.visit(FILLED + timedelta(seconds=5), "2026-02-16", written=later(0.1))
    assert notes.day() == "2026-02-16"


@pytest.mark.parametrize("said_at_it", ["", "2026-02-10"])
def test_a_visit_said_since_a_refill_outlasts_a_correction_of_its_time_of_day(said_at_it):
    notes = Notes()
    refill = notes.refill(FILLED, said_at_it)
    notes.visit(later(0.1), "2026-02-16")
    payload = notes.record.alive[0].payload
    notes.clock = later(1)
    for hours in (1, 6, 12):  # before the visit was noted, and after it
        at = FILLED + timedelta(hours=hours)
        refill = notes.record.correct(refill, payload, at, "UTC").id
        assert notes.day() == "2026-02-16"
    notes.visit(FILLED + timedelta(hours=3), "2026-02-16", written=later(2), cancelled=True)
    assert notes.day() is None


def test_a_visit_said_earlier_on_the_day_of_a_refill_was_for_that_refill():
    notes = Notes()
    notes.visit(FILLED - timedelta(hours=2), "2026-02-16")
    refill = notes.refill(FILLED, "2026-02-10")
    assert notes.day() == "2026-02-10"
    notes.clock = later(1)
    notes.record.correct(refill, REFILL, FILLED + timedelta(hours=1), "UTC")
    assert notes.day() is None
    # Noted late in the day, with an earlier time: but it was the visit of that very day.
    notes.visit(FILLED - timedelta(hours=1), "2026-01-12", written=later(2))
    assert notes.day() is None


def test_correcting_a_refill_later_does_not_bring_back_the_visit_it_named():
    notes = Notes()
    refill = notes.refill(FILLED, "2026-02-10")
    notes.visit(later(3), "2026-02-16")
    notes.clock = later(5)
    notes.record.correct(refill, {**REFILL, "next_visit_on": "2026-02-10", "filled_ml": 19.0})
    assert notes.day() == "2026-02-16"


def test_a_cancelled_visit_leaves_none_and_not_the_one_said_before():
    notes = Notes()
    notes.refill(FILLED, "2026-02-10")
    visit = notes.visit(later(3), "2026-02-16")
    notes.clock = later(5)
    cancelled = notes.record.correct(
        visit, {"visit_on": "2026-02-16", "cancelled": True}, later(5), "UTC"
    )
    assert notes.day() is None
    notes.record.undo(cancelled.id)
    assert notes.day() == "2026-02-16"
    notes.record.remove(visit)  # never said at all
    assert notes.day() == "2026-02-10"


def test_what_is_dated_ahead_hides_nothing_that_holds_now():
    notes = Notes()
    notes.refill(FILLED, "2026-02-10")
    notes.refill(NOW + timedelta(days=400))
    notes.visit(NOW + timedelta(days=300), "2027-01-01")
    assert notes.day() == "2026-02-10"
    assert notes.day(NOW + timedelta(days=500)) is None


def test_a_visit_that_cannot_be_read_is_told_and_hides_no_other():
    notes = Notes()
    notes.refill(FILLED, "2026-02-10")
    notes.visit(later(3), "2026-02-16")
    kept = [to_document(entry) for entry in notes.record.entries]
    kept[-1]["payload"] = {"visit_on": "soon"}
    files = MemoryFiles()
    with RecordDB(files) as db:
        db.table("entries").insert_multiple(kept)
    with Record.open(files) as record:
        assert booked_visit(record.alive, NOW).on == date(2026, 2, 10)
        told = [problem.sentence for one in record.unread for problem in one.problems]
        assert told == [
            "A visit noted on Thu 15 Jan 2026 cannot be read: note it again, then remove this one."
        ]


@pytest.mark.parametrize(
    ("field", "value"),
    [("visit_on", "16 Feb"), ("visit_on", None), ("visit_time", "25:00"), ("visit_time", "9"),
     ("visit_time", "09:00:00"), ("visit_time", 900), ("cancelled", "no")],
)  # fmt: skip
def test_a_visit_is_written_with_a_day_and_a_time_that_exist(field, value):
    with pytest.raises(InputError) as refused:
        Notes().record.add("visit", FILLED, "UTC", {"visit_on": "2026-02-16", field: value})
    assert refused.value.field == field


def test_the_order_in_which_copies_meet_does_not_matter():
    notes = Notes()
    notes.refill(FILLED, "2026-02-10")
    notes.visit(later(3), "2026-02-16")
    notes.visit(later(3), "2026-02-17", written=later(4))
    entries = notes.record.alive
    assert {booked_visit(order, NOW).on for order in permutations(entries)} == {date(2026, 2, 17)}


def test_the_instants_of_alarm_and_empty_are_the_next_turns():
    notes = Notes()
    notes.record.add("pump", FILLED, "UTC", {"reservoir_ml": 20.0, "alarm_volume_ml": 2.0})
    setting = {"programme": {"days": [[[0, 200 / 24]]]}}
    notes.record.add("programme", FILLED, "UTC", setting)
    notes.refill(FILLED)
    situation, _ = situation_of(notes.record.alive, NOW)
    turns, now = [], NOW
    while (answer := forecast(situation, now, UTC)[0]) and len(turns) < 10:
        turn = next_turn(notes.record.alive, answer)
        if turn is None:
            break
        turns.append(turn)
        now = turn
    # E14 (derived): alarm 45 days after the fill, empty after 50, each at nine in the morning.
    assert datetime(2026, 2, 26, 9, tzinfo=UTC) in turns
    assert datetime(2026, 3, 3, 9, tzinfo=UTC) in turns
    assert turns == sorted(turns)


# One refill noted twice, on two phones.


@pytest.mark.parametrize("hours", [0, 0.4, 2, 8])
@pytest.mark.parametrize("first_knows", [True, False])
def test_the_visit_of_either_note_of_a_refill_stays(hours, first_knows):
    notes = Notes()
    notes.refill(FILLED, "2026-02-10" if first_knows else "")
    again = FILLED + timedelta(hours=hours)
    notes.refill(again, "" if first_knows else "2026-02-10", written=again + timedelta(minutes=1))
    assert notes.day() == "2026-02-10"


def test_of_two_visits_that_notes_of_one_refill_name_the_later_word_counts():
    notes = Notes()
    notes.refill(FILLED, "2026-02-10")
    notes.refill(FILLED + timedelta(hours=2), "2026-02-16")
    assert notes.day() == "2026-02-16"


def test_a_visit_said_between_two_notes_of_a_refill_stays():
    notes = Notes()
    notes.refill(FILLED)
    notes.visit(FILLED + timedelta(hours=3), "2026-02-16")
    notes.refill(FILLED + timedelta(hours=9))
    assert notes.day() == "2026-02-16"


def test_a_refill_of_another_pump_ends_the_visit_of_the_one_before():
    notes = Notes()
    pump = {"reservoir_ml": 20.0, "alarm_volume_ml": 2.0}
    notes.record.add("pump", FILLED - timedelta(days=900), "UTC", {**pump, "serial": "A1"})
    notes.refill(FILLED + timedelta(hours=9), "2026-02-10")
    other = {**pump, "serial": "B2", "implanted_on": "2026-01-13"}
    notes.record.add("pump", FILLED + timedelta(hours=16), "UTC", other)
    notes.refill(FILLED + timedelta(hours=17))
    assert notes.day() is None


def test_what_happened_after_a_refill_is_not_ended_by_another_note_of_it():
    notes = Notes()
    notes.record.add("pump", FILLED, "UTC", {"reservoir_ml": 20.0, "alarm_volume_ml": 2.0})
    notes.refill(FILLED, "2026-02-10")
    alarm = {"what": "urgent alarm heard"}
    notes.record.add("happening", FILLED + timedelta(hours=2), "UTC", alarm)
    now = FILLED + timedelta(hours=10)
    was = present_of(notes.record.alive, None, now)
    assert "urgent alarm" in was
    notes.record.add("refill", FILLED + timedelta(hours=9), "UTC", {**REFILL, "filled_ml": 19.0})
    assert present_of(notes.record.alive, None, now) == was


def test_another_drug_that_one_note_names_stays_on_the_card():
    notes = Notes()
    notes.record.add("refill", FILLED, "UTC", {**REFILL, "drug": "baclofen and another"})
    notes.refill(FILLED + timedelta(hours=1))
    assert care_of(notes.record.alive, NOW).other_drugs == "baclofen and another"


def test_the_visit_that_the_last_note_of_a_refill_names_counts_before_one_said_earlier():
    notes = Notes()
    notes.refill(FILLED)
    notes.visit(later(0.04), "2026-02-16")
    notes.refill(later(0.08), "2026-05-04")
    assert notes.day() == "2026-05-04"


def test_a_visit_said_between_two_notes_for_the_day_of_the_refill_was_for_that_refill():
    notes = Notes()
    notes.refill(FILLED)
    notes.visit(later(0.1), later(0.4).date().isoformat())
    notes.refill(later(0.4))
    assert notes.day() is None
