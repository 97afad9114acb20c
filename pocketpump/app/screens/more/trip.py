"""Trips: where and when, whether the drug lasts, the pump's hours there, what to pack."""

from collections.abc import Mapping
from functools import partial
from typing import Any

import flet as ft

from pocketpump.app.parts import big_button, body, card, fact_row, notice, quiet_button, section
from pocketpump.app.screens.card.printed import letter_link
from pocketpump.app.screens.editing import of_entry
from pocketpump.app.screens.link import link
from pocketpump.app.screens.list_row import row
from pocketpump.app.screens.pages import Paper
from pocketpump.app.screens.refills.visit import change_visit, standing_visit
from pocketpump.app.screens.saved_files import paper_of, saved_stem
from pocketpump.app.screens.undo import remove_button
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.errors import InputError
from pocketpump.core.messages import joined, message
from pocketpump.core.safety.contacts import call_order, lacks_country_code
from pocketpump.core.travel.away import away_at_visit
from pocketpump.core.travel.trip import (
    Trip,
    clock_spans,
    is_near,
    places_of,
    programme_for,
    reach_of,
)
from pocketpump.core.travel.trip_phrases import CAUTIONS, PACKING, QUESTIONS
from pocketpump.core.units.instants import date_text
from pocketpump.exchange.language.code_of import code_of
from pocketpump.exchange.papers import travel_sheet
from pocketpump.exchange.papers.card_phrases import ENGLISH_NAMES, LANGUAGES, ORIGINAL
from pocketpump.exchange.papers.travel_words import clock_sentence, days_text, reach_sentences
from pocketpump.record import Entry
from pocketpump.record.facts.card_facts import trip_of
from pocketpump.record.facts.diary import contacts_of


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
        body(days_text(made.leaves_on, made.returns_on)),
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
    told = _told(services, entry, made)
    reach, programme, clinic, languages = told.reach, told.programme, told.clinic, told.languages
    is_over = made.returns_on < services.now().date()
    controls: list[ft.Control] = [
        section(places_of(made.stays)),
        body(days_text(made.leaves_on, made.returns_on)),
    ]
    if reach is not None:
        first, *rest = reach_sentences(reach)
        controls.append(notice(first, needs_you=reach.verdict != "fine", key="reach"))
        controls += [body(sentence) for sentence in rest]
    at_visit = away_at_visit(made, told.visit_on)
    if at_visit:
        controls.append(notice(at_visit, needs_you=True, key="visit", below=[change_visit(app)]))
    if not is_over:
        controls += _numbers(app)
    if clinic:
        controls.append(card([fact_row(message("Clinic there"), clinic)]))
    for span in clock_spans(made, programme) if programme else ():
        place = span.place or span.zone_name
        controls.append(section(message("The pump's hours in {place}", place=place)))
        controls.append(body(days_text(span.first_on, span.last_on), soft=True))
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
        big_button(message("Travel sheet"), lambda: app.go(f"/pages?of=travel&id={entry.id}"),
                   icon=ft.Icons.PRINT_OUTLINED),
        *(letter_link(app, code) for code in languages or (ORIGINAL,)),
        # Note: the letter for the border, which has room for a doctor's signature.
        body(message("Have the clinic sign it at your next visit."), soft=True),
        link(app, message("Correct this trip"), f"/trip-form?id={entry.id}",
             ft.Icons.EDIT_OUTLINED),
        remove_button(app, entry.id, "trip", "/trips"),
    ]  # fmt: skip
    return controls


def _told(services: Services, entry: Entry, made: Trip) -> travel_sheet.TravelSheet:
    answer, _ = services.forecast()
    is_over = made.returns_on < services.now().date()
    reach = None if answer is None or is_over else reach_of(made, answer)
    programme = programme_for(made, answer) if answer else None
    kept: Mapping[str, Any] = entry.payload
    languages = tuple(code for code in kept.get("languages") or () if code in LANGUAGES)
    called = call_order(contacts_of(services.record.alive), emergency_first=False)
    home = tuple(contact for contact in called if contact.is_clinic)
    visit = standing_visit(services)
    return travel_sheet.TravelSheet(
        made, reach, programme, str(kept.get("clinic") or ""), home, languages,
        visit.on if visit else None,
    )  # fmt: skip


def travel_paper(app: App[Services], asked: Mapping[str, str]) -> Paper:
    """Return the travel sheet of the trip that is asked for; of the newest where none is.

    Raises `InputError` when it is not there.
    """
    services = app.services
    wanted = asked.get("id")
    if wanted is None:
        found = services.newest("trip")
        if found is None:
            raise InputError(message("No trip is noted yet."))
    else:
        found = services.newest_version(wanted)
        if found is None or found.kind != "trip":
            raise InputError(message("This trip is not noted any more: choose another one."))
    told = _told(services, found, trip_of(found))
    pages = travel_sheet.travel_pages(told, services.now().date(), app.locale, paper_of(services))
    return Paper(app.translated(travel_sheet.TITLE), saved_stem(app, "travel"), tuple(pages),
                 code_of(app.locale), travel_sheet.sheet_problems(told))  # fmt: skip


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
    ]


def _card_button(app: App[Services], code: str) -> ft.Control:
    def show() -> None:
        app.go(f"/card?language={code}")

    words = message("Card in {language}", language=ENGLISH_NAMES[code])
    return quiet_button(words, show, icon=ft.Icons.TRANSLATE, key=f"card:{code}")
