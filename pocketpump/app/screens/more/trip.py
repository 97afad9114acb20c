"""Trips: where and when, whether the drug lasts, the pump's hours there, what to pack."""

from collections.abc import Mapping
from datetime import date
from functools import lru_cache, partial
from typing import Any
from zoneinfo import available_timezones

import flet as ft

from pocketpump.app.forms.fields import Day, FormField, Words
from pocketpump.app.forms.form import Form
from pocketpump.app.parts import big_button, body, card, fact_row, notice, quiet_button, section
from pocketpump.app.screens.editing import of_entry
from pocketpump.app.screens.link import link
from pocketpump.app.screens.list_row import row
from pocketpump.app.screens.undo import remove_button, say_with_undo
from pocketpump.app.server.file_saving import save_file
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.errors import InputError
from pocketpump.core.messages import joined, message
from pocketpump.core.safety.contacts import call_order, lacks_country_code
from pocketpump.core.travel.trip import (
    Stay,
    Trip,
    clock_spans,
    is_near,
    places_of,
    programme_for,
    reach_of,
)
from pocketpump.core.travel.trip_phrases import CAUTIONS, PACKING, QUESTIONS
from pocketpump.core.units.instants import date_text, zone_named
from pocketpump.exchange.papers.card_phrases import ENGLISH_NAMES, LANGUAGES
from pocketpump.exchange.papers.travel_sheet import (
    TravelSheet,
    clock_sentence,
    reach_sentences,
    sheet_problems,
    travel_sheet,
)
from pocketpump.record import Entry
from pocketpump.record.facts.card_facts import trip_of
from pocketpump.record.facts.diary import contacts_of

_MOST_PLACES = 4
_MOST_ZONES = 5
_WHOLE = (
    Day("returns_on", message("Home again on"),
        needed=message("Write the day you are home again.")),
    Words("clinic", message("Clinic there, with telephone"), lines=2,
          helper=message("A clinic that knows such pumps. Your own clinic can help find one.")),
)  # fmt: skip


def trips(app: App[Services]) -> list[ft.Control]:
    """Draw the trips, the next one first."""
    controls: list[ft.Control] = [
        big_button(message("Plan a trip"), lambda: app.go("/trip-form"), icon=ft.Icons.ADD)
    ]
    entries = app.services.of_kind("trip")
    if not entries:
        controls.append(body(message("No trip is noted yet.")))
    readable: list[tuple[Trip, Entry]] = []
    for entry in entries:
        try:
            readable.append((trip_of(entry), entry))
        except InputError as error:
            # From a damaged or foreign copy: one odd trip must not hide the others.
            controls.append(_odd(app, entry, str(error)))
    today = app.services.now().date()
    if any(is_near(made, today) for made, _ in readable):
        controls += _numbers(app)
    readable.sort(key=lambda pair: pair[0].leaves_on, reverse=True)
    return controls + [row(app, e.id, partial(_short, app, e, made)) for made, e in readable]


def _odd(app: App[Services], entry: Entry, why: str) -> ft.Control:
    day = date_text(entry.at.astimezone(app.services.zone).date())
    return card([
        body(joined(" ", (message("The trip noted on {day} cannot be shown.", day=day), why))),
        remove_button(app, entry.id, "trip", "/trips"),
    ])  # fmt: skip


def _short(app: App[Services], entry: Entry, made: Trip) -> ft.Control:
    return card([
        section(places_of(made.stays)),
        body(_days(made.leaves_on, made.returns_on)),
        link(app, message("Look at this trip"), f"/trip?id={entry.id}",
             ft.Icons.LUGGAGE_OUTLINED, key=f"trip:{entry.id}"),
    ])  # fmt: skip


def trip(app: App[Services]) -> list[ft.Control]:
    """Draw one trip: does the drug last, the hours there, and the lists."""
    return of_entry(app, "trip", lambda entry: _trip(app, entry), "/trips")


def _trip(app: App[Services], entry: Entry | None) -> list[ft.Control]:
    if entry is None:  # no trip is named, so none is shown
        return trips(app)
    services = app.services
    try:
        made = trip_of(entry)
    except InputError as error:
        return [_odd(app, entry, str(error))]
    answer, _ = services.forecast()
    is_over = made.returns_on < services.now().date()
    reach = None if answer is None or is_over else reach_of(made, answer)
    programme = programme_for(made, answer) if answer else None
    clinic = str(entry.payload.get("clinic") or "")
    kept: Mapping[str, Any] = entry.payload
    languages = tuple(code for code in kept.get("languages") or () if code in LANGUAGES)
    called = call_order(contacts_of(services.record.alive), emergency_first=False)
    home = tuple(contact for contact in called if contact.is_clinic)
    told = TravelSheet(made, reach, programme, clinic, home, languages)

    async def sheet() -> None:
        content = travel_sheet(told, services.now().date(), app.locale)
        await save_file(app, "travel-sheet.pdf", content)

    controls: list[ft.Control] = [
        section(places_of(made.stays)),
        body(_days(made.leaves_on, made.returns_on)),
    ]
    if reach is not None:
        first, *rest = reach_sentences(reach)
        controls.append(notice(first, needs_you=reach.verdict != "fine", key="reach"))
        controls += [body(sentence) for sentence in rest]
    if not is_over:
        controls += _numbers(app)
    if clinic:
        controls.append(card([fact_row(message("Clinic there"), clinic)]))
    for span in clock_spans(made, programme) if programme else ():
        place = span.place or span.zone_name
        controls.append(section(message("The pump's hours in {place}", place=place)))
        controls.append(body(_days(span.first_on, span.last_on), soft=True))
        controls += [body(clock_sentence(row)) for row in span.rows]
    controls += [_card_button(app, code) for code in languages]
    for title, lines in (
        (message("Beware of"), CAUTIONS),
        (message("To pack"), PACKING),
        (message("To ask the clinic"), QUESTIONS),
    ):
        controls.append(section(title))
        controls += [body(joined("", ("– ", line))) for line in lines]
    controls += [
        *(body(problem.sentence, soft=True) for problem in sheet_problems(told)),
        big_button(message("Travel sheet (PDF)"), sheet, icon=ft.Icons.PRINT_OUTLINED),
        link(app, message("Correct this trip"), f"/trip-form?id={entry.id}",
             ft.Icons.EDIT_OUTLINED),
        remove_button(app, entry.id, "trip", "/trips"),
    ]  # fmt: skip
    return controls


def _numbers(app: App[Services]) -> list[ft.Control]:
    """Draw which numbers may not work from abroad; nothing when all begin with +."""
    lacking = [c.name for c in contacts_of(app.services.record.alive) if lacks_country_code(c)]
    if not lacking:
        return []
    told = message("Write the numbers with + and the country code, or they may not work from"
                  " abroad: {names}.", names=", ".join(lacking))  # fmt: skip
    return [
        notice(told, needs_you=True, key="numbers"),
        link(app, message("Whom to call"), "/contacts", ft.Icons.CALL),
    ]  # fmt: skip


def _days(first: date, last: date) -> str:
    return message("{first} to {last}", first=date_text(first), last=date_text(last))


def _card_button(app: App[Services], code: str) -> ft.Control:
    def show() -> None:
        app.draft("card")["language"] = code
        app.go("/card")

    words = message("Card in {language}", language=ENGLISH_NAMES[code])
    return quiet_button(words, show, icon=ft.Icons.TRANSLATE, key=f"card:{code}")


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
        assert made is not None  # a form without trouble has a trip
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
        Words(f"zone{number}", clock, reader=_zone, needed=message("Choose the time zone."),
              helper=message("Write a large city, like Rome or New York, and choose below.")),
    )  # fmt: skip


def _zone_buttons(form: Form, zone: str) -> list[ft.Control]:
    found = zones_like(form.text(zone))
    if form.text(zone) in found:
        return []
    return [
        quiet_button(name, partial(form.put, zone, name), key=f"{zone}:{name}")
        for name in found[:_MOST_ZONES]
    ]


@lru_cache(maxsize=1)
def _zones() -> tuple[str, ...]:
    return tuple(sorted(z for z in available_timezones() if "/" in z and z[:3] not in ("Etc",)))


def zones_like(text: str) -> list[str]:
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


def _zone(text: str) -> str:
    zone_named(text)
    return text
