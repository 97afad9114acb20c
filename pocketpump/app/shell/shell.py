"""The frame around every screen: where one is, how one gets elsewhere, what was said.

A *screen* is a function from the app to a list of controls. It reads what it needs,
builds controls and returns; nothing it builds is kept or changed afterwards. When
something has changed, :meth:`App.refresh` calls it again and flet sends only the
difference, so the focus, the caret and the scroll position stay where they are.

The route is the one truth about which screen is shown: every way of moving (a button,
the bar, the browser's back) changes the route, and the route draws the screen.
"""

from __future__ import annotations

import traceback
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any, Generic, TypeVar
from urllib.parse import parse_qsl, urlsplit

import flet as ft

from pocketpump.app.look import theme
from pocketpump.app.parts.tap_guard import Tap, wait_anew
from pocketpump.app.parts.texts import explain
from pocketpump.app.shell.client import keep_awake, tell_language
from pocketpump.app.shell.day_watch import DayWatch
from pocketpump.app.shell.demo_calls import DIALS_NOTHING, mark_demo_calls
from pocketpump.app.shell.drawing import Drawing
from pocketpump.app.shell.event_handling import ControlPath, guard, sentence_of
from pocketpump.app.shell.frame import BarPlace, frame
from pocketpump.app.shell.last_said import LastSaid
from pocketpump.app.shell.refused_save import Refusal
from pocketpump.app.shell.screen_route import Screen, ScreenRoute
from pocketpump.app.shell.secret_fields import Secrets
from pocketpump.app.shell.translation import translate
from pocketpump.app.shell.typed_text import Typed
from pocketpump.core.messages import Locale, message, text_in

Services = TypeVar("Services")


class App(Generic[Services]):
    """One open tab: its page, its route, what it has typed and been told.

    ``services`` is whatever the screens work on (the record); all tabs share it. ``now``
    tells the wall clock here, ``next_turn`` the next instant at which a screen says something
    else. ``error_screen`` is drawn in the place of a screen that fails; the
    error itself goes to the error output. Without ``dials`` no telephone number is dialled.
    """

    def __init__(
        self,
        page: ft.Page,
        services: Services,
        screen_routes: Mapping[str, ScreenRoute],
        places: Sequence[BarPlace],
        *,
        home: str,
        now: Callable[[], datetime],
        next_turn: Callable[[], datetime | None] = lambda: None,
        error_screen: Screen,
        scale: float = 1.0,
        mode: ft.ThemeMode = ft.ThemeMode.SYSTEM,
        locale: Locale | None = None,
        dials: bool = True,
    ) -> None:
        self._dials = dials
        self.page = page
        self.services = services
        self._screen_routes = dict(screen_routes)
        self._places = tuple(places)
        self._home = home
        self._day = DayWatch(page, now, self.refresh, next_turn)
        self._broken = error_screen
        self.scale = scale
        """The person's text scale, 1.0 to 2.0."""
        self._mode = mode
        self.locale = locale
        """The language spoken here, for what is written into a file; None for English."""
        self._drawing = Drawing(page, self._draw)
        self._said = LastSaid(self.refresh)
        self._trail: list[str] = []
        self._column = ft.Column()
        self._refusal = Refusal(page, lambda key: self._scroll(scroll_key=key))
        self._awake = False
        self.typed = Typed()
        """What has been typed in this tab and not yet saved."""
        self._open: set[tuple[str, str]] = set()
        self._secrets = Secrets(page, lambda: self._column, self.refresh)
        self.secret = self._secrets.field
        self._saves: dict[str, Callable[[], None]] = {}
        self.on_closed: Callable[[], None] = lambda: None
        """Called when the tab is closed."""

    # ── what a screen may ask ────────────────────────────────────────────────

    @property
    def route(self) -> str:
        """The path of the screen shown, without its question part."""
        path = urlsplit(self.page.route or self._home).path or self._home
        return path if path in self._screen_routes else self._home

    @property
    def _here(self) -> ScreenRoute:
        return self._screen_routes[self.route].asked(self.query)

    @property
    def query(self) -> dict[str, str]:
        """What the route asks: ``/entry?id=7`` gives ``{"id": "7"}``."""
        return dict(parse_qsl(urlsplit(self.page.route or "").query))

    @property
    def wide(self) -> bool:
        """Whether there is room for the rail."""
        return (self.page.width or 0) >= theme.WIDE

    @property
    def content_width(self) -> float:
        """How wide the column of a screen is, for what is drawn to measure."""
        return min(theme.CONTENT_WIDTH, max(280.0, (self.page.width or 390) - 40))

    def draft(self, name: str) -> dict[str, Any]:
        """What has been typed and not yet saved in the form ``name``; kept until cleared."""
        return self.typed.draft(name)

    def form_draft(self, name: str) -> dict[str, Any]:
        """The draft of the form ``name``; it may be kept while the page is loaded again."""
        return self.typed.form_draft(name)

    def screen_draft(self, name: str) -> dict[str, Any]:
        """What is chosen on the screen shown, forgotten once another one is."""
        return self.typed.screen_draft(name)

    def explain(
        self,
        name: str,
        lines: Sequence[tuple[str, str]],
        title: str = message("How was this worked out?"),
    ) -> ft.Control:
        """The working behind the number ``name`` on this screen, folded until tapped."""
        spot = (self.route, name)

        def toggle() -> None:
            self._open ^= {spot}
            self.refresh()

        return explain(lines, is_open=spot in self._open, on_toggle=toggle, title=title)

    # ── what a screen may do ─────────────────────────────────────────────────

    def go(self, route: str) -> None:
        """Show another screen, as a new step that the browser's back undoes."""
        self._drawing.is_leaving = route != self.page.route
        self.page.navigate(route)

    def offer_save(self, place: str, save: Callable[[], None]) -> None:
        """Let ``save`` be what the save button ``place`` of the screen being drawn does."""
        self._saves[place] = save

    def save(self, place: str) -> None:
        """Do what the save button ``place`` does now.

        The screen is worked out anew for it, unseen: since it was drawn the clock went on, and
        the record may be another one.
        """
        self._saves.clear()
        with theme.drawn_at(self.scale):
            self._here.screen(self)
        self._saves.get(place, self.refresh)()

    def forget_typed(self) -> None:
        """Forget all that was typed and not saved, passphrases too: the record has ended."""
        self.typed.forget()
        self._said.end()
        self._refusal.end()

    def back(self) -> None:
        """Show what was shown before this screen; the screen above it if nothing was."""
        self.go(self._trail[-2] if len(self._trail) > 1 else self._here.up)

    def reveal(self, key: str) -> None:
        """Scroll until what has the scroll key ``key`` is in sight."""
        self.page.run_task(self._scroll, scroll_key=key)

    def refuse(self, sentence: str, key: str) -> None:
        """Tell that nothing was saved, and lead to the first field beside which it is told why.

        A screen reader says so at every call, ``sentence`` where nothing new is told. Where no
        field tells its error, what has the scroll key ``key`` is scrolled to.
        """
        self._refusal.begin()
        self._drawing.now()
        self._refusal.lead(self.translated(sentence), key)

    async def _scroll(self, **place: Any) -> None:
        # Which column it is, is asked when it runs: a tap meanwhile may have drawn another.
        self._wait_anew()
        await self._column.scroll_to(duration=0, **place)
        self._wait_anew()

    def _wait_anew(self) -> None:
        """Let no tap count for a while: a finger on its way would press what moved under it."""
        for control in self.page.views[0].controls:
            wait_anew(control)

    def say(self, text: str, *, undo: Tap | None = None, needs_you: bool = False) -> None:
        """Put a message at the top of the screen; it stays till closed or replaced."""
        self._said.say(text, undo, needs_you)
        self.refresh()
        self.page.run_task(self._scroll, offset=0)

    def hush(self) -> None:
        """Take the message away."""
        self._said.end()
        self.refresh()
        self._wait_anew()

    def set_look(self, *, scale: float | None = None, mode: ft.ThemeMode | None = None) -> None:
        """Change the text scale or the brightness, now."""
        self.scale = self.scale if scale is None else min(max(scale, 1.0), 2.0)
        self._mode = mode or self._mode
        theme.apply(self.page, self.scale, self._mode)
        self.refresh()

    def speak(self, locale: Locale | None) -> None:
        """Speak another language from now on; None for English."""
        self.locale = locale
        tell_language(self.page, self.locale)
        self.refresh()

    def translated(self, text: str) -> str:
        """Return ``text`` in the language spoken here, to be kept as if it had been typed."""
        return text_in(text, self.locale)

    def refresh(self) -> None:
        """Draw the screen again from what is known now; within a tap once, at its end."""
        self._drawing.refresh()

    def changed_elsewhere(self) -> None:
        """Draw the screen again soon, because another tab has changed the record; never raises."""
        self._drawing.soon()

    def run(self, path: ControlPath, act: Callable[[], Any]) -> Any:
        """Do ``act`` for the control at ``path``; what it cannot do is told beside it."""
        try:
            with self._drawing.held():
                done = act()
        except Exception as error:
            self.failed(path, error)
            return None
        self._refusal.mended(path)
        self._drawing.catch_up()
        return done

    def failed(self, path: ControlPath, error: Exception) -> None:
        """Tell of ``error`` beside the control at ``path``; where it is gone, at the top."""
        sentence = sentence_of(error)
        self._refusal.fail(path, sentence)
        if self._drawing.now():
            self._refusal.lead_to_button(self.translated(sentence))
        else:
            self.say(sentence, needs_you=True)

    def _draw(self) -> bool:
        """Draw the screen; return whether what failed last has its place on it."""
        screen_route = self._here
        self._day.drawn()
        title = message("{screen} – PocketPump", screen=self._title(screen_route))
        self.page.title = self.translated(title)
        with theme.drawn_at(self.scale):
            window, self._column = frame(
                self._drawn(screen_route),
                route=self.page.route or self._home,
                title=self._title(screen_route),
                places=[
                    replace(place, label=self.translated(place.label)) for place in self._places
                ],
                place=screen_route.place,
                said=self._said.drawn(self.hush),
                on_go=self.go,
                on_back=self.back if screen_route.up else None,
                wide=self.wide,
                bare=screen_route.bare,
                scale=self.scale,
                width=self.page.width or 390,
            )
        if not self._dials:
            mark_demo_calls(window, lambda: self.say(DIALS_NOTHING))
        self._refusal.drawn(self._column)
        told = self._refusal.told_at_button(self._column)
        guard(window, self)
        translate(window, self.locale)
        self.page.views[0].controls = [window]
        self.page.update()
        return told

    def _drawn(self, screen_route: ScreenRoute) -> list[ft.Control]:
        """Draw the screen; if it cannot be, what still helps instead of a dead tab."""
        try:
            return list(screen_route.screen(self))
        except Exception:
            traceback.print_exc()
            return list(self._broken(self))

    # ── how it is kept going ─────────────────────────────────────────────────

    def start(self) -> None:
        """Dress the page, listen, and draw the first screen."""
        theme.apply(self.page, self.scale, self._mode)
        tell_language(self.page, self.locale)
        view = self.page.views[0]
        view.padding = 0
        view.spacing = 0
        self.page.on_route_change = self._moved
        self.page.on_resize = self._resized
        self.page.on_connect = self._drawing.connected
        self._was_width = self.page.width
        self._follow()
        self.refresh()
        self._keep_awake()
        self._day.start()
        stop_watching: Any = self.page.on_close

        def closed(event: Any) -> None:
            stop_watching(event)
            self.on_closed()

        self.page.on_close = closed

    def _moved(self, _event: ft.RouteChangeEvent) -> None:
        self._drawing.is_leaving = False
        self._secrets.leave()
        self._said.moved(self._trail[-1], self.page.route or self._home)
        self._refusal.end()
        self.typed.leave_screen()
        self._follow()
        self.refresh()
        self._keep_awake()

    def _follow(self) -> None:
        """Keep the way here, so that "Back" leads where the person came from."""
        route = self.page.route or self._home
        if not self._here.up:
            self._trail = [route]
        elif self._trail[-2:-1] == [route]:
            self._trail.pop()
        elif self._trail[-1:] != [route]:
            self._trail.append(route)

    def _keep_awake(self) -> None:
        wanted = self._here.awake
        if wanted != self._awake:
            self._awake = wanted
            keep_awake(self.page, wanted)

    def _resized(self, _event: ft.PageResizeEvent) -> None:
        # Only the width: a keyboard that comes up changes the height at every field.
        if self.page.width != self._was_width:
            self._was_width = self.page.width
            self.refresh()

    def _title(self, screen_route: ScreenRoute) -> str:
        return (
            screen_route.correcting
            if screen_route.correcting and self.query.get("id")
            else screen_route.title
        )
