"""The small pieces that every FHIR resource here is made of: amounts, ids, references, instants."""

import uuid
from datetime import datetime
from typing import Any

from pocketpump.record import Entry
from pocketpump.record.entry.field_labels import label

UCUM = "http://unitsofmeasure.org"
_UNITS = {
    "mL": "mL",
    "mcg/mL": "ug/mL",
    "mcg/day": "ug/d",
    "mcg/h": "ug/h",
    "mL/day": "mL/d",
    "months": "mo",
    "": "1",
}
"""Our units and their UCUM codes; "mcg" is none in UCUM."""

Resource = dict[str, Any]


def quantity(value: float, unit: str) -> Resource:
    """Return a FHIR Quantity with our unit in words and its UCUM code."""
    return {"value": value, "unit": unit or "score", "system": UCUM, "code": _UNITS[unit]}


def coded(system: str, code: str) -> Resource:
    """Return a CodeableConcept with one code of HL7's own terminology."""
    return {"coding": [{"system": f"http://terminology.hl7.org/CodeSystem/{system}", "code": code}]}


def observation(entry: Entry, words: str, parts: list[Resource]) -> Resource:
    """Return an Observation of what an entry says, with ``parts`` as its components."""
    made: Resource = {
        "resourceType": "Observation",
        "id": own_id(entry.id),
        "status": "final",
        "code": {"text": words},
        "effectiveDateTime": instant(entry.at),
    }
    if parts:
        made["component"] = parts
    return noted(made, entry)


def part(name: str, **value: Any) -> Resource:
    """Return one component of an Observation: our field's words, and its value."""
    return {"code": {"text": words_of(name)}, **value}


def noted(resource: Resource, entry: Entry) -> Resource:
    """Return the resource with the entry's note, if it has one."""
    if entry.payload.get("note"):
        resource["note"] = [{"text": entry.payload["note"]}]
    return resource


def words_of(name: str) -> str:
    """Return the words for a field without its unit: ``filled_ml`` gives ``Filled``."""
    return label(name).split(" (")[0].capitalize()


def own_id(*parts: str) -> str:
    """Return an id that is the same in every bundle of the same record."""
    return str(uuid.uuid5(uuid.NAMESPACE_URL, "pocketpump:" + "/".join(parts)))


def url(resource: Resource) -> str:
    """Return the address by which other resources of the bundle name this one."""
    return f"urn:uuid:{resource['id']}"


def to(resource: Resource) -> Resource:
    """Return a reference to a resource of the bundle."""
    return {"reference": url(resource)}


def instant(at: datetime) -> str:
    """Return an instant as FHIR wants it: with seconds and an offset of hours and minutes."""
    return at.isoformat(timespec="seconds")
