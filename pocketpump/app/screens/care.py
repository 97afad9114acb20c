"""What the card says besides numbers: the person, the risks, the people to call, the plan."""

from collections.abc import Mapping
from functools import partial
from typing import Any

import flet as ft

from pocketpump.app.forms import Form
from pocketpump.app.notebook import Notebook
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
from pocketpump.app.screens.taking_back import remove_button, undo_of
from pocketpump.app.shell import App
from pocketpump.core.card import Contact
from pocketpump.record.care import contact_of

_RISKS = {
    "injury_t6_or_above": "Spinal cord injury at T6 or above",
    "cannot_communicate": "I cannot speak or be understood well",
    "earlier_withdrawal": "I had withdrawal before",
}
_LONG = {
    "allergies": ("Allergies", ""),
    "tablets": ("Tablets, as the clinic wrote them", "Copy the clinic's words. The card shows them"
                " as they are."),
    "mri_notes": ("MRI notes, as given to you", ""),
    "plan": ("Your written plan for a missed refill", "What your clinic wrote for you. Leave it"
             " empty if you have none, and ask for one."),
}  # fmt: skip
_YES_NO = (("yes", "Yes"), ("no", "No"))


def care(app: App[Notebook]) -> list[ft.Control]:
    """Draw the people to call and the form for the rest."""
    notebook = app.services
    known: Mapping[str, Any] = getattr(notebook.newest("care"), "payload", {})
    plan: Mapping[str, Any] = getattr(notebook.newest("plan"), "payload", {})
    form = Form(app, "care", _defaults(known, plan))
    born = form.day("born_on")
    now = notebook.now()
    if born is not None and born > now.date():
        form.fail("born_on", "This day is still to come: look at the year again.")

    def save() -> None:
        payload: dict[str, Any] = {
            field: form.text(field).strip() or None
            for field in ("name", "surgeon", "allergies", "tablets", "mri_notes")
        }
        payload |= {field: form.text(field) == "yes" for field in _RISKS}
        payload["born_on"] = born.isoformat() if born else None
        entry = notebook.save("care", now, payload)
        told = form.text("plan").strip()
        if told != str(plan.get("text", "")):
            _save_plan(notebook, told)
        form.clear()
        app.go("/card")
        app.say("The details are saved.", undo=undo_of(app, entry.id))

    controls: list[ft.Control] = [
        body("The card shows only what is written here. All of it may stay empty."),
        *_people(app),
        section("You"),
        text_field("Your name", form.text("name"), form.typed("name")),
        date_field("Born on", form.text("born_on"), form.typed("born_on"), today=now.date(),
                   error=form.error("born_on")),
        section("Risks the emergency room must know"),
    ]  # fmt: skip
    controls += [
        choice(label, _YES_NO, form.text(field), form.typed(field), in_row=True)
        for field, label in _RISKS.items()
    ]
    controls.append(section("From your papers"))
    controls.append(text_field("Surgeon", form.text("surgeon"), form.typed("surgeon")))
    controls += [
        text_field(label, form.text(field), form.typed(field), helper=helper, lines=3)
        for field, (label, helper) in _LONG.items()
    ]
    controls += form.save_button("Save the details", save)
    controls += [
        quiet_button("Size, model and position of the pump", lambda: app.go("/pump")),
        quiet_button("Photos of the clinic's papers", lambda: app.go("/papers")),
    ]
    return controls


def _save_plan(notebook: Notebook, text: str) -> None:
    known = notebook.newest("plan")
    if text:
        notebook.save("plan", notebook.now(), {"text": text})
    elif known is not None:
        notebook.record.remove(known.id)


def _defaults(known: Mapping[str, Any], plan: Mapping[str, Any]) -> dict[str, str]:
    texts = ("name", "born_on", "surgeon", "allergies", "tablets", "mri_notes")
    values = {field: str(known.get(field) or "") for field in texts}
    values |= {field: "yes" if known.get(field) else "no" for field in _RISKS}
    return {**values, "plan": str(plan.get("text", ""))}


def _people(app: App[Notebook]) -> list[ft.Control]:
    controls: list[ft.Control] = [section("Whom to call")]
    for entry in app.services.of_kind("contact"):
        who = contact_of(entry)
        kind = "Clinic" if who.is_clinic else who.role or "Contact"
        where = f"/contact?id={entry.id}"
        controls.append(
            card([
                fact_row(kind, who.name, note=" · ".join(filter(None, (who.phone, who.hours)))),
                quiet_button(f"Change {who.name}", partial(app.go, where),
                             icon=ft.Icons.EDIT_OUTLINED, key=f"change:{entry.id}"),
            ])
        )  # fmt: skip
    controls.append(
        quiet_button("Add a clinic or a person", lambda: app.go("/contact"), icon=ft.Icons.ADD)
    )
    return controls


def contact(app: App[Notebook]) -> list[ft.Control]:
    """Draw the form for one clinic or person."""
    notebook = app.services
    old = notebook.find(app.query.get("id", ""))
    who = contact_of(old) if old else Contact("", "clinic", emergency=True)
    form = Form(
        app,
        f"contact:{old.id if old else ''}",
        {
            "kind": "clinic" if who.is_clinic else "person", "name": who.name,
            "role": "" if who.is_clinic else who.role, "phone": who.phone, "hours": who.hours,
            "emergency": "yes" if who.emergency else "no",
        },
    )  # fmt: skip
    is_clinic = form.text("kind") == "clinic"
    name = form.read("name", str, needed="Write the name.")

    def save() -> None:
        payload = {
            "name": name, "role": "clinic" if is_clinic else form.text("role").strip() or None,
            "phone": form.text("phone").strip() or None,
            "hours": form.text("hours").strip() or None,
            "emergency": form.text("emergency") == "yes",
        }  # fmt: skip
        at = old.at if old else notebook.now()
        entry = notebook.save("contact", at, payload, old.id if old else "")
        form.clear()
        app.go("/care")
        app.say(f"{name} is saved.", undo=undo_of(app, entry.id))

    controls: list[ft.Control] = [
        choice("Who is it?", (("clinic", "A clinic for the pump"), ("person", "A person")),
               form.text("kind"), form.typed("kind")),
        text_field("Name", form.text("name"), form.typed("name"), error=form.error("name")),
        text_field("Telephone", form.text("phone"), form.typed("phone"),
                   keyboard=ft.KeyboardType.PHONE,
                   helper="With + and the country's code, so that it works from abroad."),
    ]  # fmt: skip
    if is_clinic:
        controls.append(
            text_field("When somebody answers", form.text("hours"), form.typed("hours"),
                       helper="For the emergency number: 24 h.")
        )  # fmt: skip
    else:
        controls += [
            text_field("How you are related", form.text("role"), form.typed("role"),
                       helper="Like: mother, neighbour, carer."),
            choice("Show on the card?", _YES_NO, form.text("emergency"), form.typed("emergency"),
                   in_row=True),
        ]  # fmt: skip
    controls += form.save_button("Save", save)
    if old:
        controls.append(remove_button(app, old.id, "contact", "/care"))
    return controls
