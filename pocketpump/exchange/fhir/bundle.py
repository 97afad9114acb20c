"""The record as a FHIR R4 bundle, for a clinic's own systems.

A collection that says itself what is in it and what is not (Composition): the pump (Device,
DeviceUseStatement), dose settings and tablets (MedicationStatement), refills, readings,
check-ins, measures and happenings (Observation), allergies, risks (Flag), the clinic's plan
(CarePlan), whom to call (CareTeam) and the visit that is booked (Appointment). Of the pump, the
care details and the plan only the newest counts; nothing dated after ``now`` is told as having
been.

Amounts carry UCUM codes; codes stand only where one is known, and elsewhere the words do. The
person has no name here.

HL7 FHIR R4 (4.0.1); UCUM; baclofen is ATC M03BX01 and RxNorm 1292. No code is known for an
implanted intrathecal pump.
"""

import json
from collections.abc import Callable, Iterable, Mapping
from datetime import UTC, datetime
from html import escape

from pocketpump.core.errors import InputError
from pocketpump.core.messages import message
from pocketpump.exchange.backup.import_preview import count_kinds
from pocketpump.exchange.fhir.person import (
    appointment,
    care,
    check_in,
    contacts,
    diary_event,
    measure,
    plan,
    says_something,
)
from pocketpump.exchange.fhir.pump import medications, pump_resources, reading, refill
from pocketpump.exchange.fhir.values import Resource, instant, own_id, to, url
from pocketpump.record import Entry
from pocketpump.record.entry.kinds import REMOVAL
from pocketpump.record.facts.booked_visit import booked_visit
from pocketpump.record.facts.diary import contacts_of
from pocketpump.record.facts.situation import newest

LEFT_OUT = message(
    "trips, questions, papers, clinic days, preferences, visits that are past or cancelled,"
    " earlier versions and removed entries"
)
"""What is never in the bundle, in words for the screen and for the bundle itself."""

_EACH: Mapping[str, Callable[[Entry], list[Resource]]] = {
    "refill": refill,
    "check-in": check_in,
    "measure": measure,
    "happening": diary_event,
    "device": reading,
}
_NEWEST: Mapping[str, Callable[[Entry], list[Resource]]] = {
    "pump": pump_resources,
    "care": care,
    "plan": plan,
}
_ELSEWHERE = ("programme", "contact", "visit", REMOVAL)
_NO_SUBJECT = ("Device", "Organization", "Appointment")
_TO_PATIENT = ("AllergyIntolerance", "RelatedPerson")


def write_bundle(alive: Iterable[Entry], now: datetime) -> bytes:
    """Return the entries that count now as a FHIR bundle in JSON."""
    text = json.dumps(bundle(alive, now), ensure_ascii=False, indent=1, allow_nan=False)
    return (text + "\n").encode()


def bundle(alive: Iterable[Entry], now: datetime) -> Resource:
    """Return the bundle as plain JSON values; what cannot be read is left out, and counted."""
    entries = tuple(alive)
    past = tuple(entry for entry in entries if entry.at <= now)
    patient: Resource = {"resourceType": "Patient", "id": own_id("patient"), "active": True}
    made: list[Resource] = []
    unreadable: list[Entry] = []

    def take(make: Callable[[Entry], list[Resource]], entry: Entry) -> None:
        try:
            made.extend(make(entry))
        except (InputError, KeyError, TypeError, ValueError, AttributeError):
            unreadable.append(entry)

    for kind, make in _NEWEST.items():
        last = newest(past, kind)
        if last is not None:
            take(make, last)
    for entry in past:
        if entry.kind in _EACH:
            take(_EACH[entry.kind], entry)
    made += medications(entries, now)
    made += contacts(contacts_of(past))
    booked = booked_visit(past, now)
    if booked is not None and booked.on >= now.date():
        made.append(appointment(booked, patient))
    for resource in made:
        kind = resource["resourceType"]
        if kind not in _NO_SUBJECT:
            resource["patient" if kind in _TO_PATIENT else "subject"] = to(patient)
    about = _about(entries, past, unreadable, patient, now)
    resources = [about, patient, *made]
    return {
        "resourceType": "Bundle",
        "type": "collection",
        "timestamp": instant(now.astimezone(UTC)),
        "entry": [{"fullUrl": url(one), "resource": one} for one in resources],
    }


def _about(
    entries: Iterable[Entry],
    past: tuple[Entry, ...],
    unreadable: Iterable[Entry],
    patient: Resource,
    now: datetime,
) -> Resource:
    """Return the resource that says what the file is, and what is not in it."""
    known = {*_EACH, *_NEWEST, *_ELSEWHERE}
    missing = {
        "Left out": [one for one in past if one.kind not in known],
        "Left out because they cannot be read": list(unreadable),
        "Left out because they are dated later than this file":
            [one for one in entries if one.at > now and one.kind not in _ELSEWHERE],
    }  # fmt: skip
    told = [f"Never in it: {LEFT_OUT}."]
    for words, which in missing.items():
        if which:
            told.append(f"{words}: {', '.join(f'{n} {kind}' for kind, n in count_kinds(which))}.")
    sections = [
        _section("What this file is",
                 ["Notes kept by a person with an implanted pump. Nobody has confirmed them."]),
        _section("Not in this file", told),
    ]  # fmt: skip
    last = newest(past, "care")
    allergies = last.payload.get("allergies") if last else None
    if isinstance(allergies, str) and allergies.strip() and not says_something(allergies):
        sections.append(_section("Allergies, in the person's words", [allergies.strip()]))
    return {
        "resourceType": "Composition",
        "id": own_id("about"),
        "status": "final",
        "type": {"text": "Notes of a person with an implanted pump"},
        "subject": to(patient),
        "author": [to(patient)],
        "date": instant(now.astimezone(UTC)),
        "title": "What is in this file, and what is not",
        "section": sections,
    }


def _section(title: str, sentences: Iterable[str]) -> Resource:
    text = "".join(f"<p>{escape(one)}</p>" for one in sentences)
    div = f'<div xmlns="http://www.w3.org/1999/xhtml">{text}</div>'
    return {"title": title, "text": {"status": "generated", "div": div}}
