"""What the card says besides numbers: the person, the risks, the people to call, the plan."""

from collections.abc import Mapping
from functools import partial
from typing import Any

import flet as ft

from pocketpump.app.forms.fields import Day, Words, YesNo
from pocketpump.app.forms.form import Form
from pocketpump.app.parts import body, card, fact_row, quiet_button, section
from pocketpump.app.screens.draft import put
from pocketpump.app.screens.link import link
from pocketpump.app.screens.undo import say_with_undo
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.errors import InputError
from pocketpump.core.messages import message
from pocketpump.core.safety.contacts import role_words
from pocketpump.core.units.instants import FIRST_BORN_YEAR
from pocketpump.core.units.quantity import format_number, parse_number
from pocketpump.record import Entry
from pocketpump.record.facts.diary import contacts_of

_HEAVIEST_KG = 400


def _weight(text: str) -> float:
    """Return a weight in kg; raises `InputError` for what nobody weighs (own limits)."""
    value = parse_number(text, "weight_kg")
    if not 0 < value <= _HEAVIEST_KG:
        raise InputError(message("Write a weight in kg, like 24."), "weight_kg")
    return value


_YOU = (
    Words("name", message("Your name")),
    Day("born_on", message("Born on"), first_year=FIRST_BORN_YEAR),
)
_RISKS = (
    YesNo("injury_t6_or_above", message("Spinal cord injury at T6 or above")),
    YesNo("cannot_communicate", message("I cannot speak or be understood well")),
    YesNo("earlier_withdrawal", message("I had baclofen withdrawal before")),
)
_STEPS = Words(
    "own_steps", message("Your own written steps for a sudden rise of blood pressure"), lines=3,
    helper=message("What your clinic wrote for you (autonomic dysreflexia). The card shows it"
                   " before the usual steps."),
)  # fmt: skip
_MORE = (
    Words("diagnosis", message("Diagnosis")),
    Words("blood_pressure", message("Your usual blood pressure")),
    Words("communication", message("How to communicate with you, and in which language")),
    Words("other_implants", message("Other implants, or a shunt")),
    Words("blood_thinners", message("Blood thinners")),
    Words("weight_kg", message("Weight in kg"), reader=_weight,
          helper=message("For a child: the emergency room reckons by it. Write it anew when it has"
                         " changed.")),
)  # fmt: skip
_PAPERS = (
    Words("other_drugs", message("Other drugs in the pump, as the clinic wrote them"),
          helper=message("Only if more than baclofen is in it: the emergency room must know.")),
    Words("surgeon", message("Surgeon")),
    Words("allergies", message("Allergies"), lines=3),
    Words("tablets", message("Tablets, as the clinic wrote them"), lines=3,
          helper=message("Copy the clinic's words. The card shows them as they are.")),
    Words("mri_notes", message("MRI notes, as given to you"), lines=3),
    Words("plan", message("Your written plan for a missed refill"), lines=3,
          helper=message("What your clinic wrote for you. Leave it empty if you have none, and ask"
                         " for one.")),
)  # fmt: skip
_FIELDS = (*_YOU, *_RISKS, _STEPS, *_MORE, *_PAPERS)


def care(app: App[Services]) -> list[ft.Control]:
    """Draw the people to call and the form for the rest."""
    services = app.services
    known: Mapping[str, Any] = getattr(services.newest("care"), "payload", {})
    plan: Mapping[str, Any] = getattr(services.newest("plan"), "payload", {})
    form = Form(app, "care", _defaults(known, plan), fields=_FIELDS, kind="care")
    payload = form.payload()
    told = payload.pop("plan", "")
    now = services.now()
    born = form.answer("born_on")
    if born is not None and born > now.date():
        form.fail("born_on", message("This day is still to come: look at the year again."))

    def save() -> None:
        saved = [services.save("care", now, payload)]
        if told != str(plan.get("text", "")):
            saved += save_plan(services, told)
        form.clear()
        app.go("/card")
        say_with_undo(app, message("The details are saved."), *(entry.id for entry in saved))

    return [
        body(message("The card shows only what is written here. All of it may stay empty.")),
        *_people(app),
        # Note: a heading over name and birthday.
        section(message("You")),
        *(form.ask(field.name, now.date()) for field in _YOU),
        section(message("Risks the emergency room must know")),
        *(form.ask(field.name) for field in _RISKS),
        *([form.ask("own_steps")] if form.text("injury_t6_or_above") == "yes" else []),
        *_more(app, form),
        section(message("From your papers")),
        *(form.ask(field.name) for field in _PAPERS),
        *form.save_button(message("Save the details"), save),
        link(app, message("Size, model and position of the pump"), "/pump"),
        link(app, message("Photos of the clinic's papers"), "/papers"),
    ]


def save_plan(services: Services, text: str) -> list[Entry]:
    """Save the plan in the place of the one before, or take away every one; return what was saved.

    An older plan must never come back by itself: it may name another hospital.
    """
    if text:
        known = services.newest("plan")
        return [services.save("plan", services.now(), {"text": text}, known.id if known else "")]
    return [services.record.remove(plan.id) for plan in services.of_kind("plan")]


def _defaults(known: Mapping[str, Any], plan: Mapping[str, Any]) -> dict[str, Any]:
    weight = known.get("weight_kg")
    return {
        **dict.fromkeys((field.name for field in _RISKS), False),
        **known,
        "weight_kg": None if weight is None else format_number(weight),
        "plan": plan.get("text"),
    }


def _more(app: App[Services], form: Form) -> list[ft.Control]:
    """Draw what an emergency room also asks, folded: most of it is written once."""
    draft = app.draft("care-more")
    # What is wrong in there must be seen.
    is_open = bool(draft.get("open")) or bool(form.error("weight_kg"))

    title = (
        message("Less for the emergency room")
        if is_open
        else message("More for the emergency room")
    )
    icon = ft.Icons.KEYBOARD_ARROW_UP if is_open else ft.Icons.KEYBOARD_ARROW_DOWN
    toggle = partial(put, app, draft, "open", not is_open)
    expander = quiet_button(title, toggle, icon=icon, key="more-care")
    if not is_open:
        return [expander]
    return [expander, *(form.ask(field.name) for field in _MORE)]


def _people(app: App[Services]) -> list[ft.Control]:
    rows: list[ft.Control] = [
        fact_row(
            who.relation or role_words(who.role),
            who.name,
            note=" · ".join(filter(None, (who.phone, who.hours))),
        )
        for who in contacts_of(app.services.record.alive)
        if who.is_clinic or (who.is_person and who.on_card)
    ]
    return [
        section(message("Whom to call")),
        *([card(rows)] if rows else []),
        link(app, message("Whom to call"), "/contacts", ft.Icons.CALL),
    ]
