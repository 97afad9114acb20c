"""The pump, its drug and its refills as FHIR resources."""

import re
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from typing import Any

from pocketpump.core.errors import InputError
from pocketpump.core.pump.programme import Programme
from pocketpump.core.pump.programme_text import describe_programme
from pocketpump.exchange.fhir.values import Resource, instant, noted, observation, own_id, part
from pocketpump.exchange.fhir.values import quantity as amount
from pocketpump.exchange.fhir.values import to as reference_to
from pocketpump.record import Entry
from pocketpump.record.facts.situation import of_kind, setting_of

_ATC = {"system": "http://www.whocc.no/atc", "code": "M03BX01", "display": "baclofen"}
_RXNORM = {
    "system": "http://www.nlm.nih.gov/research/umls/rxnorm",
    "code": "1292",
    "display": "baclofen",
}
_PLAIN = re.compile(r"(intrathecal )?baclofen( intrathecal)?", re.IGNORECASE)
_VOLUMES = ("filled_ml", "expected_ml", "withdrawn_ml", "measured_after_ml")
_DAYS = ("printed_alarm_on", "next_visit_on")


def pump_resources(entry: Entry) -> list[Resource]:
    """Return the one pump there is, and that it is in use; ``entry`` is the newest about it."""
    payload: Mapping[str, Any] = entry.payload
    properties = [
        {"type": {"text": words}, "valueQuantity": [amount(payload[name], "mL")]}
        for name, words in (
            ("reservoir_ml", "Reservoir"),
            ("alarm_volume_ml", "Alarm volume"),
            ("line_volume_ml", "Line volume"),
        )
        if payload.get(name) is not None
    ]
    if payload.get("tip_level"):
        words = {"type": {"text": "Level of the catheter tip"}}
        properties.append({**words, "valueCode": [{"text": payload["tip_level"]}]})
    device: Resource = {
        "resourceType": "Device",
        "id": own_id("pump", "device"),
        "status": "active",
        "type": {"text": "Implanted pump for intrathecal infusion"},
        "property": properties,
    }
    if payload.get("model"):
        device["deviceName"] = [{"name": payload["model"], "type": "user-friendly-name"}]
    if payload.get("serial"):
        device["serialNumber"] = payload["serial"]
    use: Resource = {
        "resourceType": "DeviceUseStatement",
        "id": own_id("pump", "use"),
        "status": "active",
        "device": reference_to(device),
        "recordedOn": instant(entry.at),
    }
    if payload.get("implanted_on"):
        use["timingPeriod"] = {"start": payload["implanted_on"]}
    if payload.get("position"):
        use["bodySite"] = {"text": payload["position"]}
    return [device, use]


def medications(entries: Sequence[Entry], now: datetime) -> list[Resource]:
    """Return each dose setting as a statement: past ones completed, the one at ``now`` active.

    A setting that is still to come is intended and does not end the one that runs.
    """
    refills = sorted(of_kind(entries, "refill"), key=lambda one: one.at)
    readable: list[tuple[Entry, Programme]] = []
    for entry in sorted(of_kind(entries, "programme"), key=lambda one: one.at):
        try:
            readable.append((entry, setting_of(entry).programme))
        except (InputError, KeyError, TypeError, ValueError):
            continue
    made = []
    for number, (entry, programme) in enumerate(readable):
        later = readable[number + 1][0].at if number + 1 < len(readable) else None
        over = later is not None and later <= now
        period = {"start": instant(entry.at)}
        status = "on-hold" if programme.mode == "stopped" else "active"
        if over and later is not None:
            status, period["end"] = "completed", instant(later)
        elif entry.at > now:
            status = "intended"
        drugs = _drugs(refills, entry.at, min(later or now, now))
        statement: Resource = {
            "resourceType": "MedicationStatement",
            "id": own_id(entry.id),
            "status": status,
            "medicationCodeableConcept": _medication(drugs),
            "effectivePeriod": period,
            "dosage": [_dosage(programme, plain=_is_plain(drugs))],
        }
        made.append(noted(statement, entry))
    return made


def refill(entry: Entry) -> list[Resource]:
    """Return a refill with everything that was measured and told at it."""
    payload: Mapping[str, Any] = entry.payload
    amounts = [(name, "mL") for name in _VOLUMES] + [("strength_mcg_per_ml", "mcg/mL")]
    parts = [
        part(name, valueQuantity=amount(payload[name], unit))
        for name, unit in amounts
        if payload.get(name) is not None
    ]
    parts += [part(name, valueDateTime=payload[name]) for name in _DAYS if payload.get(name)]
    if payload.get("drug"):
        parts.append(part("drug", valueString=payload["drug"]))
    if payload.get("bridged") is not None:
        parts.append(part("bridged", valueBoolean=payload["bridged"]))
    return [observation(entry, "Refill of the implanted pump", parts)]


def reading(entry: Entry) -> list[Resource]:
    """Return what the clinic read from the pump about its own life."""
    payload: Mapping[str, Any] = entry.payload
    parts = []
    if payload.get("months_left") is not None:
        parts.append(part("months_left", valueQuantity=amount(payload["months_left"], "months")))
    if payload.get("notice_on"):
        parts.append(part("notice_on", valueDateTime=payload["notice_on"]))
    return [observation(entry, "Reading of the implanted pump", parts)]


def _drugs(refills: Iterable[Entry], start: datetime, end: datetime) -> tuple[str, ...]:
    """Return what was in the reservoir from ``start`` to ``end``, as noted, each once."""
    before = ""
    during: list[str] = []
    for one in refills:
        drug = str(one.payload.get("drug") or "").strip()
        if one.at <= start:
            before = drug
        elif one.at < end:
            during.append(drug)
    return tuple(dict.fromkeys([before, *during]))


def _is_plain(drugs: Iterable[str]) -> bool:
    # A refill without a drug's name is this notebook's usual one; anything else is not coded.
    return all(not drug or _PLAIN.fullmatch(drug) for drug in drugs)


def _medication(drugs: tuple[str, ...]) -> Resource:
    if _is_plain(drugs):
        return {"coding": [_ATC, _RXNORM], "text": "baclofen"}
    return {"text": ", then ".join(drug or "baclofen" for drug in drugs)}


def _dosage(programme: Programme, *, plain: bool) -> Resource:
    dosage: Resource = {
        "text": describe_programme(programme) + ("" if plain else " (of the baclofen in it)"),
        "route": {"text": "intrathecal"},
    }
    simple = not programme.timed and programme.requested is None and programme.mode != "stopped"
    # A rate beside a mixture could be read as the mixture's.
    if simple and plain:
        rate = amount(programme.background_mcg_per_day, "mcg/day")
        dosage["doseAndRate"] = [{"rateQuantity": rate}]
    return dosage
