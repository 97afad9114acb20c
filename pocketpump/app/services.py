"""What the screens work on: the record, the clock and the place, shared by every tab."""

import asyncio
import traceback
from collections.abc import Awaitable, Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import datetime, timedelta, tzinfo
from typing import Any
from zoneinfo import ZoneInfo

from pocketpump.app.device import Device
from pocketpump.app.draft_keeping import forget_waiting
from pocketpump.app.inbox import Inbox
from pocketpump.core.errors import PocketPumpError, Problem
from pocketpump.core.messages import message
from pocketpump.core.pump.forecast import Forecast, forecast
from pocketpump.core.pump.situation import Situation
from pocketpump.core.units.instants import is_zone, zone_named
from pocketpump.exchange.papers.drawing.page import Page
from pocketpump.exchange.papers.drawing.png import to_png
from pocketpump.record import Entry, Record
from pocketpump.record.facts.situation import newest, of_kind, preferences_of, situation_of
from pocketpump.record.facts.state import next_turn

_NO_DATES = Problem(
    "no-dates",
    message(
        "The dates cannot be worked out from what is entered: look at the last refill and dose"
        " setting, and ask the clinic for the alarm date."
    ),
)

_LEFT = "left behind"
_MOMENT = timedelta(minutes=10)
"""How long loading the app again may take (own choice, no source)."""


async def drawn_here(page: Page, pixels_per_mm: float) -> bytes:
    """Return a page of paper as PNG, drawn by this machine; a browser has its own way."""
    return await asyncio.to_thread(to_png, page, pixels_per_mm)


@dataclass
class Services:
    """One person's record in use.

    ``clock`` gives the aware instant now, ``place`` the IANA zone dates are told in: one that
    was chosen, or what asks the device where it is. ``is_demo`` says that the record is the
    invented one and nothing is kept.
    """

    record: Record
    clock: Callable[[], datetime]
    place: str | Callable[[], str]
    is_demo: bool = False
    png_of: Callable[[Page, float], Awaitable[bytes]] = drawn_here
    """Makes a picture of a page of paper, at so many pixels to the millimetre."""
    print_pages: Callable[[Sequence[str], str], None] | None = None
    """Prints pages (each an SVG) under a title, where this is known how to."""
    device: Device | None = None
    """The browser's page around the app, where there is one of ours."""
    inbox: Inbox | None = None
    """What was noted on that page before the app was there."""
    on_leaving: list[Callable[[], Mapping[str, Any]]] = field(default_factory=list)
    """What tells, for every open tab, what is half filled in there."""
    on_begun: list[Callable[[Mapping[str, Mapping[str, Any]]], None]] = field(default_factory=list)
    """What goes on, in every open tab, with what was half filled in before there was an app."""
    on_ended: list[Callable[[], None]] = field(default_factory=list)
    """What forgets what was typed, in every open tab, when the record ends here."""

    @property
    def zone_name(self) -> str:
        """The name of the zone here, now."""
        return self.place if isinstance(self.place, str) else self.place()

    @property
    def zone(self) -> tzinfo:
        """The zone in which dates are shown and typed."""
        return zone_named(self.zone_name)

    def now(self) -> datetime:
        """The instant now, as the wall clock here shows it."""
        return self.clock().astimezone(self.zone)

    def situation(self) -> tuple[Situation | None, tuple[Problem, ...]]:
        """What the core computes from, and what of the record cannot be read."""
        found, problems = situation_of(self.record.alive, self.now())
        unread = (problem for one in self.record.unread for problem in one.problems)
        return found, (*unread, *problems)

    def forecast(self) -> tuple[Forecast | None, tuple[Problem, ...]]:
        """The forecast now, and everything odd or missing."""
        situation, unreadable = self.situation()
        if situation is None:
            return None, unreadable
        try:
            answer, problems = forecast(situation, self.now(), self.zone)
        except Exception:
            # A defect in the arithmetic must not take the warning signs and the card with it.
            traceback.print_exc()
            return None, (*unreadable, _NO_DATES)
        return answer, (*unreadable, *problems)

    def next_turn(self) -> datetime | None:
        """The next instant at which Today says something else, midnights aside."""
        answer, _ = self.forecast()
        return next_turn(self.record.alive, answer) if answer else None

    def of_kind(self, kind: str) -> tuple[Entry, ...]:
        """The entries of one kind that count now, oldest first."""
        return of_kind(self.record.alive, kind)

    def newest(self, kind: str) -> Entry | None:
        """The latest entry of one kind; None without one."""
        return newest(self.record.alive, kind, self.now())

    def preferences(self) -> dict[str, str]:
        """The preferences that count now, by name."""
        return preferences_of(self.record.alive, self.now())

    def prefer(self, name: str, value: str) -> None:
        """Save the preference ``name``."""
        self.save("preference", self.now(), {"name": name, "value": value})

    def find(self, entry_id: str) -> Entry | None:
        """The entry with this id if it counts now."""
        return next((entry for entry in self.record.alive if entry.id == entry_id), None)

    def newest_version(self, entry_id: str) -> Entry | None:
        """What counts now of the entry once written under this id; None when it was removed."""
        return self.record.newest_version(entry_id)

    def save_together(
        self, drafts: Sequence[tuple[str, datetime, Mapping[str, Any]]]
    ) -> tuple[Entry, ...]:
        """Save new entries, each (kind, instant, payload): all of them or none."""
        return self.record.add_many(
            (kind, at, self._zone_of(at), payload) for kind, at, payload in drafts
        )

    def start_over(self) -> None:
        """Move the record aside and go on with an empty one; what was typed is forgotten."""
        self._end(self.record.start_over)
        if self.inbox:
            self.inbox.begin_anew()

    def erase(self) -> None:
        """Remove the record for good; what was typed is forgotten too, in every open tab."""
        self._end(self.record.erase)
        if self.inbox:
            self.inbox.erase()

    def _end(self, end: Callable[[], None]) -> None:
        forget_waiting()
        end()
        for forget in self.on_ended:
            forget()

    def save_draft(self, name: str, values: Mapping[str, Any]) -> None:
        """Keep a half-filled form; a full disk must not disturb the typing, saving will tell."""
        with suppress(PocketPumpError):
            self.record.keep_draft(name, values)

    def leave(self) -> None:
        """Keep what is half filled in for the next start, which follows at once."""
        forms: dict[str, Any] = {}
        for half_filled in self.on_leaving:
            forms |= half_filled()
        self.save_draft(_LEFT, {"at": self.now().isoformat(), "forms": forms})

    def left_behind(self) -> Mapping[str, Mapping[str, Any]]:
        """Return what :meth:`leave` kept a moment ago, and keep it no longer; empty otherwise.

        What is older is dropped: typed long ago, it would be saved as of now. So is what cannot be
        read: the app must start.
        """
        kept: Mapping[str, Any] = self.record.draft(_LEFT)
        if not kept:
            return {}
        self.save_draft(_LEFT, {})
        try:
            age = self.now() - datetime.fromisoformat(str(kept.get("at")))
        except (TypeError, ValueError):
            return {}
        forms = kept.get("forms")
        if not isinstance(forms, Mapping) or not timedelta() <= age <= _MOMENT:
            return {}
        return {name: values for name, values in forms.items() if isinstance(values, Mapping)}

    def now_there(self, entry: Entry | None) -> datetime:
        """The instant now by the wall clock where ``entry`` was noted; here without an entry.

        A screen that shows an entry as it was on the wall there also lets it be corrected so.
        """
        if entry is None:
            return self.now()
        zone = zone_named(entry.zone) if is_zone(entry.zone) else entry.at.tzinfo
        return self.clock().astimezone(zone)

    def save(
        self, kind: str, at: datetime, payload: Mapping[str, Any], replaces: str = ""
    ) -> Entry:
        """Save a new entry, or a correction of ``replaces``; durable on return.

        A correction whose wall clock still shows the same minute keeps the instant and the zone
        of what it corrects: a form shows no seconds, and may be filled in elsewhere.
        """
        if not replaces:
            return self.record.add(kind, at, self._zone_of(at), payload)
        old = self.find(replaces)
        if old is not None and same_minute(old.at, at):
            return self.record.correct(replaces, payload)
        return self.record.correct(replaces, payload, at, self._zone_of(at))

    def _zone_of(self, at: datetime) -> str:
        """Return the zone ``at`` was read in: the device may be in another by now."""
        return at.tzinfo.key if isinstance(at.tzinfo, ZoneInfo) else self.zone_name


def same_minute(one: datetime, other: datetime) -> bool:
    """Tell whether both stand at the same minute on the wall clock of ``other``."""
    # The walls are compared, not the instants: an hour that comes twice is typed the same.
    walls = (t.astimezone(other.tzinfo).replace(tzinfo=None, fold=0) for t in (one, other))
    first, second = (wall.replace(second=0, microsecond=0) for wall in walls)
    return first == second
