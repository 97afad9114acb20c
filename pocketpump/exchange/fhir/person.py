"""How the person is, and what helpers must know, as FHIR resources."""

from collections.abc import Iterable, Mapping
from typing import Any

from pocketpump.core.safety.contacts import Contact
from pocketpump.exchange.fhir.values import (
    Resource,
    coded,
    instant,
    observation,
    own_id,
    part,
    quantity,
    to,
)
from pocketpump.record import Entry
from pocketpump.record.facts.booked_visit import BookedVisit

_PAIN = {"system": "http://loinc.org", "code": "72514-3"}
_SCORES = ("stiffness", "spasms", "severity", "pain", "sleep", "sleepiness", "ease")
_RISKS = {
    "injury_t6_or_above": "Spinal cord injury at T6 or above, as told by the person",
    "cannot_communicate": "Cannot speak for themselves, as told by the person",
    "earlier_withdrawal": "Went through baclofen withdrawal before, as told by the person",
}
_NONE = frozenset(
    {"none", "no", "nil", "nka", "nkda", "n/a", "-", "none known", "no known", "no allergies",
     "no known allergies", "no known drug allergies", "not known", "unknown", "keine",
     "keine bekannt", "aucune", "aucune connue", "ninguna", "nessuna", "nenhuma", "brak", "yok",
     "无", "なし", "لا"}
)  # fmt: skip
"""What people write when there is nothing to write; only the whole text counts."""


def says_something(text: object) -> bool:
    """Tell whether a free text holds more than a word for "nothing"."""
    return isinstance(text, str) and text.strip(" .!").lower() not in {"", *_NONE}


def check_in(entry: Entry) -> list[Resource]:
    """Return a check-in: scores, worries, side effects, and whether tablets were as planned."""
    payload: Mapping[str, Any] = entry.payload
    parts = []
    for name in _SCORES:
        if payload.get(name) is not None:
            made = part(name, valueQuantity=quantity(payload[name], ""))
            if name == "pain":
                made["code"]["coding"] = [_PAIN]
            parts.append(made)
    for name, words in (("worries", "Worry"), ("side_effects", "Side effect")):
        parts += [{"code": {"text": words}, "valueString": str(one)}
                  for one in payload.get(name) or () if str(one).strip()]  # fmt: skip
    if payload.get("tablets_as_planned") is not None:
        told = payload["tablets_as_planned"]
        parts.append({"code": {"text": "Tablets taken as planned"}, "valueBoolean": told})
    return [observation(entry, "Check-in", parts)]


def diary_event(entry: Entry) -> list[Resource]:
    """Return something that happened: a scan, an alarm heard, a fall."""
    parts = []
    if entry.payload.get("follow_up_done") is not None:
        parts.append(part("follow_up_done", valueBoolean=entry.payload["follow_up_done"]))
    made = observation(entry, "Happening", parts)
    made["valueString"] = str(entry.payload["what"])
    return [made]


def measure(entry: Entry) -> list[Resource]:
    """Return a measure of the person's own, such as a timed walk."""
    # The person names the unit, so no code is claimed for it.
    made = observation(entry, str(entry.payload["name"]), [])
    made["valueQuantity"] = {"value": entry.payload["value"], "unit": entry.payload["unit"]}
    return [made]


def care(entry: Entry) -> list[Resource]:
    """Return allergies, tablets and risks as the newest care entry tells them.

    All of it is what the person wrote and nobody confirmed, and the resources say so. A text
    that means "none" makes no resource.
    """
    payload: Mapping[str, Any] = entry.payload
    made: list[Resource] = []
    if says_something(payload.get("allergies")):
        made.append(
            {
                "resourceType": "AllergyIntolerance",
                "id": own_id("care", "allergies"),
                "clinicalStatus": coded("allergyintolerance-clinical", "active"),
                "verificationStatus": coded("allergyintolerance-verification", "unconfirmed"),
                "recordedDate": instant(entry.written_at),
                "code": {"text": payload["allergies"].strip()},
            }
        )
    if says_something(payload.get("tablets")):
        made.append(
            {
                "resourceType": "MedicationStatement",
                "id": own_id("care", "tablets"),
                "status": "unknown",
                "category": coded("medication-statement-category", "patientspecified"),
                "medicationCodeableConcept": {
                    "text": f"Taken besides the pump, in the person's words: {payload['tablets']}"
                },
                "dateAsserted": instant(entry.written_at),
            }
        )
    made += [
        {
            "resourceType": "Flag",
            "id": own_id("care", name),
            "status": "active",
            "code": {"text": words},
        }
        for name, words in _RISKS.items()
        if payload.get(name)
    ]
    return made


def plan(entry: Entry) -> list[Resource]:
    """Return the clinic's own written instructions, as the person copied them."""
    made: Resource = {
        "resourceType": "CarePlan",
        "id": own_id("plan"),
        "status": "active",
        "intent": "plan",
        "title": "The clinic's instructions, as copied by the person",
        "description": str(entry.payload["text"]),
    }
    if entry.payload.get("given_on"):
        made["created"] = entry.payload["given_on"]
    if entry.payload.get("from_whom"):
        made["note"] = [{"text": f"From: {entry.payload['from_whom']}"}]
    return [made]


def appointment(booked: BookedVisit, patient: Resource) -> Resource:
    """Return the visit that is booked, as the person noted it.

    As proposed and for a day: one that is booked needs start and end (FHIR R4, app-3), and how
    long it takes is not known.
    """
    payload: Mapping[str, Any] = booked.entry.payload
    # The note of a refill is about the refill.
    note = payload.get("note") if booked.entry.kind == "visit" else None
    told = [
        f"At {booked.clock:%H:%M} by the clock there" if booked.clock else "",
        f"place: {booked.place}" if booked.place else "",
        str(note or ""),
    ]
    made: Resource = {
        "resourceType": "Appointment",
        "id": own_id(booked.entry.id, "visit"),
        "status": "proposed",
        "description": "Visit booked at the clinic, as noted by the person",
        "requestedPeriod": [{"start": booked.on.isoformat(), "end": booked.on.isoformat()}],
        "participant": [{"actor": to(patient), "status": "accepted"}],
    }
    comment = "; ".join(filter(None, told))
    return {**made, "comment": comment} if comment else made


def contacts(known: Iterable[Contact]) -> list[Resource]:
    """Return the clinics and people to call as a care team; nothing when there are none."""
    members: list[Resource] = []
    participants: list[Resource] = []
    for one in known:
        who: Resource = {"id": own_id(one.id), "telecom": [{"system": "phone", "value": one.phone}]}
        if not one.phone:
            del who["telecom"]
        if one.is_person:
            who |= {"resourceType": "RelatedPerson", "name": [{"text": one.name}]}
        else:
            who |= {"resourceType": "Organization", "name": one.name}
        members.append(who)
        role = ", ".join(filter(None, (one.role, one.hours)))
        participants.append({**({"role": [{"text": role}]} if role else {}), "member": to(who)})
    if not members:
        return []
    team = {
        "resourceType": "CareTeam",
        "id": own_id("contacts"),
        "status": "active",
        "name": "Whom to call, as noted by the person",
        "participant": participants,
    }
    return [*members, team]
