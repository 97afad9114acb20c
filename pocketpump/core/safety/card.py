"""The emergency card as plain, frozen data: only what is known, nothing worked out again.

A `Card` holds texts, ISO dates and names of phrases, so that any view can draw it (also one
without Python) and put the phrases into another language. What it says rests on the drug's
label, Coffey 2002, Saulino 2016, De Andres 2011, Bycroft 2005 and hospital leaflets; the
phrases themselves are the card's words, kept beside their translations.
"""

from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from datetime import date, datetime, timedelta
from typing import Any

from pocketpump.core.messages import text_in
from pocketpump.core.pump.forecast import Forecast
from pocketpump.core.safety.card_dose_lines import (
    CardLine,
    alarm_dates,
    amount_text,
    dose_lines,
)
from pocketpump.core.safety.contacts import (
    EMERGENCY_ROLE,
    Contact,
    call_order,
    can_be_dialled,
    lacks_country_code,
)
from pocketpump.core.units.instants import to_seconds
from pocketpump.core.units.quantity import VOLUME, entered_number

STALE_AFTER_DAYS = 180
"""A card whose newest refill or dose is older is called out of date: refills are done every
30 to 180 days (children's hospital leaflets)."""

# Said in every card, in this order.
FIRST = ("implant", "stopping")
SIGNS = ("mild", "too_little", "course", "mimic", "too_much", "infection")
CARE = ("oral", "breathing", "mri_check", "trained", "highest")


@dataclass(frozen=True, slots=True)
class CareFacts:
    """What the person and the clinic wrote down besides refills and doses; "" is not known.

    ``own_steps`` are the person's own written steps for autonomic dysreflexia, ``away`` the
    first and last day of the trip that runs or comes next.
    """

    name: str = ""
    born_on: date | None = None
    model: str = ""
    serial: str = ""
    position: str = ""
    tip_level: str = ""
    implanted_on: date | None = None
    surgeon: str = ""
    other_drugs: str = ""
    mri_notes: str = ""
    allergies: str = ""
    tablets: str = ""
    plan: str = ""
    own_steps: str = ""
    diagnosis: str = ""
    blood_pressure: str = ""
    communication: str = ""
    other_implants: str = ""
    blood_thinners: str = ""
    weight_kg: float | None = None
    injury_t6_or_above: bool = False
    cannot_communicate: bool = False
    earlier_withdrawal: bool = False
    contacts: tuple[Contact, ...] = ()
    away: tuple[date, date] | None = None


@dataclass(frozen=True, slots=True)
class CardContact:
    """A contact with its number ("01", "02") in the style of ITU-T E.123."""

    number: str
    name: str
    role: str
    phone: str
    hours: str


@dataclass(frozen=True, slots=True)
class Card:
    """Everything on the card. Dates are ISO 8601 texts; "" is not known.

    From the day ``stale_from`` on the card must warn that it may be out of date, from
    ``low_from`` on that the pump may be empty; from ``away_from`` to ``away_to`` that numbers
    may not work from abroad. Of the lines called "alarm_date" and "clinic_alarm_date" the
    earlier comes first.
    """

    as_of: str
    last_entry: str
    stale_from: str
    low_from: str
    name: str
    born_on: str
    risks: tuple[str, ...]
    clinics: tuple[CardContact, ...]
    emergency: tuple[CardContact, ...]
    contacts: tuple[CardContact, ...]
    lines: tuple[CardLine, ...]
    away_from: str = ""
    away_to: str = ""

    def is_stale(self, today: date) -> bool:
        """Return whether the warning must be shown on ``today``."""
        return bool(self.stale_from) and today.isoformat() >= self.stale_from

    def is_low(self, today: date) -> bool:
        """Return whether the pump may be empty on ``today``, by the numbers on the card."""
        return bool(self.low_from) and today.isoformat() >= self.low_from

    def is_away(self, today: date) -> bool:
        """Return whether a trip runs on ``today`` on which some number may not work."""
        return bool(self.away_from) and self.away_from <= today.isoformat() <= self.away_to

    def value(self, label: str) -> str:
        """Return the value of the line called ``label``; "" without one."""
        return next((line.value for line in self.lines if line.label == label), "")

    def plain(self) -> dict[str, Any]:
        """Return the card as lists, texts and numbers, ready for JSON.

        Adds the phrases that every card says, so that a view needs to know none of them.
        """
        return {**asdict(self), "first": FIRST, "signs": SIGNS, "care": CARE}


def build_card(facts: CareFacts, answer: Forecast | None, now: datetime) -> Card:
    """Return the card at ``now``; without a forecast it holds the facts alone."""
    ordered = _in_order(facts.contacts)
    last_entry = _last_entry(answer)
    low_from = _low_from(answer)
    return Card(
        as_of=now.date().isoformat(),
        last_entry=last_entry.isoformat() if last_entry else "",
        stale_from=_stale_from(answer, last_entry),
        low_from=low_from.isoformat() if low_from else "",
        name=one_line(facts.name),
        born_on=facts.born_on.isoformat() if facts.born_on else "",
        risks=_risks(facts),
        clinics=_numbered([c for c in ordered if c.is_clinic], numbered=False),
        emergency=_numbered([c for c in ordered if c.role == EMERGENCY_ROLE], numbered=False),
        contacts=_numbered([c for c in ordered if c.is_person and c.on_card]),
        lines=tuple(line for line in _lines(facts, answer) if line.value),
        **_away(facts),
    )


def one_line(text: str) -> str:
    """Return ``text`` in one line: a line break in a name must not forge a line of the card."""
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())


def _in_order(contacts: Sequence[Contact]) -> tuple[Contact, ...]:
    """Return the contacts in the order to call them; those nobody can dial stand last."""
    ordered = call_order(contacts, emergency_first=False)
    return (*ordered, *(c for c in contacts if not can_be_dialled(c.phone)))


def _risks(facts: CareFacts) -> tuple[str, ...]:
    # Highest risk by the label: injury at T6 or above, trouble communicating, earlier withdrawal.
    flags = {
        "t6": facts.injury_t6_or_above,
        "communicate": facts.cannot_communicate,
        "earlier": facts.earlier_withdrawal,
    }
    return tuple(name for name, is_so in flags.items() if is_so)


def _numbered(contacts: Sequence[Contact], *, numbered: bool = True) -> tuple[CardContact, ...]:
    return tuple(
        CardContact(f"{i:02d}" if numbered else "", one_line(c.name), one_line(c.relation),
                    one_line(c.phone), one_line(c.hours))
        for i, c in enumerate(contacts, 1)
    )  # fmt: skip


def _lines(facts: CareFacts, answer: Forecast | None) -> Iterator[CardLine]:
    def day(label: str, value: date | None) -> CardLine:
        return CardLine(label, value.isoformat() if value else "", "date")

    if answer is not None:
        yield from dose_lines(answer)
        pump = answer.situation.pump
        zone = answer.now.tzinfo
        yield day("last_refill", answer.fill.at.astimezone(zone).date())
        yield from (day(label, on) for label, on in alarm_dates(answer))
        yield day("empty_date", answer.empty_at.date() if answer.empty_at else None)
        stopped = answer.programme.mode == "stopped"
        yield day("refill_by", None if stopped else answer.refill_by)
        changes = answer.situation.changes()
        if changes:
            yield day("dose_changed", changes[-1].at.astimezone(zone).date())
        yield CardLine("alarm_volume", amount_text(pump.alarm_volume_ml, VOLUME), "amount")
        reservoir = pump.reservoir_ml
        yield CardLine("reservoir", amount_text(reservoir, VOLUME) if reservoir else "", "amount")
        line_ml = pump.line_volume_ml
        yield CardLine("line_volume", amount_text(line_ml, VOLUME) if line_ml else "", "amount")
    yield CardLine("other_drugs", one_line(facts.other_drugs), "own")
    yield CardLine("communication", one_line(facts.communication), "own")
    yield CardLine("diagnosis", one_line(facts.diagnosis), "own")
    yield CardLine("blood_pressure", one_line(facts.blood_pressure), "own")
    yield CardLine("other_implants", one_line(facts.other_implants), "own")
    yield CardLine("blood_thinners", one_line(facts.blood_thinners), "own")
    weight = (
        "" if facts.weight_kg is None else f"{text_in(entered_number(facts.weight_kg), None)} kg"
    )
    yield CardLine("weight", weight, "amount")
    yield CardLine("model", one_line(facts.model))
    yield CardLine("serial", one_line(facts.serial))
    yield CardLine("position", one_line(facts.position), "own")
    yield CardLine("tip", one_line(facts.tip_level), "own")
    yield day("implanted_on", facts.implanted_on)
    yield CardLine("surgeon", one_line(facts.surgeon))
    yield CardLine("allergies", facts.allergies, "own")
    yield CardLine("own_steps", facts.own_steps, "own")
    yield CardLine("tablets", facts.tablets, "own")
    yield CardLine("mri_notes", facts.mri_notes, "own")
    yield CardLine("plan", facts.plan, "own")


def _last_entry(answer: Forecast | None) -> date | None:
    if answer is None:
        return None
    instants = [answer.fill.at, *(setting.at for setting in answer.situation.settings)]
    return max(instants, key=to_seconds).astimezone(answer.now.tzinfo).date()


def _stale_from(answer: Forecast | None, last_entry: date | None) -> str:
    """Return the first day on which the numbers are likely not the pump's any more.

    After the refill-by date a refill was due, and a card that does not know of it is old.
    """
    if answer is None or last_entry is None:
        return ""
    days = [last_entry + timedelta(days=STALE_AFTER_DAYS), answer.refill_by]
    return (min(days) + timedelta(days=1)).isoformat()


def _low_from(answer: Forecast | None) -> date | None:
    """Return the first day on which the pump may be empty or its alarm sound; None for never.

    The earliest of the computed alarm, the clinic's, and empty at this pump's fastest, as Today
    says it.
    """
    if answer is None:
        return None
    days = [day for _, day in alarm_dates(answer)]
    if answer.maybe_empty_at is not None:
        days.append(answer.maybe_empty_at.date())
    return min(days, default=None)


def _away(facts: CareFacts) -> dict[str, str]:
    """Return the days of the trip while there is a number that may not work on it."""
    shown = [c for c in facts.contacts if c.is_clinic or c.on_card or c.role == EMERGENCY_ROLE]
    doubtful = any(lacks_country_code(c) or c.role == EMERGENCY_ROLE for c in shown)
    if facts.away is None or not doubtful:
        return {}
    first, last = facts.away
    return {"away_from": first.isoformat(), "away_to": last.isoformat()}
