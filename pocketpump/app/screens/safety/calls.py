"""Whom to call from here: the numbers to call first, and which of them are not set."""

from collections.abc import Collection

import flet as ft

from pocketpump.app.look import theme
from pocketpump.app.parts import Pinned, body, call_button, call_line
from pocketpump.app.screens.link import link
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.messages import message
from pocketpump.core.safety.contacts import (
    CLINIC_ROLE,
    EMERGENCY_ROLE,
    Contact,
    call_order,
    dial_text,
)
from pocketpump.core.safety.sign_table import Urgency
from pocketpump.core.safety.signs import Advice
from pocketpump.record.facts.circumstances import clinics_answered
from pocketpump.record.facts.diary import contacts_of

_NOT_SET = {
    EMERGENCY_ROLE: message("Set the emergency number"),
    CLINIC_ROLE: message("Set the clinic's number"),
}
_DIAL_YOURSELF = message("Your local emergency number is not set here. Dial it yourself.")


def able_contacts(app: App[Services], *, emergency_first: bool) -> tuple[Contact, ...]:
    """Return the contacts that can be dialled, the one to call first at the front."""
    contacts = contacts_of(app.services.record.alive)
    return call_order(contacts, emergency_first=emergency_first, closed=closed_clinics(app))


def closed_clinics(app: App[Services]) -> frozenset[str]:
    """Return the ids of the clinics that are noted as closed now."""
    answered = clinics_answered(app.services.record.alive, app.services.now())
    return frozenset(clinic for clinic, is_open in answered.items() if is_open is False)


def named(contact: Contact, closed: Collection[str]) -> str:
    """Return whom one calls, and that nobody may answer now."""
    # Note: a clinic.
    return (
        message("{name} (closed now)", name=contact.name) if contact.id in closed else contact.name
    )


def first_calls(app: App[Services], *, emergency_first: bool, key: str) -> list[ft.Control]:
    """Draw the two numbers to call first; what is to be done where there is none."""
    able = able_contacts(app, emergency_first=emergency_first)
    closed = closed_clinics(app)
    dials_itself = emergency_first and not any(c.role == EMERGENCY_ROLE for c in able)
    controls: list[ft.Control] = [body(_DIAL_YOURSELF)] if dials_itself else []
    controls += [
        call_button(named(c, closed), c.phone, dial_text(c.phone),
                    first=n == 0 and not dials_itself and c.id not in closed, key=f"{key}:{c.id}")
        for n, c in enumerate(able[:2])
    ]  # fmt: skip
    if not able:
        controls.append(set_numbers(app))
    return controls


def clinic_call(app: App[Services]) -> ft.Control:
    """Return the call to the clinic, or the way to set its number."""
    for c in able_contacts(app, emergency_first=False):
        if c.is_clinic:
            return call_button(c.name, c.phone, dial_text(c.phone), first=False, key="clinic")
    return _unset(app, CLINIC_ROLE)


def set_numbers(app: App[Services]) -> ft.Control:
    """Return the way to the numbers."""
    return link(app, message("Set numbers to call"), "/contacts", ft.Icons.CONTACTS)


def pinned_calls(app: App[Services], advice: Advice | None) -> tuple[ft.Control, frozenset[str]]:
    """Draw the emergency number and the clinic's, always in sight, and the headline over them.

    The one that the ``advice`` asks for now comes first and is filled; without advice none is.
    A number not set says so in its place and leads to where it is set. With very large text only
    the first of the two stays in sight. Also return the ids of the contacts drawn.
    """
    emergency_first = advice is None or advice.calls_emergency
    able = able_contacts(app, emergency_first=emergency_first)
    if advice is not None and advice.urgency is Urgency.NOW and not any(c.is_clinic for c in able):
        emergency_first = True  # nobody else can be called at once from here
    asked_for = EMERGENCY_ROLE if emergency_first else CLINIC_ROLE
    # Each keeps its place whatever is ticked: a finger may be on its way.
    roles = [EMERGENCY_ROLE, CLINIC_ROLE]
    if theme.roomy():  # with very large text more would leave no room for the signs
        roles = [asked_for]
    shown = {role: next((c for c in able if c.role == role), None) for role in roles}
    lines: list[ft.Control] = []
    if advice is not None:
        if not theme.roomy():
            lines.append(_headline(advice))
        if advice.calls_emergency and shown.get(EMERGENCY_ROLE) is None:
            lines.append(body(_DIAL_YOURSELF))
    is_for_now = advice is not None and advice.urgency >= Urgency.TODAY
    closed = closed_clinics(app)
    for role, contact in shown.items():
        if contact is None:
            lines.append(_unset(app, role))
        else:
            lines.append(
                call_line(named(contact, closed), contact.phone, dial_text(contact.phone),
                          first=is_for_now and role == asked_for and contact.id not in closed,
                          key=f"pinned:{role}")
            )  # fmt: skip
    bar = Pinned(
        ft.Column(
            lines, spacing=theme.GAP, tight=True, horizontal_alignment=ft.CrossAxisAlignment.STRETCH
        ),
        bgcolor=theme.SHELL,
        padding=ft.Padding.symmetric(vertical=12, horizontal=20),
        border=ft.Border.only(top=ft.BorderSide(1, theme.HAIRLINE)),
        key="in sight",
    )
    return bar, frozenset(c.id for c in shown.values() if c is not None)


def other_calls(
    app: App[Services], pinned: Collection[str], *, emergency_first: bool
) -> list[ft.Control]:
    """Draw the calls to the contacts that are not ``pinned``, by their ids.

    With very large text the numbers not set are told here, too: only one is in sight.
    """
    able = able_contacts(app, emergency_first=emergency_first)
    calls = [
        call_button(c.name, c.phone, dial_text(c.phone), first=False, key=f"call:{c.id}")
        for c in able
        if c.id not in pinned
    ]
    known = {c.role for c in able}
    unset = [role for role in _NOT_SET if role not in known] if theme.roomy() else []
    return [*calls, *(_unset(app, role) for role in unset)]


def _headline(advice: Advice) -> ft.Control:
    """The headline; the answer itself stands at the top of the screen."""
    # Words, not a button: beside the calls it would be taken for one. The answer says it aloud.
    return ft.Semantics(
        exclude_semantics=True, content=ft.Text(advice.headline, theme_style=theme.STRONG)
    )


def _unset(app: App[Services], role: str) -> ft.Control:
    return add_number(app, _NOT_SET[role], role)


def add_number(app: App[Services], label: str, role: str) -> ft.Control:
    """Return the way to a new number for ``role``."""
    # The role goes along in the route; a space would end it.
    return link(app, label, f"/contact?role={role.replace(' ', '+')}", ft.Icons.ADD)
