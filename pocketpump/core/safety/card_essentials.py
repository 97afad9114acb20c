"""The card's essentials in a few lines of plain English, small enough for a code to scan.

Each line has a budget of its own in bytes, and the whole has one, so that the code stays
coarse enough to be read from a wallet card whatever was typed.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from pocketpump.core.safety.card import Card, CardContact, one_line
from pocketpump.core.safety.contacts import whole_number
from pocketpump.core.units.instants import date_text

MOST_BYTES = 600
"""Of the whole: version 19 at correction M holds 624 bytes (ISO/IEC 18004)."""
_NAME, _PLACE, _PERSON, _PHONE, _DRUGS, _ALLERGIES = 34, 26, 24, 22, 40, 38
"""Bytes of each text that a person typed."""
_STEPS, _SERVICE = 90, 12
_ALARM_WORDS = {"alarm_date": "alarm", "clinic_alarm_date": "clinic's alarm"}
_STEP_WORDS = {
    "day_pattern": "",
    "constant_rate": "background ",
    "timed_boluses": "timed a day ",
    "requested_boluses": "on request a day up to ",
}
_RISK_WORDS = {
    "t6": "cord injury T6 or above",
    "communicate": "cannot communicate",
    "earlier": "earlier baclofen withdrawal",
}


@dataclass(frozen=True, slots=True)
class _Line:
    """``rank`` 0 is never left out; the highest rank goes first."""

    text: str
    rank: int = 0


def essentials(card: Card) -> str:
    """Return what a stranger's phone shows after scanning: at most `MOST_BYTES` in UTF-8."""
    lines = [line for line in _lines(card) if line.text]
    while _size(lines) > MOST_BYTES:
        lines.remove(max(lines, key=lambda line: line.rank))
    return "\n".join(line.text for line in lines)


def _lines(card: Card) -> Iterator[_Line]:
    made_on = date.fromisoformat(card.as_of)
    yield _Line("IMPLANTED PUMP: BACLOFEN, INTRATHECAL. STOPPING BACLOFEN SUDDENLY CAN KILL.")
    yield _told("ALSO IN THE PUMP: ", card.value("other_drugs"), _DRUGS)
    if card.is_low(made_on):
        since = _day(card.low_from)
        yield _Line(f"MAY BE EMPTY since {since} by these numbers: could be baclofen withdrawal.")
    if card.is_stale(made_on):
        yield _Line("THIS MAY BE OUT OF DATE.")
    most = card.value("dose_most")
    dose = f"up to {most}" if most else card.value("dose")
    yield _Line(_joined(", ", card.value("strength"), dose, card.value("mode").replace("_", " ")))
    yield _Line(_steps(card), 4)
    alarms = [(_ALARM_WORDS[line.label], line.label) for line in card.lines
              if line.label in _ALARM_WORDS]  # fmt: skip
    yield _Line(_dates(card, ("Filled", "last_refill"), *alarms))
    if card.risks:
        yield _Line("RISK: " + ", ".join(_RISK_WORDS[risk] for risk in card.risks))
    yield _told("Allergies: ", card.value("allergies"), _ALLERGIES)
    yield from (_Line(f"Clinic: {_reached(clinic, _PLACE)}") for clinic in card.clinics[:1])
    for emergency in card.emergency[:1]:
        number = whole_number(emergency.phone, _SERVICE)
        yield _Line(f"Emergency: {number}" if number.isascii() and number else "")
    for rank, contact in enumerate(card.contacts[:2], 5):
        yield _Line(f"{contact.number} {_reached(contact, _PERSON)}", rank)
    born = f"born {_day(card.born_on)}" if card.born_on else ""
    yield _Line(_joined(", ", _cut(card.name, _NAME), born), 1)
    yield _Line(_dates(card, ("Empty", "empty_date")), 2)
    if card.last_entry:
        last = f"Last entry {_day(card.last_entry)}"
        yield _Line(f"{last}, out of date from {_day(card.stale_from)}", 3)
    else:
        yield _Line(f"Made on {_day(card.as_of)}", 7)


def _steps(card: Card) -> str:
    """Return the steps and boluses in one line; of a week of them that they are on the card."""
    told = [(_STEP_WORDS[line.label], line.value) for line in card.lines
            if line.label in _STEP_WORDS]  # fmt: skip
    text = ", ".join(f"{word}{value}" for word, value in told)
    if len(text.encode()) > _STEPS:
        return "Steps and boluses: see card"
    return text.replace("×", "x")


def _told(label: str, text: str, most: int) -> _Line:
    told = _cut(text, most)
    mark = " (see card)" if told.endswith("…") else ""
    return _Line(f"{label}{told}{mark}" if told else "")


def _reached(contact: CardContact, most: int) -> str:
    number = whole_number(contact.phone, _PHONE)
    # Other than ASCII digits would take more bytes than letters.
    told = number if number.isascii() else ""
    missing = "(number on card)" if contact.phone and not told else ""
    return _joined(" ", _cut(contact.name, most), told, missing)


def _cut(text: str, most: int) -> str:
    line = one_line(text)
    data = line.encode()
    if len(data) <= most:
        return line
    return data[: most - len("…".encode())].decode(errors="ignore").rstrip() + "…"


def _dates(card: Card, *named: tuple[str, str]) -> str:
    told = [f"{word} {_day(card.value(label))}" for word, label in named if card.value(label)]
    text = ", ".join(told)
    return text[:1].upper() + text[1:]


def _day(iso: str) -> str:
    return date_text(date.fromisoformat(iso))[4:] if iso else ""


def _joined(between: str, *parts: str) -> str:
    return between.join(part for part in parts if part)


def _size(lines: list[_Line]) -> int:
    return len("\n".join(line.text for line in lines).encode())
