"""Draws a screen that is left open anew at midnight and whenever what it says has changed."""

from __future__ import annotations

import asyncio
import traceback
from collections.abc import Callable
from datetime import datetime, timedelta

import flet as ft

from pocketpump.core.units.instants import start_of, to_seconds

_LONGEST_WAIT_S = 60.0
"""Timers stand still while a device sleeps; a save or a journey may change what is waited for."""

_IN_SIGHT = (ft.AppLifecycleState.SHOW, ft.AppLifecycleState.RESUME, ft.AppLifecycleState.RESTART)


class DayWatch:
    """Calls ``redraw`` when what was last drawn is no longer so.

    That is: at midnight, at the instants ``next_turn`` names (alarm, empty), in another time
    zone, and when the app comes back into sight in another minute. ``now`` tells the wall clock
    here; ``next_turn`` the next instant at which something else is to be said, None for none.
    """

    def __init__(
        self,
        page: ft.Page,
        now: Callable[[], datetime],
        redraw: Callable[[], None],
        next_turn: Callable[[], datetime | None],
    ) -> None:
        self._page = page
        self._now = now
        self._redraw = redraw
        self._next_turn = next_turn
        self.drawn()

    def drawn(self) -> None:
        """Note that the screen was drawn just now."""
        self._drawn_at = self._now()
        # Worked out in the watch: a drawing must not wait for it.
        self._turn: datetime | None = None
        self._turn_is_known = False

    def start(self) -> None:
        """Watch until the tab is closed."""
        self._page.on_app_lifecycle_state_change = self._came_back
        watch = self._page.run_task(self._watch)
        self._page.on_close = lambda _event: watch.cancel()

    async def _watch(self) -> None:
        while True:
            await asyncio.sleep(self._wait_s())
            self._look()

    def _wait_s(self) -> float:
        """Return for how many seconds nothing is to be looked for."""
        now = self._now()
        assert now.tzinfo is not None  # a wall clock's instants are aware
        if not self._turn_is_known:
            self._turn, self._turn_is_known = self._asked_turn(), True
        changes = [start_of(now.date() + timedelta(days=1), now.tzinfo)]
        changes += [self._turn] if self._turn else []
        left_s = min(map(to_seconds, changes)) - to_seconds(now)
        return min(max(left_s, 0.0), _LONGEST_WAIT_S)

    def _asked_turn(self) -> datetime | None:
        try:
            return self._next_turn()
        except Exception:
            # Midnight must still come.
            traceback.print_exc()
            return None

    def _look(self) -> None:
        now, drawn = self._now(), self._drawn_at
        turned = self._turn is not None and to_seconds(now) >= to_seconds(self._turn)
        if turned or (now.date(), str(now.tzinfo)) != (drawn.date(), str(drawn.tzinfo)):
            self._redraw()

    def _came_back(self, event: ft.AppLifecycleStateChangeEvent) -> None:
        if event.state not in _IN_SIGHT:
            return
        if _minute(self._now()) != _minute(self._drawn_at):
            self._redraw()


def _minute(at: datetime) -> tuple[float, str]:
    return to_seconds(at) // 60, str(at.tzinfo)
