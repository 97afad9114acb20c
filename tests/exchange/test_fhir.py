"""The bundle is FHIR R4, its codes are UCUM, and the values are those of the record."""

import json
from datetime import UTC, datetime
from decimal import Decimal
from itertools import pairwise

import pytest
from fhir.resources.R4B.bundle import Bundle
from ucumvert import get_ucum_parser

from pocketpump.exchange.fhir import UCUM, bundle, write_bundle
from pocketpump.record import MemoryFiles, Record, from_document
from pocketpump.record.demo import demo_folder, moved_to_now

NOW = datetime(2026, 3, 2, 8, tzinfo=UTC)


@pytest.fixture(scope="module")
def alive():
    with Record.open(MemoryFiles(), clock=lambda: NOW) as record:
        record.absorb(moved_to_now(demo_folder(), NOW))
        record.add("check-in", NOW, "UTC", {"stiffness": 4, "spasms": 2, "pain": 2.5, "note": "n"})
        record.add("measure", NOW, "UTC", {"name": "10 m walk", "value": 14.5, "unit": "s"})
        record.add("programme", NOW, "UTC", {"programme": {"broken": 1}})
        when = {"at": NOW.isoformat(), "zone": "UTC", "written_at": NOW.isoformat()}
        allergies = {**when, "id": "a", "kind": "profile", "payload": {"allergies": ["latex", " "]}}
        record.absorb([from_document(allergies)])
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
                     "Observation", "AllergyIntolerance"}  # fmt: skip


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
    assert len(statements) == len([one for one in alive if one.kind == "programme"]) - 1
    codings = {(c["system"], c["code"]) for c in
               statements[0]["medicationCodeableConcept"]["coding"]}  # fmt: skip
    # trade facts section 7: ATC M03BX01, RxNorm 1292.
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
