"""A message is scrolled into sight on the screen that is there then, not on an older one."""

import asyncio
from datetime import UTC, datetime
from types import SimpleNamespace

import flet as ft

from pocketpump.app.shell.screen_route import ScreenRoute
from pocketpump.app.shell.shell import App


class GonePage(SimpleNamespace):
    """A page that runs its tasks late, when the screen may have been drawn anew."""

    def __init__(self) -> None:
        super().__init__(route="/day", width=390, views=[ft.View()], theme=None, tasks=[])

    def update(self) -> None:
        pass

    def run_task(self, handler, **arguments) -> SimpleNamespace:
        self.tasks.append((handler, arguments))
        return SimpleNamespace(cancel=lambda: None)


def test_a_message_is_scrolled_to_on_the_newest_screen(monkeypatch):
    scrolled = []

    async def scroll_to(self, **where):
        scrolled.append((self, where))

    monkeypatch.setattr(ft.Column, "scroll_to", scroll_to)
    page = GonePage()
    stops = {"/day": ScreenRoute(lambda _app: [], "Day", "/day")}
    app = App(page, None, stops, (), home="/day", now=lambda: datetime.now(UTC),
              error_screen=lambda _app: [])  # fmt: skip
    app.start()
    page.tasks.clear()
    app.say("It is saved.")
    app.refresh()
    handler, arguments = page.tasks[0]
    asyncio.run(handler(**arguments))
    [(column, where)] = scrolled
    assert where["offset"] == 0
    assert column is app._column
