"""What the screens work on: the record, the clock and the place, shared by every tab."""

from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime, tzinfo
from typing import Any

from pocketpump.core.errors import PocketPumpError, Problem
from pocketpump.core.instants import zone_named
from pocketpump.core.outlook import Outlook, Situation, outlook
from pocketpump.record import Entry, Record
from pocketpump.record.situation import newest, of_kind, situation_of


@dataclass
class Notebook:
    """One person's record in use.

    ``clock`` gives the aware instant now, ``zone_name`` the IANA zone where the device is,
    ``is_demo`` says that the record is the invented one and nothing is kept.
    """

    record: Record
    clock: Callable[[], datetime]
    zone_name: str
    is_demo: bool = False

    @property
    def zone(self) -> tzinfo:
        """The zone in which dates are shown and typed."""
        return zone_named(self.zone_name)

    def now(self) -> datetime:
        """The instant now, as the wall clock here shows it."""
        return self.clock().astimezone(self.zone)

    def situation(self) -> tuple[Situation | None, tuple[Problem, ...]]:
        """What the core computes from, and what of the record cannot be read."""
        return situation_of(self.record.alive, self.now())

    def outlook(self) -> tuple[Outlook | None, tuple[Problem, ...]]:
        """The outlook now, and everything odd or missing."""
        situation, unreadable = self.situation()
        if situation is None:
            return None, unreadable
        answer, problems = outlook(situation, self.now(), self.zone)
        return answer, (*unreadable, *problems)

    def of_kind(self, kind: str) -> tuple[Entry, ...]:
        """The entries of one kind that count now, oldest first."""
        return of_kind(self.record.alive, kind)

    def newest(self, kind: str) -> Entry | None:
        """The latest entry of one kind; None without one."""
        return newest(self.record.alive, kind, self.now())

    def find(self, entry_id: str) -> Entry | None:
        """The entry with this id if it counts now."""
        return next((entry for entry in self.record.alive if entry.id == entry_id), None)

    def save_together(
        self, at: datetime, payloads: Sequence[tuple[str, Mapping[str, Any]]]
    ) -> tuple[Entry, ...]:
        """Save new entries of one instant, each (kind, payload): all of them or none."""
        return self.record.add_many(
            (kind, at, self.zone_name, payload) for kind, payload in payloads
        )

    def save_draft(self, name: str, values: Mapping[str, Any]) -> None:
        """Keep a half-filled form; a full disk must not disturb the typing, saving will tell."""
        with suppress(PocketPumpError):
            self.record.keep_draft(name, values)

    def save(
        self, kind: str, at: datetime, payload: Mapping[str, Any], replaces: str = ""
    ) -> Entry:
        """Save a new entry, or a correction of ``replaces``; durable on return."""
        if replaces:
            return self.record.correct(replaces, payload, at, self.zone_name)
        return self.record.add(kind, at, self.zone_name, payload)
