"""Whom to call: the person's own numbers, each dialled by one tap."""

from datetime import datetime
from functools import partial
from typing import Any

import flet as ft

from pocketpump.app.forms.fields import Choice, Words, YesNo
from pocketpump.app.forms.form import Form
from pocketpump.app.parts import body, call_button, card, notice, section
from pocketpump.app.screens.editing import of_entry
from pocketpump.app.screens.link import link
from pocketpump.app.screens.list_row import row
from pocketpump.app.screens.safety.calls import add_number
from pocketpump.app.screens.undo import remove_button, say_with_undo
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.messages import joined, message
from pocketpump.core.safety.contacts import (
    CLINIC_ROLE,
    EMERGENCY_ROLE,
    OTHER_ROLE,
    ROLES,
    Contact,
    call_order,
    dial_text,
    role_words,
)
from pocketpump.core.safety.opening_hours import hours_text, read_hours
from pocketpump.record import Entry
from pocketpump.record.facts.diary import contacts_of

_SETTING = {
    EMERGENCY_ROLE: message("Set the local emergency number"),
    CLINIC_ROLE: message("Set the pump clinic"),
}


def _can_be_dialled(text: str) -> str:
    dial_text(text)
    return text


_FIELDS = (
    Choice("role", message("Who is it?"),
           options=[(role, role_words(role).capitalize()) for role in ROLES]),
    Words("relation", message("How you are related"), helper=message("Like: mother, carer.")),
    Words("name", message("Name"), needed=message("Write whom you reach there.")),
    Words("phone", message("Telephone"), keyboard=ft.KeyboardType.PHONE, reader=_can_be_dialled,
          needed=message("Write the telephone number.")),
    YesNo("emergency", message("Answered day and night?")),
    # Note: when the telephone is answered.
    Words("hours", message("Hours"),
          helper=message("If it is not answered at all times. Like: Mon–Fri 9–16")),
    YesNo("on_card", message("On the emergency card?")),
)  # fmt: skip


def contacts(app: App[Services]) -> list[ft.Control]:
    """Draw the numbers, and the way to add those that are missing."""
    known = contacts_of(app.services.record.alive)
    able = call_order(known, emergency_first=True)
    roles = {contact.role for contact in able}
    controls: list[ft.Control] = []
    controls += [
        add_number(app, label, role) for role, label in _SETTING.items() if role not in roles
    ]
    rest = [contact for contact in known if contact not in able]
    controls += [row(app, one.id, partial(_contact, app, one)) for one in (*able, *rest)]
    controls.append(add_number(app, message("Add someone else"), ROLES[-1]))
    return controls


def _contact(app: App[Services], contact: Contact) -> ft.Control:
    lines: list[ft.Control] = [section(contact.name)]
    told = [role_words(contact.role)] if contact.role else []
    if contact.hours:
        told.append(contact.hours)
    elif contact.emergency:
        # Note: the telephone is answered day and night.
        told.append(message("day and night"))
    if told:
        lines.append(body(joined(", ", told), soft=True))
    try:
        dialled = dial_text(contact.phone)
    except ValueError:
        lines.append(body(message("There is no number that can be dialled.")))
    else:
        lines.append(call_button(contact.name, contact.phone, dialled, first=False,
                                 key=f"call:{contact.id}"))  # fmt: skip
    lines.append(
        # Note: opens the form for this telephone number.
        link(app, message("Correct"), f"/contact?id={contact.id}",
             ft.Icons.EDIT_OUTLINED, key=f"correct:{contact.id}")
    )  # fmt: skip
    return card(lines)


def _try_it(role: str) -> str:
    if role == EMERGENCY_ROLE:
        return message("As it is dialled where you live. Do not try it out.")
    return message("Try it once, so that you know it works.")


def _hours_read(form: Form, now: datetime) -> str:
    """Return how the clinic's hours are read; "" where nothing depends on them."""
    text = form.text("hours").strip()
    if form.text("role") != CLINIC_ROLE or not text:
        return ""
    if form.text("emergency") == "yes":
        return message("This number counts as answered day and night. If it is not, tap No above.")
    hours = read_hours(text)
    if hours is None:
        return message(
            "PocketPump cannot read these hours. So it does not know when the clinic is open."
            " Write them like: Mon–Fri 9–16, Sat 9–12"
        )
    told = hours_text(hours)
    # Note: a clinic whose hours were just typed.
    if hours.is_open(now):
        return message("Read as: {hours}. Open now.", hours=told)
    return message("Read as: {hours}. Closed now.", hours=told)


def contact(app: App[Services]) -> list[ft.Control]:
    """Draw the form for one number, new or the one that the route's ``id`` names."""
    return of_entry(app, "contact", lambda old: _form(app, old), "/contacts")


def _form(app: App[Services], old: Entry | None) -> list[ft.Control]:
    services = app.services
    role = app.query.get("role", ROLES[-1])
    form_name = f"contact:{app.query.get('id', role)}"
    form = Form(app, form_name, _defaults(app, role, old), fields=_FIELDS)

    def save() -> None:
        kept = form.payload()
        name, relation = kept["name"], kept.pop("relation", OTHER_ROLE)
        if is_person:
            kept["role"] = relation
        at = old.at if old else services.now()
        entry = services.save("contact", at, kept, old.id if old else "")
        form.clear()
        app.go("/contacts")
        say_with_undo(app, message("{name}: the number is saved.", name=name), entry.id)

    role = form.text("role")
    is_person = role == OTHER_ROLE
    read = _hours_read(form, services.now())
    controls = [
        form.ask("role"),
        *([form.ask("relation")] if is_person else []),
        form.ask("name"),
        form.ask("phone", helper=_try_it(role)),
        form.ask("emergency"),
        form.ask("hours"),
        *([notice(read, key="hours read")] if read else []),
        # Clinics always stand on the card.
        *([form.ask("on_card")] if is_person else []),
    ]
    controls += form.save_button(message("Save the number"), save)
    if old is not None:
        controls.append(remove_button(app, old.id, "number", "/contacts"))
    return controls


def _defaults(app: App[Services], role: str, old: Entry | None) -> dict[str, Any]:
    if old is None:
        is_service = role == EMERGENCY_ROLE
        called = app.translated(message("Emergency")) if is_service else ""
        # A clinic taken for open day and night would be called in vain at night.
        return {"name": called, "role": role, "emergency": is_service, "on_card": True}
    payload = dict(old.payload)
    payload["emergency"] = bool(payload.get("emergency"))
    # Before there were two questions, one answer stood for both.
    payload["on_card"] = bool(payload.get("on_card", payload["emergency"]))
    kept = str(payload.get("role", ""))
    return payload if kept in ROLES else {**payload, "relation": kept, "role": OTHER_ROLE}
