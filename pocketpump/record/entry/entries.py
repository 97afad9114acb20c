"""Entries: the immutable things of which the record is made."""

import json
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timezone
from typing import Any

from pocketpump.core.errors import InputError
from pocketpump.core.messages import message
from pocketpump.core.pump.timeline import minute_of
from pocketpump.core.units.instants import FIRST_KEPT_YEAR, LAST_KEPT_YEAR, is_zone, of_our_time
from pocketpump.record.entry.bounds import is_bounded, is_name, of_the_record
from pocketpump.record.entry.checks import check_payload, without_nulls
from pocketpump.record.entry.frozen import JSON, freeze, thaw
from pocketpump.record.entry.json_text import to_text
from pocketpump.record.entry.kinds import REMOVAL

Document = dict[str, Any]
"""An entry as plain JSON, the shape kept on disk and in backups."""

_PAYLOAD_LEVEL = 2  # {"payload": {}}


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing the person noted, never changed after it was written.

    ``id`` is a UUID4 as text; ``kind`` a word from :data:`pocketpump.record.entry.kinds.KINDS` (or
    one from a newer PocketPump); ``at`` the aware instant it speaks of, with its UTC offset;
    ``zone`` the IANA zone name there, or ""; ``written_at`` the aware UTC instant of writing;
    ``payload`` frozen JSON, amounts in the units their names carry; ``replaces`` the id of
    the entry this one corrects; ``removes`` the id of the entry a removal takes away.

    ``first_written_at`` is no part of it and not kept: of a correction that counts it tells when
    the first version was written (see `pocketpump.record.history.history.resolve`), None where
    unknown.
    """

    id: str
    kind: str
    at: datetime
    zone: str
    written_at: datetime
    payload: Mapping[str, JSON]
    replaces: str | None = None
    removes: str | None = None
    first_written_at: datetime | None = field(default=None, compare=False)

    def __hash__(self) -> int:
        return hash(self.id)

    @property
    def line(self) -> bytes:
        """The entry as it stands in a backup: compact JSON in UTF-8."""
        return to_text(to_document(self))


def by_minute(entry: Entry) -> tuple[int, datetime, str]:
    """Return the key by which one entry is noted later than another.

    The minute spoken of decides, for what people note has no seconds; within one minute, the
    instant of writing. The core goes by the same rule (`pocketpump.core.pump.timeline.in_order`).
    """
    return minute_of(entry.at), entry.written_at, entry.id


def _fixed_offset(instant: datetime, field: str) -> datetime:
    """Swap a rule-based zone for the offset it had, so text and back is the same value."""
    offset = instant.utcoffset()
    if offset is None:
        raise InputError(message("The time needs its time zone; please choose one."), field=field)
    if not of_the_record(instant):
        raise InputError(
            message(
                "The year {year} is not from {first} to {last}: look at it again.",
                year=instant.year,
                first=FIRST_KEPT_YEAR,
                last=LAST_KEPT_YEAR,
            ),
            field=field,
        )
    return instant.replace(tzinfo=UTC if not offset else timezone(offset), fold=0)


def instant_of_writing(now: datetime) -> datetime:
    """Return an aware instant as an entry says when it was written: in UTC.

    Raises :class:`InputError` when it is of no year that an entry may speak of.
    """
    written = _fixed_offset(now, "written_at").astimezone(UTC)
    return _fixed_offset(written, "written_at")


def new_entry(
    kind: str,
    at: datetime,
    zone: str,
    payload: Mapping[str, JSON],
    *,
    now: datetime,
    make_id: Callable[[], str],
    replaces: str | None = None,
    removes: str | None = None,
    kept: bool = False,
) -> Entry:
    """Make an entry that is fit to be written.

    ``at`` and ``now`` are aware instants, ``make_id`` gives a fresh UUID4 as text; with ``kept``
    the entry of that instant is there already. Raises
    :class:`InputError` when the payload does not fit the kind, an instant has no offset or would
    not be counted, the zone is unknown, or a removal does not say what it removes (and the other
    way round).
    """
    if not kept:
        of_our_time(at, "at")
    if zone and not is_zone(zone):
        raise InputError(
            message("“{zone}” is not a known time zone; please choose one.", zone=zone),
            field="zone",
        )
    if (kind == REMOVAL) != (removes is not None) or (removes and replaces):
        raise InputError(
            message("A removal names one entry to take away; please choose that entry.")
        )
    checked = check_payload(kind, payload)
    if not is_bounded(checked, _PAYLOAD_LEVEL):
        raise InputError(
            message(
                "This holds more than can be kept in one entry, so it was not saved; please make"
                " it shorter and save again."
            )
        )
    return Entry(
        id=make_id(),
        kind=kind,
        at=_fixed_offset(at, "at"),
        zone=zone,
        written_at=instant_of_writing(now),
        payload=freeze(checked),
        replaces=replaces,
        removes=removes,
    )


def new_correction(
    old: Entry,
    payload: Mapping[str, JSON],
    at: datetime | None,
    zone: str | None,
    *,
    now: datetime,
    make_id: Callable[[], str],
) -> Entry:
    """Make the entry that stands in the place of ``old``; ``at`` and ``zone`` stay when None.

    Raises `InputError` for a removal, and as :func:`new_entry` does.
    """
    if old.removes is not None:
        raise InputError(message("A removal cannot be changed; undo it to bring the entry back."))
    return new_entry(
        old.kind,
        old.at if at is None else at,
        old.zone if zone is None else zone,
        payload,
        now=now,
        make_id=make_id,
        replaces=old.id,
        kept=at is None or at == old.at,
    )


def new_removals(
    entries: Iterable[Entry], *, now: datetime, make_id: Callable[[], str]
) -> tuple[Entry, ...]:
    """Make the removals that take ``entries`` away as one act, so that one undo takes back all."""
    removals: list[Entry] = []
    for old in entries:
        payload = {"together": removals[0].id} if removals else {}
        removals.append(
            new_entry(
                REMOVAL,
                old.at,
                old.zone,
                payload,
                now=now,
                make_id=make_id,
                removes=old.id,
                kept=True,
            )
        )
    return tuple(removals)


def to_document(entry: Entry) -> Document:
    """Return the entry as plain JSON; instants are ISO 8601 text with their offset."""
    document: Document = {
        "id": entry.id,
        "kind": entry.kind,
        "at": entry.at.isoformat(),
        "zone": entry.zone,
        "written_at": entry.written_at.isoformat(),
        "payload": thaw(entry.payload),
    }
    if entry.replaces is not None:
        document["replaces"] = entry.replaces
    if entry.removes is not None:
        document["removes"] = entry.removes
    return document


def from_document(document: Mapping[str, Any]) -> Entry:
    """Return the entry a document holds, within the limits of :mod:`.bounds`.

    Optional values of a known kind that are null are left out, as if they had never been written;
    else the payload is not checked against its kind. Raises :class:`InputError` when the document
    is not an entry, or is none that can be kept.
    """
    try:
        at = datetime.fromisoformat(document["at"])
        written_at = datetime.fromisoformat(document["written_at"])
        payload, kind = document["payload"], document["kind"]
        if not is_bounded(payload, _PAYLOAD_LEVEL):
            raise ValueError
        entry = Entry(
            document["id"],
            kind,
            at,
            document["zone"],
            written_at if written_at.tzinfo is UTC else written_at.astimezone(UTC),
            freeze(without_nulls(kind, payload)),
            document.get("replaces"),
            document.get("removes"),
        )
        links = ("" if link is None else link for link in (entry.replaces, entry.removes))
        texts = (entry.id, entry.kind, entry.zone, *links)
        sound = (
            set(map(type, texts)) == {str}
            and isinstance(payload, dict)
            and at.tzinfo is not None
            and written_at.tzinfo is not None
            and all(map(is_name, filter(None, texts)))
            and bool(entry.id and entry.kind)
            and of_the_record(at)
            and of_the_record(entry.written_at)
        )
    except (KeyError, TypeError, ValueError, AttributeError, OverflowError):
        sound = False
    if not sound:
        raise InputError(
            message("This is not a PocketPump entry, so it was left out and nothing changed.")
        )
    return entry


def canonical(entry: Entry) -> str:
    """Return one text per content: equal texts mean the very same entry."""
    return json.dumps(to_document(entry), sort_keys=True, separators=(",", ":"))


def bare(entry: Entry) -> str:
    """Return one text per what is said, whichever entry says it and in the place of which."""
    return canonical(replace(entry, id="", replaces=None))
