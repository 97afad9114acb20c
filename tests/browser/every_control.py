"""Every kind of control on one tall page, each telling a file what it did: for presses.

``python tests/browser/every_control.py`` serves it; what was done stands, a line each, in the
file ``done`` of the record's folder.
"""

from __future__ import annotations

import argparse
import os
from collections.abc import Callable
from datetime import UTC, date, datetime, time
from pathlib import Path

import flet as ft

from pocketpump.app import parts
from pocketpump.app.server.serve import serve
from pocketpump.app.shell.frame import BarPlace
from pocketpump.app.shell.screen_route import ScreenRoute
from pocketpump.app.shell.shell import App

DONE = Path(os.environ["POCKETPUMP_RECORD"], "done")
PLACES = (
    BarPlace("/", "Today", ft.Icons.WATER_DROP_OUTLINED),
    BarPlace("/bar", "Diary", ft.Icons.EDIT_NOTE),
)


def note(what: str) -> None:
    with DONE.open("a") as done:
        done.write(f"{what}\n")


def noted(what: str) -> Callable[[], None]:
    return lambda: note(what)


def told(what: str) -> Callable[[str], None]:
    return lambda value: note(f"{what} {value}")


SHOWN = {"secret": False}


def look(app: App[None]) -> None:
    note("look")
    SHOWN["secret"] = not SHOWN["secret"]
    app.refresh()


def every(app: App[None]) -> list[ft.Control]:
    """Everything that can be pressed; all but "Go" leave the screen as it is."""
    return [
        parts.big_button("Go", lambda: app.go("/deep")),
        parts.big_button("Main", noted("main")),
        parts.quiet_button("Quiet", noted("quiet"), icon=ft.Icons.EDIT_OUTLINED),
        parts.call_button("Clinic", "+31 20 555 0100", "+31205550100", first=True, key="call"),
        parts.call_line("Ward", "+31 20 555 0101", "+31205550101", first=False, key="line"),
        parts.notice("A message.", undo=noted("undo"), close=noted("close")),
        parts.explain([], is_open=False, on_toggle=noted("fold"), title="Fold"),
        parts.choice("Choice", [("a", "First"), ("b", "Second")], "a", told("choice")),
        parts.choice("Side by side", [("y", "Yes"), ("n", "No")], "y", told("switch"), in_row=True),
        parts.check_boxes("Ticks", [("itch", "Itch"), ("fever", "Fever")], {"itch"}, told("tick")),
        parts.number_grid("Score", 4, "3", told("score")),
        parts.stepper("Amount", "20", told("step"), unit="mL"),
        parts.date_field("Day", "2026-02-26", told("day"), today=date(2026, 2, 26)),
        parts.time_field("Time", "14:30", told("time"), now=time(9)),
        parts.secret_field(
            "Secret",
            "",
            told("secret"),
            shown=SHOWN["secret"],
            on_look=lambda: look(app),
            on_enter=lambda: None,
        ),
    ]


def other(app: App[None]) -> list[ft.Control]:
    note(f"drawn {app.route}")
    # Where the finger still is when the screen has changed under it.
    return [parts.big_button(f"Nothing {row}", noted("nothing")) for row in range(30)]


ROUTES = {
    "/": ScreenRoute(every, "Today", "/"),
    "/bar": ScreenRoute(other, "Diary", "/bar"),
    "/deep": ScreenRoute(other, "Deep", "/", up="/bar"),
}


def main() -> None:
    arguments = argparse.ArgumentParser()
    arguments.add_argument("--port", type=int, default=8379)
    port = arguments.parse_args().port

    def opened(page: ft.Page) -> None:
        App(
            page, None, ROUTES, PLACES, home="/", now=lambda: datetime.now(UTC), error_screen=other
        ).start()

    serve(opened, port=port, open_browser=False, announce=lambda text: print(text, flush=True))


if __name__ == "__main__":
    main()
