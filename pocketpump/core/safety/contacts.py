"""Whom to call, in which order; the numbers are the person's own."""

import re
from collections.abc import Collection, Iterable
from dataclasses import dataclass

from pocketpump.core.errors import InputError
from pocketpump.core.messages import message

EMERGENCY_ROLE = "local emergency number"
CLINIC_ROLE = "pump clinic"
OTHER_ROLE = "someone else"
ROLES = (EMERGENCY_ROLE, CLINIC_ROLE, OTHER_ROLE)
_ROLE_WORDS = {
    EMERGENCY_ROLE: message("local emergency number"),
    CLINIC_ROLE: message("pump clinic"),
    OTHER_ROLE: message("someone else"),
}

_WRITTEN = re.compile(r"\+?[0-9*#(][0-9 ()./*#-]*")


@dataclass(frozen=True, slots=True)
class Contact:
    """One number to call. ``emergency`` says that it is answered day and night.

    ``on_card`` puts somebody near on the emergency card; clinics always stand there.

    ``role`` is one of `ROLES`, or how somebody near belongs to the person ("brother").
    """

    name: str
    role: str
    phone: str
    hours: str = ""
    emergency: bool = False
    id: str = ""
    on_card: bool = False

    @property
    def is_clinic(self) -> bool:
        """Whether this is a clinic that looks after the pump."""
        return self.role == CLINIC_ROLE

    @property
    def is_person(self) -> bool:
        """Whether this is somebody near, and no clinic or service."""
        return self.role not in (CLINIC_ROLE, EMERGENCY_ROLE)

    @property
    def relation(self) -> str:
        """How somebody near belongs to the person, as written; "" when nobody said."""
        return self.role if self.is_person and self.role != OTHER_ROLE else ""


def role_words(role: str) -> str:
    """Return ``role`` as it is shown; how somebody near belongs to the person stays as typed."""
    return _ROLE_WORDS.get(role, role)


def dial_text(phone: str) -> str:
    """Return what the telephone dials: digits, + * and # alone (RFC 3966 without marks).

    Raises `InputError` when ``phone`` has no digits or something that cannot be dialled.
    """
    written = phone.strip()
    dialled = re.sub(r"[^0-9+*#]", "", written)
    if not _WRITTEN.fullmatch(written) or not 2 <= len(dialled.strip("+")) <= 20:
        raise InputError(message("Write a telephone number, like +31 20 123 45 67."), "phone")
    return dialled


def call_order(
    contacts: Iterable[Contact], *, emergency_first: bool, closed: Collection[str] = ()
) -> tuple[Contact, ...]:
    """Return the contacts that can be called, the one to call first at the front.

    The clinic comes first unless ``emergency_first``; within a role those answered day and
    night come before others, those noted as ``closed`` (their ids) after, then in the order given.
    """
    first, second = (
        (EMERGENCY_ROLE, CLINIC_ROLE) if emergency_first else (CLINIC_ROLE, EMERGENCY_ROLE)
    )
    rank = {first: 0, second: 1}
    able = [contact for contact in contacts if can_be_dialled(contact.phone)]
    return tuple(sorted(able, key=lambda c: (rank.get(c.role, 2), c.id in closed, not c.emergency)))


def whole_number(phone: str, most: int) -> str:
    """Return ``phone`` in at most ``most`` letters, as written or else as dialled; "" if neither.

    It is never cut: part of a number is worse than none.
    """
    if len(phone) <= most:
        return phone
    try:
        dialled = dial_text(phone)
    except InputError:
        return ""
    return dialled if len(dialled) <= most else ""


def can_be_dialled(phone: str) -> bool:
    """Return whether a telephone can dial ``phone``."""
    try:
        return bool(dial_text(phone))
    except InputError:
        return False


def lacks_country_code(contact: Contact) -> bool:
    """Return whether this number may not work from another country: it does not begin with +.

    Emergency numbers have none, and every country has its own.
    """
    if contact.role == EMERGENCY_ROLE or not can_be_dialled(contact.phone):
        return False
    return not dial_text(contact.phone).startswith("+")
