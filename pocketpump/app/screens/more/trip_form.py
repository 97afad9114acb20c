"""The form of a trip: the places, from when on, their time zones, the languages of the card."""

from collections.abc import Mapping
from functools import lru_cache, partial
from typing import Any
from zoneinfo import available_timezones

import flet as ft

from pocketpump.app.forms.fields import Day, FormField, Words
from pocketpump.app.forms.form import Form
from pocketpump.app.parts import quiet_button, section
from pocketpump.app.screens.editing import of_entry
from pocketpump.app.screens.undo import say_with_undo
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.errors import InputError
from pocketpump.core.messages import joined, message
from pocketpump.core.travel.trip import Stay, Trip
from pocketpump.core.units.instants import zone_named
from pocketpump.exchange.papers.card_phrases import ENGLISH_NAMES, LANGUAGES
from pocketpump.record import Entry
from pocketpump.record.facts.card_facts import trip_of

_MOST_PLACES = 4
_MOST_ZONES = 5
_WHOLE = (
    Day("returns_on", message("Home again on"),
        needed=message("Write the day you are home again.")),
    Words("clinic", message("Clinic there, with telephone"), lines=2,
          helper=message("A clinic that knows such pumps. Your own clinic can help find one.")),
)  # fmt: skip


class _Zone(Words):
    """A time zone; while zones to choose from stand below, nothing is wrong with what is typed."""

    def read(self, form: Form) -> str | None:
        """Return the name of the zone."""
        typed = form.text(self.name).strip()
        if _is_found(typed):
            form.fail(self.name, self.needed)
            return None
        zone: str | None = form.read(self.name, _zone, needed=self.needed)
        return zone

    def draw(self, form: Form, start: Any = None, /) -> ft.Control:
        """Return the field; what is missing is told at the button while there is a choice."""
        error = "" if _is_found(form.text(self.name).strip()) else form.error(self.name)
        return self.part(start)(
            label=self.label, value=form.text(self.name), on_change=form.typed(self.name),
            helper=self.helper, error=error,
        )  # fmt: skip


def _zone(text: str) -> str:
    zone_named(text)
    return text


def _is_found(text: str) -> bool:
    """Return whether ``text`` is no zone itself, but part of the names of some."""
    try:
        zone_named(text)
    except InputError:
        return bool(_zones_like(text))
    return False


def trip_form(app: App[Services]) -> list[ft.Control]:
    """Draw the form for a new trip, or for the one that the route's ``id`` names."""
    return of_entry(app, "trip", lambda old: _form(app, old), "/trips")


def _form(app: App[Services], old: Entry | None) -> list[ft.Control]:
    services = app.services
    defaults = _defaults(old)
    most = max(_MOST_PLACES, int(defaults["places"]))
    fields = [*_WHOLE, *(one for n in range(1, most + 1) for one in _place_fields(n))]
    form = Form(app, f"trip:{app.query.get('id', '')}", defaults, fields=fields, kind="trip")
    made = _read(form)
    languages: list[str] = form.value("languages")

    def save() -> None:
        assert made is not None  # a form without an error has a trip
        first, *stops = made.stays
        payload: dict[str, Any] = {
            "place": first.place or None, "zone": first.zone_name,
            "leaves_on": made.leaves_on.isoformat(), "returns_on": made.returns_on.isoformat(),
            "clinic": form.answer("clinic"), "languages": languages or None,
            "stops": {"stops": [
                {"from_on": s.from_on.isoformat(), "place": s.place, "zone": s.zone_name}
                for s in stops
            ]} if stops else None,
            "note": old.payload.get("note") if old else None,
        }  # fmt: skip
        entry = services.save("trip", services.now(), payload, old.id if old else "")
        form.clear()
        app.go(f"/trip?id={entry.id}")
        say_with_undo(app, message("The trip is saved."), entry.id)

    controls: list[ft.Control] = []
    today = services.now().date()
    count = int(form.text("places"))
    for number in range(1, count + 1):
        controls += [form.ask(field.name, today) for field in _place_fields(number)]
        controls += _zone_buttons(form, f"zone{number}")
    if count < _MOST_PLACES:
        controls.append(
            quiet_button(message("Add another place"), lambda: form.put("places", str(count + 1)),
                         icon=ft.Icons.ADD)
        )  # fmt: skip
    controls += [
        *(form.ask(field.name, today) for field in _WHOLE),
        section(message("Languages of the card")),
        ft.Row([_language(form, code, languages) for code in LANGUAGES if code != "en"],
               wrap=True, spacing=12, run_spacing=12),
        *form.save_button(message("Save the trip"), save),
    ]  # fmt: skip
    return controls


def _language(form: Form, code: str, languages: list[str]) -> ft.Control:
    chosen = code in languages
    words = joined("", (ENGLISH_NAMES[code], " ✓" if chosen else ""))
    kept = sorted(set(languages) ^ {code})
    return ft.Container(
        quiet_button(words, lambda: form.put("languages", kept), key=f"language:{code}"), width=169
    )


def _place_fields(number: int) -> tuple[FormField, ...]:
    where, when, clock = (
        (message("Place"), message("Leaving on"), message("Time zone"))
        if number == 1
        else (
            message("Place {number}", number=number),
            message("At place {number} from", number=number),
            message("Time zone {number}", number=number),
        )
    )
    return (
        Words(f"place{number}", where),
        Day(f"from{number}", when, needed=message("Write the day.")),
        _Zone(f"zone{number}", clock, needed=message("Choose the time zone."),
              helper=message("Write a large city, like Rome or New York, and choose below.")),
    )  # fmt: skip


def _zone_buttons(form: Form, zone: str) -> list[ft.Control]:
    found = _zones_like(form.text(zone))
    if form.text(zone) in found:
        return []
    return [
        quiet_button(name, partial(form.put, zone, name), key=f"{zone}:{name}")
        for name in found[:_MOST_ZONES]
    ]


@lru_cache(maxsize=1)
def _zones() -> tuple[str, ...]:
    return tuple(sorted(z for z in available_timezones() if "/" in z and z[:3] not in ("Etc",)))


def _zones_like(text: str) -> list[str]:
    """Return the time zones whose name holds ``text`` (three letters or more)."""
    wanted = text.strip().lower().replace(" ", "_")
    if len(wanted) < 3:
        return []
    return [z for z in _zones() if wanted in z.lower() and not z.startswith(("posix", "right"))]


def _defaults(old: Entry | None) -> dict[str, Any]:
    payload: Mapping[str, Any] = old.payload if old else {}
    values: dict[str, Any] = {
        "returns_on": payload.get("returns_on"),
        "clinic": payload.get("clinic"),
        "languages": [str(code) for code in payload.get("languages") or ()],
        "places": "1",
    }
    try:
        stays = trip_of(old).stays if old else ()
    except InputError:
        stays = ()
    for number, stay in enumerate(stays, 1):
        values |= {
            f"place{number}": stay.place, f"zone{number}": stay.zone_name,
            f"from{number}": stay.from_on.isoformat(), "places": str(number),
        }  # fmt: skip
    return values


def _read(form: Form) -> Trip | None:
    returns_on = form.answer("returns_on")
    stays = []
    for number in range(1, int(form.text("places")) + 1):
        from_on, zone = form.answer(f"from{number}"), form.answer(f"zone{number}")
        if from_on is not None and zone:
            stays.append(Stay(from_on, form.answer(f"place{number}") or "", zone))
    if returns_on is None or len(stays) < int(form.text("places")):
        return None
    try:
        return Trip(stays[0].from_on, returns_on, tuple(stays))
    except InputError as error:
        form.fail("returns_on", str(error))
        return None
