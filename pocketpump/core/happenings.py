"""What can happen between check-ins, and what is to be followed up: data only."""

from collections.abc import Iterable
from dataclasses import dataclass

from pocketpump.core.diary import Happening
from pocketpump.core.wording import worded


@dataclass(frozen=True, slots=True)
class Known:
    """A happening that has a name: ``what`` as kept, ``words`` as shown within a sentence.

    ``follow_up`` is the question that stays open, or "". ``sign`` is the warning sign it
    amounts to while that question is open, or "".
    """

    what: str
    words: str
    follow_up: str = ""
    sign: str = ""


_ALARM_TOLD = worded("Did you tell the clinic about the alarm?")

HAPPENINGS: tuple[Known, ...] = (
    # The motor may stop in the field and restart late: De Andres 2011 (abstract).
    # Note: an MRI scan.
    Known("scan", worded("scan"), worded("Was the pump checked after the scan?")),
    Known("soft alarm heard", worded("soft alarm heard"), _ALARM_TOLD, "soft alarm"),
    Known("urgent alarm heard", worded("urgent alarm heard"), _ALARM_TOLD, "urgent alarm"),
    # Note: the person fell.
    Known("fall", worded("fall"), worded("Is the pump in its place, and does it feel as before?")),
    Known(
        "fever or infection",
        worded("fever or infection"),
        worded("Did you tell the clinic about the fever?"),
        "fever",
    ),
    Known("surgery", worded("surgery"), worded("Was the pump checked after the surgery?")),
    Known("missed refill", worded("missed refill"), worded("Is there a new day for the refill?")),
    Known(
        "pump moved or turned",
        worded("pump moved or turned"),
        worded("Did you tell the clinic that the pump moved?"),
        "pump moved",
    ),
    Known(
        "skin over the pump changed",
        worded("skin over the pump changed"),
        worded("Did the clinic look at the skin?"),
    ),
    Known(
        "headache when upright",
        worded("headache when upright"),
        worded("Did you tell the clinic about the headache?"),
        "headache upright",
    ),
    Known(
        "catheter problem",
        worded("catheter problem"),
        worded("Did the clinic say what comes next?"),
    ),
    Known(
        "seizure",
        worded("seizure"),
        worded("Did you tell the clinic about the seizure?"),
        "seizure",
    ),
    Known(
        "spine curve noted",
        worded("spine curve noted"),
        worded("Did you tell the clinic about the curve?"),
    ),
    Known("constipation", worded("constipation")),
)
_BY_NAME = {known.what: known for known in HAPPENINGS}


def happening_words(what: str) -> str:
    """Return ``what`` as it is shown within a sentence; the person's own words stay as typed."""
    known = _BY_NAME.get(what)
    return known.words if known else what


def follow_up_of(what: str) -> str:
    """Return the question that stays open after ``what``; "" when there is none."""
    known = _BY_NAME.get(what)
    return known.follow_up if known else ""


def sign_of(what: str) -> str:
    """Return the id of the warning sign that ``what`` amounts to; "" when there is none."""
    known = _BY_NAME.get(what)
    return known.sign if known else ""


def open_follow_ups(happenings: Iterable[Happening]) -> tuple[tuple[Happening, str], ...]:
    """Return each happening whose question is still open, with the question."""
    return tuple(
        (happening, question)
        for happening in happenings
        if not happening.follow_up_done and (question := follow_up_of(happening.what))
    )
