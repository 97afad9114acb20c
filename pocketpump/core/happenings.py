"""What can happen between check-ins, and what is to be followed up: data only."""

from collections.abc import Iterable
from dataclasses import dataclass

from pocketpump.core.diary import Happening


@dataclass(frozen=True, slots=True)
class Known:
    """A happening that has a name: ``what`` as kept, the question that stays open, or "".

    ``sign`` is the warning sign it amounts to while that question is open, or "".
    """

    what: str
    follow_up: str = ""
    sign: str = ""


HAPPENINGS: tuple[Known, ...] = (
    # The motor may stop in the field and restart late: De Andres 2011 (abstract).
    Known("scan", "Was the pump checked after the scan?"),
    Known("soft alarm heard", "Did you tell the clinic about the alarm?", "soft alarm"),
    Known("urgent alarm heard", "Did you tell the clinic about the alarm?", "urgent alarm"),
    Known("fall", "Is the pump in its place, and does it feel as before?"),
    Known("fever or infection", "Did you tell the clinic about the fever?", "fever"),
    Known("surgery", "Was the pump checked after the surgery?"),
    Known("missed refill", "Is there a new day for the refill?"),
    Known("pump moved or turned", "Did you tell the clinic that the pump moved?", "pump moved"),
    Known("skin over the pump changed", "Did the clinic look at the skin?"),
    Known(
        "headache when upright", "Did you tell the clinic about the headache?", "headache upright"
    ),
    Known("catheter problem", "Did the clinic say what comes next?"),
    Known("seizure", "Did you tell the clinic about the seizure?", "seizure"),
    Known("spine curve noted", "Did you tell the clinic about the curve?"),
    Known("constipation"),
)
_BY_NAME = {known.what: known for known in HAPPENINGS}


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
