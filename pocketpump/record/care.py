"""From entries to what the card, the pump's papers and the trips are made of."""

from collections.abc import Iterable, Mapping
from datetime import date, datetime
from typing import Any

from pocketpump.core.card import CareFacts
from pocketpump.core.device import DeviceReading
from pocketpump.core.trip import Stay, Trip
from pocketpump.record.diary import contacts_of
from pocketpump.record.entries import Entry
from pocketpump.record.situation import newest, of_kind


def care_of(entries: Iterable[Entry], now: datetime | None = None) -> CareFacts:
    """Return the care facts told by the ``entries`` that count now; what is missing is "".

    ``now`` is as for :func:`newest`: details dated later give way to earlier ones.
    """
    kept = tuple(entries)
    pump = _payload(newest(kept, "pump", now))
    care = _payload(newest(kept, "care", now))
    plan = _payload(newest(kept, "plan", now))

    def text(source: Mapping[str, Any], field: str) -> str:
        return str(source.get(field) or "").strip()

    def day(source: Mapping[str, Any], field: str) -> date | None:
        return date.fromisoformat(source[field]) if source.get(field) else None

    return CareFacts(
        name=text(care, "name"),
        born_on=day(care, "born_on"),
        model=text(pump, "model"),
        serial=text(pump, "serial"),
        position=text(pump, "position"),
        tip_level=text(pump, "tip_level"),
        implanted_on=day(pump, "implanted_on"),
        surgeon=text(care, "surgeon"),
        mri_notes=text(care, "mri_notes"),
        allergies=text(care, "allergies"),
        tablets=text(care, "tablets"),
        plan=text(plan, "text"),
        injury_t6_or_above=bool(care.get("injury_t6_or_above")),
        cannot_communicate=bool(care.get("cannot_communicate")),
        earlier_withdrawal=bool(care.get("earlier_withdrawal")),
        contacts=contacts_of(kept),
    )


def readings_of(entries: Iterable[Entry]) -> tuple[DeviceReading, ...]:
    """Return what the clinic read from the pump about its own life, oldest first."""
    return tuple(
        _reading_of(entry.at.date(), _payload(entry)) for entry in of_kind(entries, "device")
    )


def _reading_of(read_on: date, payload: Mapping[str, Any]) -> DeviceReading:
    notice = payload.get("notice_on")
    return DeviceReading(
        read_on, payload.get("months_left"), date.fromisoformat(notice) if notice else None
    )


def trip_of(entry: Entry) -> Trip:
    """Return the trip an entry speaks of; raises `InputError` when its days contradict."""
    payload = _payload(entry)
    leaves_on = date.fromisoformat(payload["leaves_on"])
    stops = (payload.get("stops") or {}).get("stops", ())
    return Trip(
        leaves_on,
        date.fromisoformat(payload["returns_on"]),
        (
            Stay(leaves_on, str(payload.get("place") or ""), str(payload["zone"])),
            *(
                Stay(date.fromisoformat(stop["from_on"]), str(stop["place"]), str(stop["zone"]))
                for stop in stops
            ),
        ),
    )


def _payload(entry: Entry | None) -> Mapping[str, Any]:
    return entry.payload if entry else {}
