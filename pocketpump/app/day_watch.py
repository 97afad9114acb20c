"""A screen left open shows the new day by itself."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from datetime import datetime, timedelta

import flet as ft

from pocketpump.core.instants import start_of, to_seconds

_LONGEST_WAIT_S = 600.0
"""Timers stand still while a device sleeps, so midnight is looked for again and again."""


class DayWatch:
    """Calls ``redraw`` when the local day is another than the one last drawn.

    It looks at midnight, and when the app comes back into sight. ``now`` tells the wall
    clock here.
    """

    def __init__(
        self, page: ft.Page, now: Callable[[], datetime], redraw: Callable[[], None]
    ) -> None:
        self._page = page
        self._now = now
        self._redraw = redraw
        self._drawn_on = now().date()

    def drawn(self) -> None:
        """Note that the screen was drawn just now."""
        self._drawn_on = self._now().date()

    def start(self) -> None:
        """Watch until the tab is closed."""
        self._page.on_app_lifecycle_state_change = lambda _event: self._look()
        watch = self._page.run_task(self._watch)
        self._page.on_close = lambda _event: watch.cancel()

    async def _watch(self) -> None:
        while True:
            now = self._now()
            assert now.tzinfo is not None  # a wall clock's instants are aware
            midnight = start_of(now.date() + timedelta(days=1), now.tzinfo)
            left_s = to_seconds(midnight) - to_seconds(now)
            await asyncio.sleep(min(left_s, _LONGEST_WAIT_S))
            self._look()

    def _look(self) -> None:
        if self._now().date() != self._drawn_on:
            self._redraw()
