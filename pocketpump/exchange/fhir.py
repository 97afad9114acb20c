"""The record as a FHIR R4 bundle, for a clinic's own systems.

A collection: the pump as Device and DeviceUseStatement, each dose setting as
MedicationStatement, refills, check-ins and measures as Observation, allergies where they are
noted. Amounts carry UCUM codes; codes stand only where one is known, and elsewhere the words
do. The person has no name here: nothing more is in the file than the record holds.

HL7 FHIR R4 (4.0.1); UCUM; baclofen is ATC M03BX01 and RxNorm 1292. No code is known for an
implanted intrathecal pump.
"""

import json
import uuid
from collections.abc import Callable, Iterable, Mapping
from datetime import UTC, datetime
from itertools import pairwise
from typing import Any

from pocketpump.core.errors import InputError
from pocketpump.core.pattern import Programme
from pocketpump.core.programme_text import describe_programme
from pocketpump.record import Entry
from pocketpump.record.kinds import label
from pocketpump.record.situation import of_kind, setting_of

UCUM = "http://unitsofmeasure.org"
_ATC = {"system": "http://www.whocc.no/atc", "code": "M03BX01", "display": "baclofen"}
_RXNORM = {
    "system": "http://www.nlm.nih.gov/research/umls/rxnorm",
    "code": "1292",
    "display": "baclofen",
}
_PAIN = {"system": "http://loinc.org", "code": "72514-3"}
_UNITS = {
    "mL": "mL",
    "mcg/mL": "ug/mL",
    "mcg/day": "ug/d",
    "mcg/h": "ug/h",
    "mL/day": "mL/d",
    "": "1",
}
"""Our units and their UCUM codes; "mcg" is none in UCUM."""

_SCORES = ("stiffness", "spasms", "severity", "pain", "sleep", "sleepiness", "ease")
_VOLUMES = ("filled_ml", "expected_ml", "withdrawn_ml", "measured_after_ml")

Resource = dict[str, Any]


def write_bundle(alive: Iterable[Entry], now: datetime) -> bytes:
    """Return the entries that count now as a FHIR bundle in JSON."""
    text = json.dumps(bundle(alive, now), ensure_ascii=False, indent=1, allow_nan=False)
    return (text + "\n").encode()


def bundle(alive: Iterable[Entry], now: datetime) -> Resource:
    """Return the bundle as plain JSON values; an entry that cannot be read is left out."""
    entries = tuple(alive)
    patient: Resource = {"resourceType": "Patient", "id": _own_id("patient"), "active": True}
    resources = [patient]
    makers: Mapping[str, Callable[[Entry], list[Resource]]] = {
        "pump": _pump,
        "refill": _refill,
        "check-in": _check_in,
        "measure": _measure,
    }
    for entry in entries:
        try:
            resources += makers.get(entry.kind, _allergies)(entry)
        except (InputError, KeyError, TypeError, ValueError):
            continue
    resources += _medications(of_kind(entries, "programme"))
    for resource in resources[1:]:
        if resource["resourceType"] != "Device":
            who = "patient" if resource["resourceType"] == "AllergyIntolerance" else "subject"
            resource[who] = _to(patient)
    return {
        "resourceType": "Bundle",
        "type": "collection",
        "timestamp": _instant(now.astimezone(UTC)),
        "entry": [{"fullUrl": _url(one), "resource": one} for one in resources],
    }


def quantity(value: float, unit: str) -> Resource:
    """Return a FHIR Quantity with our unit in words and its UCUM code."""
    return {"value": value, "unit": unit or "score", "system": UCUM, "code": _UNITS[unit]}


def _pump(entry: Entry) -> list[Resource]:
    payload: Mapping[str, Any] = entry.payload
    device: Resource = {
        "resourceType": "Device",
        "id": _own_id(entry.id, "device"),
        "status": "active",
        "type": {"text": "Implanted pump for intrathecal infusion"},
        "property": [
            {"type": {"text": words}, "valueQuantity": [quantity(payload[name], "mL")]}
            for name, words in (
                ("reservoir_ml", "Reservoir"),
                ("alarm_volume_ml", "Alarm volume"),
                ("line_volume_ml", "Line volume"),
            )
            if payload.get(name) is not None
        ],
    }
    if payload.get("model"):
        device["deviceName"] = [{"name": payload["model"], "type": "user-friendly-name"}]
    if payload.get("serial"):
        device["serialNumber"] = payload["serial"]
    use: Resource = {
        "resourceType": "DeviceUseStatement",
        "id": _own_id(entry.id, "use"),
        "status": "active",
        "device": _to(device),
        "recordedOn": _instant(entry.at),
    }
    if payload.get("implanted_on"):
        use["timingPeriod"] = {"start": payload["implanted_on"]}
    if payload.get("position"):
        use["bodySite"] = {"text": payload["position"]}
    return [device, use]


def _medications(settings: Iterable[Entry]) -> list[Resource]:
    """Return each dose setting as a statement from its own instant to the next one's."""
    made: list[tuple[Entry, Resource]] = []
    for entry in sorted(settings, key=lambda one: one.at):
        try:
            programme = setting_of(entry).programme
        except (InputError, KeyError, TypeError, ValueError):
            continue
        statement: Resource = {
            "resourceType": "MedicationStatement",
            "id": _own_id(entry.id),
            "status": "active",
            "medicationCodeableConcept": {"coding": [_ATC, _RXNORM], "text": "baclofen"},
            "effectivePeriod": {"start": _instant(entry.at)},
            "dosage": [_dosage(programme)],
        }
        if programme.mode == "stopped":
            statement["status"] = "on-hold"
        if entry.payload.get("note"):
            statement["note"] = [{"text": entry.payload["note"]}]
        made.append((entry, statement))
    for (_, earlier), (later, _) in pairwise(made):
        earlier["effectivePeriod"]["end"] = _instant(later.at)
        earlier["status"] = "completed"
    return [statement for _, statement in made]


def _dosage(programme: Programme) -> Resource:
    dosage: Resource = {
        "text": describe_programme(programme),
        "route": {"text": "intrathecal"},
    }
    if not programme.timed and programme.requested is None and programme.mode != "stopped":
        rate = quantity(programme.background_mcg_per_day, "mcg/day")
        dosage["doseAndRate"] = [{"rateQuantity": rate}]
    return dosage


def _refill(entry: Entry) -> list[Resource]:
    payload: Mapping[str, Any] = entry.payload
    amounts = [(name, "mL") for name in _VOLUMES] + [("strength_mcg_per_ml", "mcg/mL")]
    parts = [
        {"code": {"text": _words(name)}, "valueQuantity": quantity(payload[name], unit)}
        for name, unit in amounts
        if payload.get(name) is not None
    ]
    if payload.get("printed_alarm_on"):
        words = {"text": _words("printed_alarm_on")}
        parts.append({"code": words, "valueDateTime": payload["printed_alarm_on"]})
    if payload.get("drug"):
        parts.append({"code": {"text": "Drug"}, "valueString": payload["drug"]})
    return [_observation(entry, "Refill of the implanted pump", parts)]


def _check_in(entry: Entry) -> list[Resource]:
    parts = []
    for name in _SCORES:
        if entry.payload.get(name) is not None:
            code: Resource = {"text": _words(name)}
            if name == "pain":
                code["coding"] = [_PAIN]
            score: Any = entry.payload[name]
            parts.append({"code": code, "valueQuantity": quantity(score, "")})
    return [_observation(entry, "Check-in", parts)]


def _measure(entry: Entry) -> list[Resource]:
    # The person names the unit, so no code is claimed for it.
    made = _observation(entry, str(entry.payload["name"]), [])
    made["valueQuantity"] = {"value": entry.payload["value"], "unit": entry.payload["unit"]}
    return [made]


def _allergies(entry: Entry) -> list[Resource]:
    """Return the allergies noted in an entry, of whatever kind it is."""
    told: Any = entry.payload.get("allergies")
    texts = [told] if isinstance(told, str) else told if isinstance(told, list) else []
    return [
        {
            "resourceType": "AllergyIntolerance",
            "id": _own_id(entry.id, f"allergy {number}"),
            "recordedDate": _instant(entry.written_at),
            "code": {"text": text.strip()},
        }
        for number, text in enumerate(texts)
        if isinstance(text, str) and text.strip()
    ]


def _observation(entry: Entry, words: str, parts: list[Resource]) -> Resource:
    made: Resource = {
        "resourceType": "Observation",
        "id": _own_id(entry.id),
        "status": "final",
        "code": {"text": words},
        "effectiveDateTime": _instant(entry.at),
    }
    if parts:
        made["component"] = parts
    if entry.payload.get("note"):
        made["note"] = [{"text": entry.payload["note"]}]
    return made


def _words(name: str) -> str:
    return label(name).split(" (")[0].capitalize()


def _own_id(*parts: str) -> str:
    """Return an id that is the same in every bundle of the same record."""
    return str(uuid.uuid5(uuid.NAMESPACE_URL, "pocketpump:" + "/".join(parts)))


def _url(resource: Resource) -> str:
    return f"urn:uuid:{resource['id']}"


def _to(resource: Resource) -> Resource:
    return {"reference": _url(resource)}


def _instant(at: datetime) -> str:
    # FHIR wants seconds and an offset of hours and minutes.
    return at.isoformat(timespec="seconds")
