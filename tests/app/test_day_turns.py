"""A screen left open shows the new day by itself: at midnight, and after a sleep."""

import asyncio
import time
from collections.abc import Callable
from datetime import datetime, timedelta
from types import SimpleNamespace
from zoneinfo import ZoneInfo

import flet as ft
import pytest

from pocketpump.app.shell import App, Stop

# The night in which the clocks here are put forward: the day has 23 hours.
EVENING = datetime(2026, 3, 28, 23, 59, tzinfo=ZoneInfo("Europe/Amsterdam"))


class FakePage(SimpleNamespace):
    """As much of a page as the frame asks for; ``tasks`` are the coroutines it was given."""

    def __init__(self) -> None:
        super().__init__(route="/day", width=390, views=[ft.View()], theme=None, tasks=[])

    def update(self) -> None:
        pass

    def run_task(self, handler: Callable) -> SimpleNamespace:
        self.tasks.append(handler)
        return SimpleNamespace(cancel=lambda: self.tasks.remove(handler))


def opened(now: Callable[[], datetime]) -> tuple[FakePage, list[str]]:
    page, drawn = FakePage(), []

    def day(_app: App) -> list[ft.Control]:
        drawn.append(now().date().isoformat())
        return []

    stops = {"/day": Stop(day, "Day", "/day")}
    App(page, None, stops, (), home="/day", now=now, broken=day).start()
    assert drawn == ["2026-03-28"]
    return page, drawn


def test_the_day_turns_at_midnight_by_itself():
    # Half a second before midnight, and real time from the first picture on.
    late, shown_at = EVENING + timedelta(seconds=59.5), []
    page, drawn = opened(
        lambda: late + timedelta(seconds=time.monotonic() - shown_at[0] if shown_at else 0)
    )
    shown_at.append(time.monotonic())

    async def until_drawn_again() -> None:
        watch = asyncio.ensure_future(page.tasks[0]())
        while len(drawn) < 2:
            await asyncio.sleep(0.05)
        watch.cancel()

    asyncio.run(asyncio.wait_for(until_drawn_again(), 20))
    assert drawn[1:] == ["2026-03-29"]


@pytest.mark.parametrize(("slept", "again"), [(0.5, []), (7200, ["2026-03-29"])])
def test_coming_back_after_a_sleep_shows_the_day_it_is(slept, again):
    instant = [EVENING]
    page, drawn = opened(lambda: instant[0])
    instant[0] += timedelta(seconds=slept)
    page.on_app_lifecycle_state_change(None)
    assert drawn[1:] == again


def test_a_closed_tab_watches_no_longer():
    page, _ = opened(lambda: EVENING)
    assert len(page.tasks) == 1
    page.on_close(None)
    assert page.tasks == []
