"""A hand for screens without a page: an app that keeps drafts, and what a drawn screen holds."""

from datetime import UTC, datetime
from types import SimpleNamespace

from pocketpump.app.notebook import Notebook
from pocketpump.core.pattern import constant_rate
from pocketpump.core.programme_payload import programme_to_payload
from pocketpump.record import MemoryFiles, Record

PUMP = {"reservoir_ml": 20.0, "alarm_volume_ml": 2.0}


def at(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


class PagelessApp:
    """As much of an open tab as a form asks for; ``said`` is what was told after saving."""

    scale, room, wide = 1.0, 350.0, False
    tongue = None

    page = SimpleNamespace(width=390)
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
        self.services = Notebook(record, lambda: self.time, lambda: self.zone)

    def draft(self, name):
        return self.drafts.setdefault(name, {})

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

    def has(self, route):
        return True

    def spoken(self, text):
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
    """Every control of a drawn screen, however deep."""
    found = []
    for control in controls:
        if control is None:
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
