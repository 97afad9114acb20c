"""Whether what is noted of the pump makes it another one, and how it is corrected instead."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

from pocketpump.record.entry.entries import Entry
from pocketpump.record.facts.situation import newest, pumps_at

_IDENTITY = ("serial", "implanted_on")


def is_another_pump(entries: Sequence[Entry], payload: Mapping[str, Any], now: datetime) -> bool:
    """Return whether ``payload``, noted as a new pump entry at ``now``, is of another pump.

    ``entries`` are those that count. The first pump ever noted is no other one.
    """
    known = newest(entries, "pump", now)
    if known is None:
        return False
    noted = replace(known, id="noted", at=now, written_at=now, payload=payload)
    return _count((*entries, noted), now) > _count(entries, now)


def takes_back_identity(known: Mapping[str, Any], payload: Mapping[str, Any]) -> bool:
    """Return whether ``payload`` lacks the serial number or implant day that was ``known``."""
    return any(known.get(field) and not payload.get(field) for field in _IDENTITY)


def pump_corrections(
    entries: Sequence[Entry], payload: Mapping[str, Any], now: datetime
) -> tuple[tuple[Entry, Mapping[str, Any]], ...]:
    """Return what of the pump in the body is to be corrected so that ``payload`` is of it.

    The newest entry of it becomes ``payload``; the earlier ones get its serial number and day of
    the implant, or lose them, where they have their own. () when that does not help: by the day in
    ``payload`` the pump came after refills that are noted.
    """
    pumps = pumps_at(entries, now)
    if not pumps:
        return ()
    *earlier, last = pumps[-1].noted
    mended: dict[str, Mapping[str, Any]] = {}
    for entry in earlier:
        known = {field: value for field, value in entry.payload.items() if field in _IDENTITY}
        own = {field: payload[field] for field in known if field in payload}
        if own != known:
            kept = {field: value for field, value in entry.payload.items() if field not in known}
            mended[entry.id] = {**kept, **own}
    mended[last.id] = payload
    after = [replace(one, payload=mended.get(one.id, one.payload)) for one in entries]
    if _count(after, now) > len(pumps):
        return ()
    return tuple((one, mended[one.id]) for one in (*earlier, last) if one.id in mended)


def _count(entries: Sequence[Entry], now: datetime) -> int:
    return len(pumps_at(entries, now))
