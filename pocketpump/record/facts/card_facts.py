"""From entries to what the card, the pump's papers and the trips are made of."""

from collections.abc import Iterable, Iterator, Mapping
from contextlib import suppress
from datetime import date, datetime
from typing import Any

from pocketpump.core.errors import InputError
from pocketpump.core.messages import message
from pocketpump.core.pump.device_life import DeviceReading
from pocketpump.core.safety.card import CareFacts
from pocketpump.core.travel.trip import Stay, Trip
from pocketpump.record.entry.entries import Entry
from pocketpump.record.facts.diary import contacts_of
from pocketpump.record.facts.last_refill import last_refill
from pocketpump.record.facts.situation import newest, of_kind


def care_of(entries: Iterable[Entry], now: datetime | None = None) -> CareFacts:
    """Return the care facts told by the ``entries`` that count now; what is missing is "".

    ``now`` is as for :func:`newest`: details dated later give way to earlier ones. An implant that
    is still to come is none yet.
    """
    kept = tuple(entries)
    pump = _payload(newest(kept, "pump", now))
    care = _payload(newest(kept, "care", now))
    plan = _payload(newest(kept, "plan", now))

    implanted_on = _day(pump, "implanted_on")
    if implanted_on is not None and now is not None and implanted_on > now.date():
        implanted_on = None

    def text(source: Mapping[str, Any], field: str) -> str:
        return str(source.get(field) or "").strip()

    return CareFacts(
        name=text(care, "name"),
        born_on=_day(care, "born_on"),
        model=text(pump, "model"),
        serial=text(pump, "serial"),
        position=text(pump, "position"),
        tip_level=text(pump, "tip_level"),
        implanted_on=implanted_on,
        surgeon=text(care, "surgeon"),
        other_drugs=_other_drugs(text(care, "other_drugs"), last_refill(kept, now)),
        mri_notes=text(care, "mri_notes"),
        allergies=text(care, "allergies"),
        tablets=text(care, "tablets"),
        plan=text(plan, "text"),
        injury_t6_or_above=bool(care.get("injury_t6_or_above")),
        cannot_communicate=bool(care.get("cannot_communicate")),
        earlier_withdrawal=bool(care.get("earlier_withdrawal")),
        own_steps=text(care, "own_steps"),
        diagnosis=text(care, "diagnosis"),
        blood_pressure=text(care, "blood_pressure"),
        communication=text(care, "communication"),
        other_implants=text(care, "other_implants"),
        blood_thinners=text(care, "blood_thinners"),
        weight_kg=_number(care, "weight_kg"),
        contacts=contacts_of(kept),
        away=None if now is None else _away(kept, now.date()),
    )


def readings_of(entries: Iterable[Entry]) -> tuple[DeviceReading, ...]:
    """Return what the clinic read from the pump about its own life, oldest first."""
    return tuple(
        _reading_of(entry.at.date(), _payload(entry)) for entry in of_kind(entries, "device")
    )


def _reading_of(read_on: date, payload: Mapping[str, Any]) -> DeviceReading:
    months = payload.get("months_left")
    counted = months if isinstance(months, int | float) else None
    return DeviceReading(read_on, counted, _day(payload, "notice_on"))


def trip_of(entry: Entry) -> Trip:
    """Return the trip an entry speaks of; raises `InputError` when it cannot be read."""
    payload = _payload(entry)
    try:
        leaves_on = date.fromisoformat(payload["leaves_on"])
        returns_on = date.fromisoformat(payload["returns_on"])
        first = Stay(leaves_on, str(payload.get("place") or ""), str(payload["zone"]))
        stops = (payload.get("stops") or {}).get("stops", ())
        later = tuple(
            Stay(date.fromisoformat(stop["from_on"]), str(stop["place"]), str(stop["zone"]))
            for stop in stops
        )
    except (AttributeError, KeyError, TypeError, ValueError):
        # From a damaged or foreign copy.
        raise InputError(message("Its days and places cannot be read: plan it again.")) from None
    return Trip(leaves_on, returns_on, (first, *later))


def trips_in(entries: Iterable[Entry]) -> Iterator[tuple[Entry, Trip]]:
    """Yield each trip that can be read; any other is told on its own screen."""
    for entry in of_kind(entries, "trip"):
        with suppress(InputError):
            yield entry, trip_of(entry)


def _other_drugs(told: str, refill: Iterable[Entry]) -> str:
    """Return what is in the pump besides baclofen: as told, and as the last refill names it."""
    drugs = [str(note.payload.get("drug") or "").strip() for note in refill]
    others = (drug for drug in drugs if drug.casefold() != "baclofen")
    return "; ".join(filter(None, dict.fromkeys((told, *others))))


def _away(entries: tuple[Entry, ...], today: date) -> tuple[date, date] | None:
    """Return the days of the trip that runs on ``today`` or comes next; None without one."""
    coming = (trip for _, trip in trips_in(entries) if trip.returns_on >= today)
    return min(((trip.leaves_on, trip.returns_on) for trip in coming), default=None)


def _number(payload: Mapping[str, Any], field: str) -> float | None:
    value = payload.get(field)
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else None


def _day(payload: Mapping[str, Any], field: str) -> date | None:
    """Return a date; one that cannot be read (from a foreign copy) is as good as none."""
    try:
        return date.fromisoformat(payload[field])
    except (KeyError, TypeError, ValueError):
        return None


def _payload(entry: Entry | None) -> Mapping[str, Any]:
    return entry.payload if entry else {}
