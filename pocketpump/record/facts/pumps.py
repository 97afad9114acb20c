"""Which pump is in the body: since when it is another than before, and what is noted of each."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time

from pocketpump.core.units.instants import to_seconds
from pocketpump.record.entry.checks import is_date
from pocketpump.record.entry.entries import Entry, by_minute


@dataclass(slots=True)
class PumpInBody:
    """One pump: ``noted`` are its entries, ``serial`` and ``implanted_on`` what they tell at all.

    Both are "" while not known; ``noted_at`` is when it was first noted as another pump.
    """

    noted: list[Entry]
    serial: str
    implanted_on: str
    noted_at: datetime

    @property
    def entry(self) -> Entry:
        """What was noted of it last."""
        return self.noted[-1]

    @property
    def since(self) -> datetime:
        """The start of the day of its implant, or of the day it was noted on."""
        noted_at = self.noted_at
        day = date.fromisoformat(self.implanted_on) if self.implanted_on else noted_at.date()
        return datetime.combine(day, time(), noted_at.tzinfo)


def pumps_of(
    entries: Iterable[Entry], filled_at: Iterable[datetime], now: datetime | None
) -> tuple[PumpInBody, ...]:
    """Return the pumps that the pump ``entries`` tell of, in the order noted; the first ever since.

    A new pump is noted by saving the pump with its own serial number or its own, later, implant
    date. With one number the date was only mended, and with one date the number was; what an
    entry leaves out stays as it was known. But no pump was filled before its implant: one with a
    date later than an instant of ``filled_at`` is another than was filled then, whatever else is
    noted. A date that cannot be read is as good as none, and so is one later than ``now``: what is
    noted of the pump meanwhile counts for the one in the body, unless it has another serial number
    and so is of the pump to come, of which nothing is believed before its day.
    """
    filled_s = [*map(to_seconds, filled_at)]
    pumps: list[PumpInBody] = []
    for entry in sorted(entries, key=by_minute):
        found = PumpInBody([entry], _serial(entry), _implanted_on(entry, now), entry.at)
        if not pumps:
            pumps.append(PumpInBody([entry], found.serial, "", entry.at))
        known = pumps[-1]
        if _is_to_come(entry, now) and found.serial not in ("", known.serial):
            continue
        first_s = to_seconds(known.since) if len(pumps) > 1 else float("-inf")
        is_dated = found.implanted_on not in ("", known.implanted_on)
        if _is_other(known, found) or (
            is_dated and any(first_s <= at_s < to_seconds(found.since) for at_s in filled_s)
        ):
            pumps.append(found)
            continue
        if known.entry is not entry:
            known.noted.append(entry)
        known.serial = found.serial or known.serial
        if is_dated:
            known.implanted_on, known.noted_at = found.implanted_on, entry.at
    return tuple(pumps)


def _is_other(known: PumpInBody, found: PumpInBody) -> bool:
    was, now = known.implanted_on, found.implanted_on
    if known.serial and found.serial:
        return known.serial != found.serial and (was != now or not was)
    return bool(was) and now > was


def _implanted_on(entry: Entry, now: datetime | None) -> str:
    day = _text(entry, "implanted_on")
    return day if is_date(day) and not _is_to_come(entry, now) else ""


def _is_to_come(entry: Entry, now: datetime | None) -> bool:
    day = _text(entry, "implanted_on")
    return now is not None and is_date(day) and date.fromisoformat(day) > now.date()


def _serial(entry: Entry) -> str:
    """Return the serial number without what people write or leave out: blanks, case, zeros."""
    text = re.sub(r"(?<!\d)0+(?=\d)", "", _text(entry, "serial"))
    return "".join(filter(str.isalnum, text)).casefold()


def _text(entry: Entry, field: str) -> str:
    return str(entry.payload.get(field) or "").strip()
