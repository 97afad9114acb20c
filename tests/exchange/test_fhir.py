"""The bundle is FHIR R4, its codes are UCUM, and the values are those of the record."""

import json
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from itertools import pairwise

import pytest
from fhir.resources.R4B.bundle import Bundle
from ucumvert import get_ucum_parser

from pocketpump.exchange.fhir.bundle import LEFT_OUT, bundle, write_bundle
from pocketpump.exchange.fhir.values import UCUM
from pocketpump.record import MemoryFiles, Record
from pocketpump.record.demo import demo_folder, moved_to_now

NOW = datetime(2026, 3, 2, 8, tzinfo=UTC)


@pytest.fixture(scope="module")
def alive():
    with Record.open(MemoryFiles(), clock=lambda: NOW) as record:
        record.import_entries(moved_to_now(demo_folder(), NOW))
        record.add("check-in", NOW, "UTC", {"stiffness": 4, "spasms": 2, "pain": 2.5, "note": "n"})
        record.add("measure", NOW, "UTC", {"name": "10 m walk", "value": 14.5, "unit": "s"})
        record.add(
            "care", NOW, "UTC", {"allergies": "latex", "tablets": "two", "cannot_communicate": True}
        )
        record.add("plan", NOW, "UTC", {"text": "call first", "given_on": "2026-01-02"})
        record.add("device", NOW, "UTC", {"months_left": 20, "notice_on": "2027-01-02"})
        record.add("contact", NOW, "UTC", {"name": "Sam", "role": "brother", "phone": "+31 6 12"})
        record.add("contact", NOW, "UTC", {"name": "Pump nurses", "role": "pump clinic"})
        return record.alive


def walk(value):
    yield value
    for part in value.values() if isinstance(value, dict) else value:
        if isinstance(part, (dict, list)):
            yield from walk(part)


# R4B (4.3.0) has the same definitions as R4 (4.0.1) of the resources used here; the library
# no longer carries 4.0.1 by itself.
def test_the_bundle_is_valid_and_reads_back_equal(alive):
    text = write_bundle(alive, NOW)
    read = Bundle.model_validate_json(text)
    again = json.loads(read.model_dump_json())
    assert _plain(again) == _plain(json.loads(text))
    kinds = {one.resource.get_resource_type() for one in read.entry}
    assert kinds == {"Patient", "Device", "DeviceUseStatement", "MedicationStatement",
                     "Observation", "AllergyIntolerance", "Composition", "Flag", "CarePlan",
                     "CareTeam", "RelatedPerson", "Organization", "Appointment"}  # fmt: skip


def _plain(value):
    """Instants as instants and numbers as decimals, for both may be written in several ways."""
    if isinstance(value, dict):
        return {name: _plain(part) for name, part in value.items()}
    if isinstance(value, list):
        return [_plain(part) for part in value]
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        return Decimal(str(value)).normalize()
    if isinstance(value, str) and value[:4].isdigit() and "T" in value:
        return datetime.fromisoformat(value)
    return value


def test_every_unit_is_ucum_and_never_mcg(alive):
    # UCUM: the unit of the microgram is "ug"; "mcg" is no code (ucum.org, section 29).
    parser = get_ucum_parser()
    codes = {part["code"] for part in walk(bundle(alive, NOW))
             if isinstance(part, dict) and part.get("system") == UCUM}  # fmt: skip
    assert {"mL", "ug/mL", "ug/d", "1"} <= codes
    for code in codes:
        parser.parse(code)
        assert "mcg" not in code


def test_values_are_those_of_the_record(alive):
    resources = [one["resource"] for one in bundle(alive, NOW)["entry"]]
    refills = [one for one in alive if one.kind == "refill"]
    told = [
        {
            part["code"]["text"]: part["valueQuantity"]["value"]
            for part in one["component"]
            if "valueQuantity" in part
        }
        for one in resources
        if one.get("code", {}).get("text", "").startswith("Refill")
    ]
    assert [(one["Filled"], one["Strength"]) for one in told] == [
        (one.payload["filled_ml"], one.payload["strength_mcg_per_ml"]) for one in refills
    ]
    statements = [one for one in resources if one["resourceType"] == "MedicationStatement"]
    statements = [one for one in statements if one["medicationCodeableConcept"].get("coding")]
    assert len(statements) == len([one for one in alive if one.kind == "programme"])
    codings = {(c["system"], c["code"]) for c in
               statements[0]["medicationCodeableConcept"]["coding"]}  # fmt: skip
    # The codes of baclofen: ATC M03BX01 (WHO), RxNorm 1292 (NLM).
    assert codings == {("http://www.whocc.no/atc", "M03BX01"),
                       ("http://www.nlm.nih.gov/research/umls/rxnorm", "1292")}  # fmt: skip
    for earlier, later in pairwise(statements):
        assert earlier["effectivePeriod"]["end"] == later["effectivePeriod"]["start"]
        assert earlier["status"] == "completed"


def test_every_reference_leads_somewhere_and_no_code_is_claimed_for_the_pump(alive):
    made = bundle(alive, NOW)
    urls = [one["fullUrl"] for one in made["entry"]]
    assert len(urls) == len(set(urls))
    for part in walk(made):
        if isinstance(part, dict) and "reference" in part:
            assert part["reference"] in urls
    devices = [one["resource"] for one in made["entry"]
               if one["resource"]["resourceType"] == "Device"]  # fmt: skip
    assert devices
    assert all(set(one["type"]) == {"text"} for one in devices)


def test_the_same_record_gives_the_same_bundle(alive):
    assert write_bundle(alive, NOW) == write_bundle(alive, NOW)


# ── what a clinic would act on must be true ─────────────────────────────────


def record_of(*notes) -> tuple:
    """Entries that count, from (days from now, kind, payload)."""
    record = Record.open(MemoryFiles(), clock=lambda: NOW)
    for days, kind, payload in notes:
        record.add(kind, NOW + timedelta(days=days), "UTC", payload)
    return record.alive


def resources(alive, kind) -> list[dict]:
    made = bundle(alive, NOW)
    Bundle.model_validate_json(json.dumps(made))
    return [e["resource"] for e in made["entry"] if e["resource"]["resourceType"] == kind]


def dose(mcg_per_h: float) -> dict:
    return {"programme": {"days": [[[0, mcg_per_h]]]}}


def test_the_dose_that_runs_now_is_the_active_one_and_a_planned_one_is_intended():
    alive = record_of((-60, "programme", dose(8)), (-30, "programme", dose(10)),
                      (30, "programme", dose(12)))  # fmt: skip
    told = [
        (
            one["status"],
            one["dosage"][0]["doseAndRate"][0]["rateQuantity"]["value"],
            "end" in one["effectivePeriod"],
        )
        for one in resources(alive, "MedicationStatement")
    ]
    assert told == [("completed", 192, True), ("active", 240, False), ("intended", 288, False)]


def test_only_the_newest_care_details_and_the_newest_pump_are_told():
    care = [(-50, "care", {"allergies": "Penicillin"}), (-20, "care", {"allergies": "Latex"})]
    pumps = [(-90, "pump", {"reservoir_ml": 20, "alarm_volume_ml": 2, "model": "first"}),
             (-9, "pump", {"reservoir_ml": 40, "alarm_volume_ml": 2, "model": "new"})]  # fmt: skip
    later = [(9, "care", {"allergies": "None"}), (9, "pump", pumps[0][2])]
    alive = record_of(*care, *pumps, *later)
    assert [one["code"]["text"] for one in resources(alive, "AllergyIntolerance")] == ["Latex"]
    assert [one["deviceName"][0]["name"] for one in resources(alive, "Device")] == ["new"]
    assert len(resources(alive, "DeviceUseStatement")) == 1


@pytest.mark.parametrize("text", ["none", "None.", " no known allergies ", "NKDA", "-", "keine"])
def test_no_allergies_is_no_allergy_but_stays_in_the_persons_words(text):
    alive = record_of((-1, "care", {"allergies": text}))
    assert resources(alive, "AllergyIntolerance") == []
    sections = resources(alive, "Composition")[0]["section"]
    assert f"<p>{text.strip()}</p>" in sections[-1]["text"]["div"]


@pytest.mark.parametrize("text", ["none but latex", "No penicillin", "latex"])
def test_an_allergy_is_told_as_written_with_its_status(text):
    one = resources(record_of((-1, "care", {"allergies": text})), "AllergyIntolerance")[0]
    # FHIR R4, AllergyIntolerance, invariant ait-1: clinicalStatus unless entered in error.
    assert one["clinicalStatus"]["coding"][0]["code"] == "active"
    assert one["verificationStatus"]["coding"][0]["code"] == "unconfirmed"
    assert one["code"] == {"text": text}


@pytest.mark.parametrize(
    ("drug", "plain"),
    [("", True), ("Baclofen", True), ("baclofen + morphine", False), ("ziconotide", False),
     ("Baclofen/clonidine", False)],
)  # fmt: skip
def test_only_plain_baclofen_is_coded_as_baclofen(drug, plain):
    refill = {"filled_ml": 20, "strength_mcg_per_ml": 2000, **({"drug": drug} if drug else {})}
    alive = record_of((-30, "refill", refill), (-29, "programme", dose(10)))
    medication = resources(alive, "MedicationStatement")[0]["medicationCodeableConcept"]
    assert ("coding" in medication) == plain
    assert medication["text"] == ("baclofen" if plain else drug)
    # The same when the drug changed while the setting stayed.
    alive = record_of((-30, "programme", dose(10)), (-20, "refill", refill))
    statement = resources(alive, "MedicationStatement")[0]
    assert ("coding" in statement["medicationCodeableConcept"]) == plain


def test_what_worried_the_person_and_what_happened_is_in_it():
    check_in = {"stiffness": 8, "worries": ["fever"], "side_effects": ["sleepy"],
                "tablets_as_planned": False}  # fmt: skip
    refill = {"filled_ml": 20, "strength_mcg_per_ml": 2000, "bridged": True,
              "next_visit_on": "2026-12-20"}  # fmt: skip
    alive = record_of((-3, "check-in", check_in), (-2, "happening", {"what": "alarm heard"}),
                      (-30, "refill", refill))  # fmt: skip
    told = json.dumps(resources(alive, "Observation"))
    for words in ('"Worry"}, "valueString": "fever"', '"Side effect"}, "valueString": "sleepy"',
                  '"Tablets taken as planned"}, "valueBoolean": false', '"alarm heard"',
                  '"Bridged"}, "valueBoolean": true', '"valueDateTime": "2026-12-20"'):  # fmt: skip
        assert words in told


VISITS = (
    (-30, "refill", {"filled_ml": 20, "strength_mcg_per_ml": 2000, "next_visit_on": "2026-03-09"}),
    (-3, "visit", {"visit_on": "2026-03-16"}),
    (-2, "visit", {"visit_on": "2026-03-12", "visit_time": "10:30", "place": "Pump clinic",
                   "note": "fasting"}),
)  # fmt: skip


def test_the_visit_that_counts_is_an_appointment_and_no_other_is():
    (told,) = resources(record_of(*VISITS), "Appointment")
    # FHIR R4, Appointment, app-3: one that is booked needs an end, which nobody has told.
    assert told["status"] == "proposed"
    assert told["requestedPeriod"] == [{"start": "2026-03-12", "end": "2026-03-12"}]
    assert told["comment"] == "At 10:30 by the clock there; place: Pump clinic; fasting"
    assert [one["status"] for one in told["participant"]] == ["accepted"]
    (told,) = resources(record_of(VISITS[0]), "Appointment")
    assert told["requestedPeriod"] == [{"start": "2026-03-09", "end": "2026-03-09"}]
    assert "comment" not in told


@pytest.mark.parametrize("last", [
    {"visit_on": "2026-03-12", "cancelled": True}, {"visit_on": "2026-03-01"},
])  # fmt: skip
def test_a_visit_cancelled_or_past_is_no_appointment(last):
    alive = record_of(*VISITS, (-1, "visit", last))
    assert resources(alive, "Appointment") == []
    assert "cancelled" in json.dumps(resources(alive, "Composition")[0])


def test_what_is_left_out_is_counted_in_the_file_itself():
    trip = {"zone": "Europe/Rome", "leaves_on": "2026-05-01", "returns_on": "2026-05-09"}
    alive = record_of((-1, "trip", trip), (-1, "question", {"text": "secret?"}),
                      (5, "check-in", {"stiffness": 1}))  # fmt: skip
    text = json.dumps(resources(alive, "Composition")[0])
    assert LEFT_OUT in text
    assert "Left out: 1 question, 1 trip." in text
    assert "dated later than this file: 1 check-in." in text
    assert "secret" not in text
    assert resources(alive, "Observation") == []
