"""What the card says besides numbers: kept as one line, whole, and taken back whole."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from pocketpump.app.screens.card.care import save_plan
from pocketpump.app.services import Services
from pocketpump.record import MemoryFiles, Record
from pocketpump.record.entry.frozen import freeze
from pocketpump.record.facts.card_facts import care_of
from pocketpump.record.facts.diary import contacts_of

NOW = datetime(2026, 3, 9, 9, tzinfo=UTC)


@pytest.fixture
def services():
    ticks = iter(range(10_000))
    with Record.open(MemoryFiles(), clock=lambda: NOW + timedelta(seconds=next(ticks))) as record:
        yield Services(record, lambda: NOW + timedelta(seconds=next(ticks)), "UTC")


def plan_of(services: Services) -> str:
    return care_of(services.record.alive).plan


def test_an_emptied_plan_does_not_bring_back_an_older_one(services):
    # Two plans that no correction joins, as older records and merged copies hold them.
    services.save("plan", NOW - timedelta(days=400), {"text": "Go to hospital A."})
    services.save("plan", NOW - timedelta(days=9), {"text": "Call clinic B."})
    save_plan(services, "Call clinic C.")
    assert plan_of(services) == "Call clinic C."
    removed = save_plan(services, "")
    assert plan_of(services) == ""
    for entry in removed:
        services.record.undo(entry.id)
    assert plan_of(services) == "Call clinic C."


def test_undoing_a_changed_plan_brings_back_the_one_before(services):
    save_plan(services, "Call clinic B.")
    (changed,) = save_plan(services, "Call clinic C.")
    assert len(services.of_kind("plan")) == 1
    services.record.undo(changed.id)
    assert plan_of(services) == "Call clinic B."


@pytest.mark.parametrize(
    ("told", "drug", "other"),
    [
        ("", None, ""),
        ("", "Baclofen", ""),
        ("", "baclofen and morphine", "baclofen and morphine"),
        ("morphine 2 mg/mL", None, "morphine 2 mg/mL"),
        ("morphine", "ziconotide", "morphine; ziconotide"),
        ("morphine", "morphine", "morphine"),
    ],
)
def test_another_drug_in_the_pump_is_never_hidden(services, told, drug, other):
    services.save("care", NOW, {"other_drugs": told or None})
    refill = {"filled_ml": 20, "strength_mcg_per_ml": 500, "drug": drug}
    services.save("refill", NOW, {k: v for k, v in refill.items() if v})
    assert care_of(services.record.alive).other_drugs == other


@pytest.mark.parametrize(
    ("payload", "on_card", "emergency"),
    [
        # Written while one question asked for both.
        ({"emergency": True}, True, True),
        ({"emergency": False}, False, False),
        ({}, False, False),
        ({"emergency": False, "on_card": True}, True, False),
        ({"emergency": True, "on_card": False}, False, True),
    ],
)
def test_the_card_and_day_and_night_are_two_answers(services, payload, on_card, emergency):
    services.save("contact", NOW, {"name": "Carer", "role": "mother", **payload})
    (contact,) = contacts_of(services.record.alive)
    assert (contact.on_card, contact.emergency) == (on_card, emergency)


def test_details_from_a_damaged_copy_leave_the_rest_of_the_card(services):
    entry = services.save("care", NOW, {"name": "Mara Holm", "born_on": "1984-03-02"})
    odd = replace(entry, payload=freeze({"name": "Mara Holm", "born_on": "in spring"}))
    assert (care_of([odd]).name, care_of([odd]).born_on) == ("Mara Holm", None)


def test_what_an_emergency_room_asks_is_kept_and_reaches_the_card(services):
    told = {"diagnosis": "cord injury", "blood_pressure": "95/60", "communication": "Dutch",
            "other_implants": "a shunt", "blood_thinners": "none", "own_steps": "Sit me up.",
            "weight_kg": 24.5}  # fmt: skip
    services.save("care", NOW, told)
    facts = care_of(services.record.alive)
    assert {name: getattr(facts, name) for name in told} == told


def test_the_trip_that_runs_or_comes_next_is_the_cards(services):
    for leaves, returns in (("2026-03-01", "2026-03-08"), ("2026-05-01", "2026-05-09"),
                            ("2026-03-09", "2026-03-12")):  # fmt: skip
        services.save("trip", NOW, {"zone": "UTC", "leaves_on": leaves, "returns_on": returns})
    away = care_of(services.record.alive, NOW).away
    assert away is not None
    assert [day.isoformat() for day in away] == ["2026-03-09", "2026-03-12"]
