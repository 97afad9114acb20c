"""The frame around every screen: one that fails leaves the rest standing."""

from datetime import UTC, datetime
from types import SimpleNamespace

import flet as ft
from screen_hand import controls_in

from pocketpump.app.parts import body
from pocketpump.app.shell.frame import BarPlace
from pocketpump.app.shell.screen_route import ScreenRoute
from pocketpump.app.shell.shell import App


def test_a_screen_that_fails_is_replaced_by_what_still_helps(capsys):
    def fails(_app):
        raise ZeroDivisionError("a defect")

    page = SimpleNamespace(route="/odd", views=[SimpleNamespace()], width=390, update=lambda: None)
    stops = {
        "/odd": ScreenRoute(fails, "Odd", "/odd"),
        "/fine": ScreenRoute(lambda _: [body("fine")], "F", "/f"),
    }
    app = App(page, None, stops, [BarPlace("/odd", "Odd", ft.Icons.ADD)], home="/odd",
              error_screen=lambda _: [body("whom to call")],
              now=lambda: datetime(2026, 1, 20, tzinfo=UTC))  # fmt: skip
    app.refresh()
    told = [getattr(c, "value", "") for c in controls_in(page.views[0].controls)]
    assert "whom to call" in told
    assert "a defect" in capsys.readouterr().err
    page.route = "/fine"
    app.refresh()
    assert "fine" in [getattr(c, "value", "") for c in controls_in(page.views[0].controls)]
