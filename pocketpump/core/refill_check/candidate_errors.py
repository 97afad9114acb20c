"""The candidate errors: which single wrong number would explain a printed alarm date.

When the clinic's printed alarm date and the computed one differ by more than a day, every
field is changed in turn by the slips people make (another strength, a factor of ten, two
digits swapped …). A change that lands on the printed date is a question worth asking
before leaving the room. It is never said which of the two sides is right.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from pocketpump.core.messages import LazyText, message
from pocketpump.core.refill_check.refill_input import RefillInput
from pocketpump.core.refill_check.single_changes import SingleChange, changes
from pocketpump.core.units.instants import date_text

# A date may be rounded either way, so one day apart is agreement.
AGREEMENT = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class CandidateError:
    """A single change that would explain the printed date.

    ``field`` is the entry field, ``entered`` and ``would_be`` its value as entered and as
    it would have to be, ``text`` the sentence for the person. ``weight`` ranks: how often
    such a slip is met (own ordering, no source).
    """

    field: str
    entered: str
    would_be: str
    text: str
    weight: float


def find_candidate_errors(
    refill_input: RefillInput, printed_alarm_on: date
) -> tuple[CandidateError, ...]:
    """Return the single slips that would make both dates agree, most plausible first.

    Empty when the dates already agree within a day, or when no single slip explains them.
    """
    computed = refill_input.alarm_on()
    if computed is not None and abs(computed - printed_alarm_on) <= AGREEMENT:
        return ()
    found: list[tuple[float, date, SingleChange]] = []
    for change in changes(refill_input, printed_alarm_on):
        would_be_on = change.refill_input.alarm_on()
        if would_be_on is None:
            continue
        apart = abs(would_be_on - change.printed_on)
        if apart <= AGREEMENT:
            # A day off costs half the weight: rounding is possible, a hit is likelier.
            weight = change.weight * (1.0 if not apart else 0.5)
            found.append((weight, would_be_on, change))
    found.sort(key=lambda item: (-item[0], item[2].field, item[2].would_be))
    best: dict[tuple[str, str], CandidateError] = {}
    for weight, would_be_on, change in found:
        key = (change.field, change.would_be)
        best.setdefault(key, _candidate_error(change, weight, would_be_on))
    return tuple(best.values())


def _candidate_error(change: SingleChange, weight: float, would_be_on: date) -> CandidateError:
    text = _text(change, would_be_on)
    return CandidateError(change.field, change.entered, change.would_be, text, weight)


def _text(change: SingleChange, would_be_on: date) -> str:
    if change.field == "printed_alarm":
        return message(
            "If the printed alarm date means {would_be} and not {entered}, both dates agree: look"
            " at day, month and year again.",
            would_be=_said_date(change.would_be),
            entered=_said_date(change.entered),
        )
    said = _said_date if change.field == "filled" else str
    # Note: stands in: …, the alarm would fall on {day}, {near}: ask which is right.
    printed = message("as printed")
    # Note: stands in: …, the alarm would fall on {day}, {near}: ask which is right.
    apart = message("a day from the printed date")
    told = (
        _BRIDGE_TEXTS[change.entered, change.would_be]
        if change.field == "bridge"
        else _TEXTS[change.field]
    )
    return told.filled(
        would_be=said(change.would_be),
        entered=said(change.entered),
        day=date_text(would_be_on),
        near=printed if would_be_on == change.printed_on else apart,
    )


def _said_date(iso: str) -> str:
    return date_text(date.fromisoformat(iso))


_TEXTS: Mapping[str, LazyText] = {
    "strength": message(
        "If the strength were {would_be} and not {entered}, the alarm would fall on {day}, {near}:"
        " ask which is right."
    ),
    "volume": message(
        "If the filled volume were {would_be} and not {entered}, the alarm would fall on {day},"
        " {near}: ask which is right."
    ),
    "alarm_volume": message(
        "If the alarm volume were {would_be} and not {entered}, the alarm would fall on {day},"
        " {near}: ask which is right."
    ),
    "dose": message(
        "If the daily dose were {would_be} and not {entered}, the alarm would fall on {day},"
        " {near}: ask which is right."
    ),
    "filled": message(
        "If the refill date were {would_be} and not {entered}, the alarm would fall on {day},"
        " {near}: ask which is right."
    ),
}
_BRIDGE_TEXTS: Mapping[tuple[str, str], LazyText] = {
    ("programmed", "not programmed"): message(
        "If the clinic programmed no bridge, though one is noted, the alarm would fall on {day},"
        " {near}: ask which is right."
    ),
    ("not programmed", "programmed"): message(
        "If the clinic programmed a bridge, though none is noted, the alarm would fall on {day},"
        " {near}: ask which is right."
    ),
    ("not known", "programmed"): message(
        "If the clinic programmed a bridge, which is not known yet, the alarm would fall on {day},"
        " {near}: ask which is right."
    ),
    ("not known", "not programmed"): message(
        "If the clinic programmed no bridge, which is not known yet, the alarm would fall on"
        " {day}, {near}: ask which is right."
    ),
}
