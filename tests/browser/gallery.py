"""Every part on show, for looking at and for tests: ``python tests/browser/gallery.py``."""

from __future__ import annotations

import argparse
from datetime import UTC, date, datetime, time

import flet as ft

from pocketpump.app import parts
from pocketpump.app.look import theme
from pocketpump.app.parts.level_layout import LevelMark
from pocketpump.app.server.serve import serve
from pocketpump.app.shell.frame import BarPlace
from pocketpump.app.shell.screen_route import ScreenRoute
from pocketpump.app.shell.shell import App
from pocketpump.core.errors import InputError
from pocketpump.core.units.quantity import parse_number

PLACES = (
    BarPlace("/", "Today", ft.Icons.WATER_DROP_OUTLINED),
    BarPlace("/fields", "Diary", ft.Icons.EDIT_NOTE),
    BarPlace("/choices", "Refills", ft.Icons.EVENT_REPEAT),
    BarPlace("/words", "Card", ft.Icons.BADGE_OUTLINED),
    BarPlace("/more", "More", ft.Icons.MENU),
)
MARKS = (
    LevelMark("refill by", 4.4, leading=True),
    LevelMark("alarm", 2.0),
    LevelMark("empty", 0.0),
)
WORDS = "14.2 mL of 20 mL left. Refill by at 4.4 mL, alarm at 2 mL, then empty."


def home(app: App[dict]) -> list[ft.Control]:
    return [
        ft.Row(
            [
                parts.reservoir_chart(14.2, 20, MARKS, spoken=WORDS, scale=app.scale),
                ft.Column(
                    [
                        ft.Text("37", theme_style=theme.NUMBER),
                        ft.Text("days to\nrefill-by", theme_style=theme.BODY),
                    ],
                    spacing=0,
                ),
            ],
            wrap=True,
            spacing=theme.GAP,
        ),
        parts.big_button(
            "How is it now?", lambda: app.go("/fields"), icon=ft.Icons.FAVORITE_BORDER
        ),
        parts.big_button("I'm at the clinic", lambda: app.go("/choices")),
        parts.quiet_button("Show my card", lambda: app.go("/bare")),
        parts.explain([], is_open=False, on_toggle=lambda: None, title="Does nothing"),
        app.explain(
            "days",
            [
                ("Flow", "200 mcg/day ÷ 500 mcg/mL = 0.4 mL/day"),
                ("Days to alarm", "(20 mL − 2 mL) ÷ 0.4 mL/day = 45 days"),
            ],
        ),
    ]


def is_number(text: str) -> bool:
    try:
        parse_number(text)
    except InputError:
        return False
    return True


def fields(app: App[dict]) -> list[ft.Control]:
    draft = app.draft("fields")

    def put(name: str):
        def typed(text: str) -> None:
            draft[name] = text
            app.refresh()

        return typed

    def save() -> None:
        app.services.setdefault("saved", []).append(dict(draft))
        app.say("Saved: check-in of Thu 26 Feb 2026, 14:30.", undo=undo)

    def undo() -> None:
        app.services["saved"].pop()
        app.say("Taken back.")

    name = draft.get("name", "")
    dose = draft.get("dose", "200")
    bad = "" if is_number(dose) else "This is not a number."
    extra = [parts.body(f"Letters so far: {len(name)}.") for _ in range(len(name) % 3)]
    return [
        *extra,
        parts.text_field("Name of the pump", name, put("name"), helper="As on your pump card."),
        parts.stepper(
            "Daily dose", dose, put("dose"), unit="mcg a day", step="0.5", least="0", error=bad
        ),
        parts.date_field(
            "Day of the refill", draft.get("day", ""), put("day"), today=date(2026, 2, 26)
        ),
        parts.time_field("Time", draft.get("time", "14:30"), put("time"), now=time(9, 0)),
        parts.text_field("Note", draft.get("note", ""), put("note"), lines=3),
        parts.text_field(
            "Phone of the clinic", "12", put("phone"), error="A phone number has more digits."
        ),
        parts.big_button("Save", save, icon=ft.Icons.CHECK),
        parts.body(f"Saved so far: {len(app.services.get('saved', []))}."),
    ]


def choices(app: App[dict]) -> list[ft.Control]:
    draft = app.draft("choices")

    def put(name: str):
        def chosen(value: str) -> None:
            draft[name] = value
            app.refresh()

        return chosen

    return [
        parts.choice(
            "How is the pump programmed?",
            [("constant", "Constant rate"), ("pattern", "Day pattern"), ("stopped", "Stopped")],
            draft.get("mode", "constant"),
            put("mode"),
        ),
        parts.choice(
            "Stiffness, 0 none to 10 worst",
            [(str(n), str(n)) for n in range(11)],
            draft.get("stiffness", "3"),
            put("stiffness"),
            in_row=True,
        ),
        parts.choice(
            "Anything worrying?",
            [("no", "No"), ("yes", "Yes")],
            draft.get("worry"),
            put("worry"),
            in_row=True,
            error="Choose one.",
        ),
    ]


def words(app: App[dict]) -> list[ft.Control]:
    return [
        parts.notice("The clinic is open on Monday.", close=lambda: None, key="n1"),
        parts.notice(
            "the printed alarm date is 3 days later than the computed one.",
            needs_you=True,
            key="n2",
        ),
        parts.section("This pump"),
        parts.card(
            [
                parts.fact_row("Reservoir", "20 mL"),
                parts.fact_row("Strength", "500 mcg/mL", note="Since Mon 12 Jan 2026."),
                parts.fact_row("Alarm date", "Thu 26 Feb 2026"),
            ]
        ),
        ft.Row(
            [
                parts.reservoir_chart(2.6, 20, MARKS, spoken="Low.", scale=app.scale),
                parts.reservoir_chart(None, 40, [], spoken="Not known.", scale=app.scale),
            ],
            wrap=True,
        ),
    ]


def more(app: App[dict]) -> list[ft.Control]:
    return [
        parts.quiet_button("Larger text", lambda: app.set_look(scale=2.0)),
        parts.quiet_button("Normal text", lambda: app.set_look(scale=1.0)),
        parts.quiet_button("Dark", lambda: app.set_look(mode=ft.ThemeMode.DARK)),
        parts.quiet_button("Light", lambda: app.set_look(mode=ft.ThemeMode.LIGHT)),
    ]


def bare(app: App[dict]) -> list[ft.Control]:
    return [parts.body(f"Full screen. Query {app.query}.")]


ROUTES = {
    "/": ScreenRoute(home, "Today", "/"),
    "/fields": ScreenRoute(fields, "How is it now?", "/fields", up="/"),
    "/choices": ScreenRoute(choices, "At the clinic", "/choices"),
    "/words": ScreenRoute(words, "Words", "/words"),
    "/more": ScreenRoute(more, "More", "/more"),
    "/bare": ScreenRoute(bare, "Card", "/words", up="/", bare=True),
}


def main() -> None:
    """Serve the gallery; the shared dictionary stands in for the record."""
    arguments = argparse.ArgumentParser()
    arguments.add_argument("--port", type=int, default=8378)
    port = arguments.parse_args().port
    shared: dict = {}

    def opened(page: ft.Page) -> None:
        App(
            page, shared, ROUTES, PLACES, home="/", now=lambda: datetime.now(UTC), error_screen=more
        ).start()

    serve(opened, port=port, open_browser=False, announce=lambda text: print(text, flush=True))


if __name__ == "__main__":
    main()
