"""A hand for screens without a page: an app that keeps drafts, and what a drawn screen holds."""

import asyncio
from datetime import UTC, datetime
from types import SimpleNamespace

from pocketpump.app.main import PLACES
from pocketpump.app.parts.fields import SteadyField, secret_field
from pocketpump.app.screens.error_screen import error_screen
from pocketpump.app.screens.routes import ROUTES
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.pump.programme import constant_rate
from pocketpump.core.pump.programme_payload import programme_to_payload
from pocketpump.record import MemoryFiles, Record

PUMP = {"reservoir_ml": 20.0, "alarm_volume_ml": 2.0}


def at(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


class PagelessApp:
    """As much of an open tab as a form asks for; ``said`` is what was told after saving."""

    scale, content_width, wide = 1.0, 350.0, False
    locale = None

    page = SimpleNamespace(width=390, views=[])
    route = "/today"

    def __init__(self, now: datetime, zone: str = "UTC", files: MemoryFiles | None = None):
        self.time = now
        """What the clock shows; a test may let it go on."""
        self.zone = zone
        """Where the device is; a test may carry it elsewhere."""
        self.drafts = {}
        self.query = {}
        self.said = []
        self.saves = {}
        record = Record.open(files or MemoryFiles(), clock=lambda: self.time.astimezone(UTC))
        self.services = Services(record, lambda: self.time, lambda: self.zone)

    def draft(self, name):
        return self.drafts.setdefault(name, {})

    form_draft = screen_draft = draft

    def refresh(self):
        pass

    def reveal(self, key):
        pass

    def refuse(self, sentence, key):
        pass

    def go(self, route):
        self.route = route

    def back(self):
        pass

    def offer_save(self, place, save):
        self.saves[place] = save

    def save(self, place):
        self.saves[place]()

    def say(self, text, **more):
        self.said.append(text)

    def explain(self, name, lines, title=""):
        return None

    def secret(self, label, value, on_change, **more):
        return secret_field(
            label, value, on_change, shown=False, on_look=lambda: None, on_enter=lambda: None,
            **more,
        )  # fmt: skip

    def translated(self, text):
        return text

    def note(self, kind: str, when: str, payload: dict):
        """Put an entry into the record."""
        return self.services.record.add(kind, at(when), "UTC", payload)


def in_use(now: str = "2026-03-20T12:00", filled: str = "2026-03-12T09:00") -> PagelessApp:
    """An app with one refill: 20 mL of 500 mcg/mL at 200 mcg/day, alarm at 2 mL."""
    app = PagelessApp(at(now))
    app.note("pump", "2026-01-01T11:00", PUMP)
    app.note("refill", filled, {"filled_ml": 20.0, "strength_mcg_per_ml": 500.0})
    app.note("programme", filled, {"programme": programme_to_payload(constant_rate(200))})
    return app


def controls_in(controls) -> list:
    """Every control of a drawn screen, however deep, but for what is not to be seen."""
    found = []
    for control in controls:
        if control is None or getattr(control, "opacity", None) == 0:
            continue
        inner = list(getattr(control, "controls", None) or [])
        content = getattr(control, "content", None)
        if content is not None and not isinstance(content, str):
            inner.append(content)
        found += [control, *controls_in(inner)]
    return found


def texts(controls) -> list[str]:
    """Every text of a drawn screen, those in the boxes too."""
    values = [getattr(control, "value", None) for control in controls_in(controls)]
    return [value for value in values if isinstance(value, str)]


def save(screen, app) -> None:
    """Tap the screen's save button."""
    buttons = [c for c in controls_in(screen(app)) if str(c.key or "").startswith("button:Save")]
    buttons[-1].on_click()


def confirm(screen, app) -> None:
    """Tick that what was asked about is right, if the screen asks, and save."""
    for control in controls_in(screen(app)):
        if control.key == "tick:sure":
            control.content.content.on_click()
            save(screen, app)
            return


class OpenTab:
    """A real tab without a client: its page, drawn on a notebook; ``drawn`` counts the drawings.

    A route that is gone to has come at once, unless ``slow``: then when :meth:`arrive` is called.
    """

    def __init__(self, services: Services, route: str, *, slow: bool = False):
        self.drawn, self.tasks, self.going, self.slow = 0, [], None, slow
        self.page = SimpleNamespace(
            route=route,
            views=[SimpleNamespace()],
            width=390,
            title="",
            update=self._update,
            navigate=self._navigate,
            run_task=self._task,
            session=SimpleNamespace(connection=object()),
            window=None,
            services=[],
        )
        self.app = App(
            self.page,
            services,
            ROUTES,
            PLACES,
            home="/today",
            error_screen=error_screen,
            now=services.now,
        )
        self.app.start()
        self.drawn = 0

    def _update(self):
        self.drawn += 1

    def _task(self, handler, *args, **more):
        self.tasks.append((handler, args, more))
        return SimpleNamespace(cancel=lambda: None)

    def _navigate(self, route):
        self.going = route
        if not self.slow:
            self.arrive()

    def arrive(self):
        """Let the route gone to be the one shown."""
        route, self.going = self.going, None
        if route != self.page.route:
            self.page.route = route
            self.page.on_route_change(None)

    @property
    def controls(self) -> list:
        """All that stands in the window now."""
        return controls_in(self.page.views[0].controls)

    def told(self) -> list[str]:
        """Every text in the window now."""
        return texts(self.page.views[0].controls)

    def tap(self, key: str) -> None:
        """Tap the button with this key, or the one inside what has it."""
        held = next(c for c in self.controls if c.key == key)
        next(c for c in controls_in([held]) if getattr(c, "on_click", None)).on_click()

    def type(self, key: str, text: str) -> None:
        """Type ``text`` into the box of the field with this key."""
        held = next(c for c in self.controls if c.key == key)
        box = next(c for c in controls_in([held]) if isinstance(c, SteadyField))
        box.value = text
        box.on_change(SimpleNamespace(control=box))

    def go_on(self) -> None:
        """Let the tasks run that wait for nothing."""
        tasks, self.tasks = self.tasks, []
        for handler, args, more in tasks:
            if handler == self.app._drawing.later:
                asyncio.run(handler(*args, **more))
