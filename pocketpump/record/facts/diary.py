"""From entries to what the diary's calculation reads: check-ins, happenings, measures, contacts."""

from bisect import bisect_left
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import datetime
from typing import Any, TypeVar

from pocketpump.core.diary.check_ins import SCALES, CheckIn, DiaryEvent
from pocketpump.core.diary.measures import Measure
from pocketpump.core.safety.contacts import Contact
from pocketpump.record.entry.entries import Entry

Found = TypeVar("Found")


def since(entries: Sequence[Entry], start: datetime) -> Sequence[Entry]:
    """Return the entries from ``start`` on; ``entries`` in order of time, as `Record.alive`."""
    return entries[bisect_left(entries, start, key=lambda entry: entry.at) :]


def check_ins_of(entries: Iterable[Entry]) -> tuple[CheckIn, ...]:
    """Return the check-ins among ``entries``, in the order given; unreadable ones left out."""
    return _read(entries, "check-in", _check_in)


def diary_events_of(entries: Iterable[Entry]) -> tuple[DiaryEvent, ...]:
    """Return the happenings among ``entries``, in the order given."""
    return _read(entries, "happening", _happening)


def measures_of(entries: Iterable[Entry]) -> tuple[Measure, ...]:
    """Return the measures among ``entries``, in the order given."""
    return _read(entries, "measure", _measure)


def contacts_of(entries: Iterable[Entry]) -> tuple[Contact, ...]:
    """Return the contacts among ``entries``, in the order given."""
    return _read(entries, "contact", _contact)


def _read(
    entries: Iterable[Entry], kind: str, make: Callable[[Entry, Mapping[str, Any]], Found]
) -> tuple[Found, ...]:
    found = []
    for entry in entries:
        if entry.kind != kind:
            continue
        try:
            found.append(make(entry, entry.payload))
        except (KeyError, TypeError, ValueError):
            # From a damaged or foreign copy: one odd entry must not hide ten years.
            continue
    return tuple(found)


def _check_in(entry: Entry, payload: Mapping[str, Any]) -> CheckIn:
    scores = {scale: float(payload[scale]) for scale in SCALES if payload.get(scale) is not None}
    return CheckIn(entry.at, scores, tuple(payload.get("side_effects", ())), entry.id)


def _happening(entry: Entry, payload: Mapping[str, Any]) -> DiaryEvent:
    return DiaryEvent(
        entry.at,
        str(payload["what"]),
        bool(payload.get("follow_up_done", False)),
        str(payload.get("note", "")),
        entry.id,
        bool(payload.get("feels_different", False)),
    )


def _measure(entry: Entry, payload: Mapping[str, Any]) -> Measure:
    goal = payload.get("goal")
    return Measure(
        entry.at,
        str(payload["name"]),
        float(payload["value"]),
        str(payload["unit"]),
        None if goal is None else float(goal),
        bool(payload.get("lower_is_better", False)),
        entry.id,
    )


def _contact(entry: Entry, payload: Mapping[str, Any]) -> Contact:
    return Contact(
        str(payload["name"]),
        str(payload.get("role", "")),
        str(payload.get("phone", "")),
        str(payload.get("hours", "")),
        bool(payload.get("emergency", False)),
        entry.id,
        # Before there were two questions, one answer stood for both.
        bool(payload.get("on_card", payload.get("emergency", False))),
    )
