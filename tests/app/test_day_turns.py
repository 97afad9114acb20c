"""A screen left open shows what has come: midnight, the alarm, another zone, the end of a sleep."""

import asyncio
import time
from collections.abc import Callable
from datetime import datetime, timedelta
from types import SimpleNamespace
from zoneinfo import ZoneInfo

import flet as ft
import pytest

from pocketpump.app.shell.screen_route import ScreenRoute
from pocketpump.app.shell.shell import App

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


def opened(
    now: Callable[[], datetime], next_turn: Callable[[], datetime | None] = lambda: None
) -> tuple[FakePage, list[str]]:
    """A page and the days it was drawn on, after the first."""
    page, drawn = FakePage(), []
    opened_app(now, next_turn, page, drawn)
    return page, drawn


def opened_app(
    now: Callable[[], datetime],
    next_turn: Callable[[], datetime | None],
    page: FakePage | None = None,
    drawn: list[str] | None = None,
) -> tuple[App, FakePage]:
    page = page or FakePage()
    days = [] if drawn is None else drawn

    def day(_app: App) -> list[ft.Control]:
        days.append(now().date().isoformat())
        return []

    stops = {"/day": ScreenRoute(day, "Day", "/day")}
    app = App(page, None, stops, (), home="/day", now=now, next_turn=next_turn, error_screen=day)
    app.start()
    assert days == ["2026-03-28"]
    return app, page


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


class Night:
    """A clock that only goes on while somebody sleeps, and what the watch slept."""

    def __init__(self, monkeypatch, begins: datetime) -> None:
        self.now = begins
        self.begins = begins
        monkeypatch.setattr(asyncio, "sleep", self._sleep)

    def slept_until(self, page: FakePage, minutes: float) -> None:
        self._ends = self.now + timedelta(minutes=minutes)
        with pytest.raises(TimeoutError):
            asyncio.run(page.tasks[0]())

    async def _sleep(self, seconds: float) -> None:
        assert seconds > 0
        # As seconds: the wall clock is put forward in this night.
        self.now = datetime.fromtimestamp(self.now.timestamp() + seconds, self.now.tzinfo)
        if self.now > self._ends:
            raise TimeoutError


def test_the_alarm_is_told_at_its_instant_and_no_other(monkeypatch):
    night = Night(monkeypatch, EVENING - timedelta(hours=9))
    alarm, empty = (night.begins + timedelta(minutes=m) for m in (17, 44.5))
    shown = []

    def next_turn() -> datetime | None:
        return next((one for one in (alarm, empty) if one > night.now), None)

    monkeypatch.setattr(App, "refresh", recorded(shown, night))
    page, _ = opened(lambda: night.now, next_turn)
    shown.clear()
    night.slept_until(page, 120)
    assert shown == [alarm, empty]


def recorded(shown: list, night: Night) -> Callable:
    refresh = App.refresh

    def drawn(app: App) -> None:
        shown.append(night.now)
        refresh(app)

    return drawn


def test_an_alarm_that_a_save_brings_nearer_is_told_within_a_minute(monkeypatch):
    night = Night(monkeypatch, EVENING - timedelta(hours=9))
    alarm = [night.begins + timedelta(hours=5)]
    shown = []
    monkeypatch.setattr(App, "refresh", recorded(shown, night))
    app, page = opened_app(lambda: night.now, lambda: alarm[0] if alarm[0] > night.now else None)
    night.slept_until(page, 10)
    alarm[0] = night.now + timedelta(minutes=3)
    app.refresh()  # as every save does
    shown.clear()
    night.slept_until(page, 10)
    assert [at - alarm[0] < timedelta(minutes=1) for at in shown] == [True]


def test_what_cannot_be_worked_out_does_not_keep_midnight_away(monkeypatch, capsys):
    night = Night(monkeypatch, EVENING)

    def error_screen() -> datetime | None:
        raise RuntimeError("the forecast cannot be worked out")

    page, drawn = opened(lambda: night.now, error_screen)
    night.slept_until(page, 3)
    assert drawn[1:] == ["2026-03-29"]
    assert "the forecast cannot be worked out" in capsys.readouterr().err


def test_another_time_zone_is_seen_within_a_minute(monkeypatch):
    night = Night(monkeypatch, EVENING - timedelta(hours=9))
    page, drawn = opened(lambda: night.now)
    night.now = night.now.astimezone(ZoneInfo("America/Toronto"))
    night.slept_until(page, 5)
    assert drawn[1:] == ["2026-03-28"]


@pytest.mark.parametrize(
    ("slept", "again"),
    [(0.5, []), (59, []), (7200, ["2026-03-29"]), (-7200, ["2026-03-28"])],
)
@pytest.mark.parametrize("state", ["RESUME", "SHOW", "HIDE"])
def test_coming_back_after_a_sleep_shows_how_it_is_now(slept, again, state):
    instant = [EVENING]
    page, drawn = opened(lambda: instant[0])
    instant[0] += timedelta(seconds=slept)
    page.on_app_lifecycle_state_change(SimpleNamespace(state=ft.AppLifecycleState[state]))
    assert drawn[1:] == (again if state != "HIDE" else [])


def test_a_closed_tab_watches_no_longer():
    page, _ = opened(lambda: EVENING)
    assert len(page.tasks) == 1
    page.on_close(None)
    assert page.tasks == []
