"""What the card says besides numbers: the person, the risks, the people to call, the plan."""

from collections.abc import Mapping
from typing import Any

import flet as ft

from pocketpump.app.forms.form import Form
from pocketpump.app.parts import (
    body,
    card,
    choice,
    date_field,
    fact_row,
    quiet_button,
    section,
    text_field,
)
from pocketpump.app.screens.undo import undo_of
from pocketpump.app.services import Services
from pocketpump.app.shared_texts import YES_NO
from pocketpump.app.shell.shell import App
from pocketpump.core.errors import InputError
from pocketpump.core.messages import message
from pocketpump.core.safety.contacts import role_words
from pocketpump.core.units.instants import FIRST_BORN_YEAR
from pocketpump.core.units.quantity import format_number, parse_number
from pocketpump.record import Entry
from pocketpump.record.facts.diary import contacts_of

_RISKS = {
    "injury_t6_or_above": message("Spinal cord injury at T6 or above"),
    "cannot_communicate": message("I cannot speak or be understood well"),
    "earlier_withdrawal": message("I had baclofen withdrawal before"),
}
_HEAVIEST_KG = 400
_MORE = {
    "diagnosis": message("Diagnosis"),
    "blood_pressure": message("Your usual blood pressure"),
    "communication": message("How to communicate with you, and in which language"),
    "other_implants": message("Other implants, or a shunt"),
    "blood_thinners": message("Blood thinners"),
}
_LONG = {
    "allergies": (message("Allergies"), ""),
    "tablets": (message("Tablets, as the clinic wrote them"),
                message("Copy the clinic's words. The card shows them as they are.")),
    "mri_notes": (message("MRI notes, as given to you"), ""),
    "plan": (message("Your written plan for a missed refill"),
             message("What your clinic wrote for you. Leave it empty if you have none, and ask for"
                    " one.")),
}  # fmt: skip


def care(app: App[Services]) -> list[ft.Control]:
    """Draw the people to call and the form for the rest."""
    services = app.services
    known: Mapping[str, Any] = getattr(services.newest("care"), "payload", {})
    plan: Mapping[str, Any] = getattr(services.newest("plan"), "payload", {})
    form = Form(app, "care", _defaults(known, plan))
    born = form.day("born_on", first_year=FIRST_BORN_YEAR)
    weight = form.read("weight_kg", _weight)
    now = services.now()
    if born is not None and born > now.date():
        form.fail("born_on", message("This day is still to come: look at the year again."))

    def save() -> None:
        payload: dict[str, Any] = {
            field: form.text(field).strip() or None
            for field in ("name", "surgeon", "other_drugs", "own_steps", *_MORE, *_LONG)
            if field != "plan"
        }
        payload |= {field: form.text(field) == "yes" for field in _RISKS}
        payload["weight_kg"] = weight
        payload["born_on"] = born.isoformat() if born else None
        saved = [services.save("care", now, payload)]
        told = form.text("plan").strip()
        if told != str(plan.get("text", "")):
            saved += save_plan(services, told)
        form.clear()
        app.go("/card")
        app.say(
            message("The details are saved."), undo=undo_of(app, *(entry.id for entry in saved))
        )

    controls: list[ft.Control] = [
        body(message("The card shows only what is written here. All of it may stay empty.")),
        *_people(app),
        # Note: a heading over name and birthday.
        section(message("You")),
        text_field(message("Your name"), form.text("name"), form.typed("name")),
        date_field(message("Born on"), form.text("born_on"), form.typed("born_on"),
                   today=now.date(), first_year=FIRST_BORN_YEAR, error=form.error("born_on")),
        section(message("Risks the emergency room must know")),
    ]  # fmt: skip
    controls += [
        choice(label, YES_NO, form.text(field), form.typed(field), in_row=True)
        for field, label in _RISKS.items()
    ]
    if form.text("injury_t6_or_above") == "yes":
        controls.append(
            text_field(message("Your own written steps for a sudden rise of blood pressure"),
                       form.text("own_steps"), form.typed("own_steps"), lines=3,
                       helper=message("What your clinic wrote for you (autonomic dysreflexia). The"
                                     " card shows it before the usual steps."))
        )  # fmt: skip
    controls += _more(app, form)
    controls.append(section(message("From your papers")))
    controls.append(
        text_field(message("Other drugs in the pump, as the clinic wrote them"),
                   form.text("other_drugs"), form.typed("other_drugs"),
                   helper=message("Only if more than baclofen is in it: the emergency room must"
                                 " know."))
    )  # fmt: skip
    controls.append(text_field(message("Surgeon"), form.text("surgeon"), form.typed("surgeon")))
    controls += [
        text_field(label, form.text(field), form.typed(field), helper=helper, lines=3)
        for field, (label, helper) in _LONG.items()
    ]
    controls += form.save_button(message("Save the details"), save)
    controls += [
        quiet_button(message("Size, model and position of the pump"), lambda: app.go("/pump")),
        quiet_button(message("Photos of the clinic's papers"), lambda: app.go("/papers")),
    ]
    return controls


def save_plan(services: Services, text: str) -> list[Entry]:
    """Save the plan in the place of the one before, or take away every one; return what was saved.

    An older plan must never come back by itself: it may name another hospital.
    """
    if text:
        known = services.newest("plan")
        return [services.save("plan", services.now(), {"text": text}, known.id if known else "")]
    return [services.record.remove(plan.id) for plan in services.of_kind("plan")]


def _defaults(known: Mapping[str, Any], plan: Mapping[str, Any]) -> dict[str, str]:
    texts = ("name", "born_on", "surgeon", "other_drugs", "own_steps", "allergies", "tablets",
             "mri_notes", *_MORE)  # fmt: skip
    values = {field: str(known.get(field) or "") for field in texts}
    weight = known.get("weight_kg")
    values["weight_kg"] = "" if weight is None else format_number(weight)
    values |= {field: "yes" if known.get(field) else "no" for field in _RISKS}
    return {**values, "plan": str(plan.get("text", ""))}


def _more(app: App[Services], form: Form) -> list[ft.Control]:
    """Draw what an emergency room also asks, folded: most of it is written once."""
    draft = app.draft("care-more")
    # What is wrong in there must be seen.
    is_open = bool(draft.get("open")) or bool(form.error("weight_kg"))

    def toggle() -> None:
        draft["open"] = not is_open
        app.refresh()

    title = (
        message("Less for the emergency room")
        if is_open
        else message("More for the emergency room")
    )
    icon = ft.Icons.KEYBOARD_ARROW_UP if is_open else ft.Icons.KEYBOARD_ARROW_DOWN
    expander = quiet_button(title, toggle, icon=icon, key="more-care")
    if not is_open:
        return [expander]
    return [
        expander,
        *(text_field(label, form.text(field), form.typed(field)) for field, label in _MORE.items()),
        text_field(message("Weight in kg"), form.text("weight_kg"), form.typed("weight_kg"),
                   error=form.error("weight_kg"),
                   helper=message("For a child: the emergency room reckons by it. Write it anew"
                                 " when it has changed.")),
    ]  # fmt: skip


def _weight(text: str) -> float:
    """Return a weight in kg; raises `InputError` for what nobody weighs (own limits)."""
    value = parse_number(text, "weight_kg")
    if not 0 < value <= _HEAVIEST_KG:
        raise InputError(message("Write a weight in kg, like 24."), "weight_kg")
    return value


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
        quiet_button(message("Whom to call"), lambda: app.go("/contacts"), icon=ft.Icons.CALL),
    ]
