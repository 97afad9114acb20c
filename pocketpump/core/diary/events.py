"""What can happen between check-ins, what belongs to it and what is to be followed up: data."""

from collections.abc import Iterable
from dataclasses import dataclass

from pocketpump.core.diary.check_ins import Happening
from pocketpump.core.messages import worded


@dataclass(frozen=True, slots=True)
class Known:
    """A happening that has a name: ``what`` as kept, ``words`` as shown within a sentence.

    ``follow_up`` is the question that stays open, or "". ``signs`` are the warning signs it
    amounts to while that question is open; ``if_different`` those besides if the answer is
    that the pump feels different, and only with them is that an answer. ``told`` is what to
    do first, said as soon as the happening is chosen, or "". ``near`` is a sign whose subject
    is looked at after it, or "". ``may_come`` says that it may be noted before its day.
    """

    what: str
    words: str
    follow_up: str = ""
    signs: tuple[str, ...] = ()
    if_different: tuple[str, ...] = ()
    told: str = ""
    near: str = ""
    may_come: bool = False


_ALARM_TOLD = worded("Did the clinic check the pump after the alarm?")
_IN_PLACE = worded("Is the pump in its place, and does it feel as before?")
_OTHER_PUMP = ("pump moved", "pump hit")
# The label asks for the implanting team's advice before a scan and a check of the pump after it;
# the motor may stop in the field and restart late: De Andres 2011 (abstract).
_BEFORE_SCAN = worded("Ask the pump team before any MRI scan. Have the pump checked after it.")
_AFTER_SCAN = worded(
    "Have the pump checked after any MRI scan. If nobody has checked it yet, call the pump team."
)
_MISSED_REFILL = worded(
    "The pump may run empty. Call the pump clinic today for a new day, even if you feel well."
    " If the alarm date has come, call now."
)
"""A missed refill is one of the usual ways to withdrawal: Coffey 2002. How soon: own rule."""

HAPPENINGS: tuple[Known, ...] = (
    # Note: an MRI scan that is still to come.
    Known(
        "scan planned",
        worded("planned MRI scan"),
        worded("Did the pump team agree to the scan?"),
        told=_BEFORE_SCAN,
        may_come=True,
    ),
    # Note: an MRI scan.
    Known(
        "scan",
        worded("scan"),
        worded("Was the pump checked after the scan?"),
        told=_AFTER_SCAN,
    ),
    Known("soft alarm heard", worded("soft alarm heard"), _ALARM_TOLD, ("soft alarm",)),
    Known("urgent alarm heard", worded("urgent alarm heard"), _ALARM_TOLD, ("urgent alarm",)),
    # Note: the person fell.
    Known("fall", worded("fall"), _IN_PLACE, if_different=_OTHER_PUMP),
    Known(
        "blow to the pump",
        worded("blow to the pump"),
        _IN_PLACE,
        ("pump hit",),
        if_different=_OTHER_PUMP,
    ),
    Known(
        "fever or infection",
        worded("fever or infection"),
        worded("Did you tell the clinic about the fever?"),
        ("fever",),
    ),
    # Tablets that are not kept down are missed tablets.
    Known(
        "vomiting",
        worded("throwing up for hours, or tablets not kept down"),
        worded("Did you tell the clinic about the throwing up?"),
        ("vomiting",),
    ),
    Known(
        "surgery",
        worded("surgery"),
        worded("Was the pump checked after the surgery?"),
    ),
    Known(
        "missed refill",
        worded("missed refill"),
        worded("Is there a new day for the refill?"),
        told=_MISSED_REFILL,
        near="stiffness back",
    ),
    Known(
        "pump moved or turned",
        worded("pump moved or turned"),
        worded("Did you tell the clinic that the pump moved?"),
        ("pump moved",),
    ),
    Known(
        "skin over the pump changed",
        worded("skin over the pump changed"),
        worded("Did the clinic look at the skin?"),
        near="red skin",
    ),
    Known(
        "headache when upright",
        worded("headache when upright"),
        worded("Did you tell the clinic about the headache?"),
        ("headache upright",),
    ),
    Known(
        "catheter problem",
        worded("catheter problem"),
        worded("Did the clinic say what comes next?"),
        near="urgent alarm",
    ),
    Known(
        "seizure",
        worded("seizure"),
        worded("Did you tell the clinic about the seizure?"),
        ("seizure",),
    ),
    Known(
        "spine curve noted",
        worded("spine curve noted"),
        worded("Did you tell the clinic about the curve?"),
    ),
    Known("constipation", worded("constipation")),
    # What also moves stiffness, and so belongs beside what came after a change of the dose.
    Known("missed tablets", worded("missed tablets")),
    Known("new or changed tablets", worded("new or changed tablets")),
    # Note: a stay at a rehab clinic, or a course of physical therapy.
    Known("rehab or therapy", worded("rehab, or a course of therapy")),
)
_BY_NAME = {known.what: known for known in HAPPENINGS}


def known_happening(what: str) -> Known:
    """Return what belongs to ``what``; nothing does to words of the person's own."""
    return _BY_NAME.get(what) or Known(what, what)


def happening_words(what: str) -> str:
    """Return ``what`` as it is shown within a sentence; the person's own words stay as typed."""
    return known_happening(what).words


def follow_up_of(what: str) -> str:
    """Return the question that stays open after ``what``; "" when there is none."""
    return known_happening(what).follow_up


def signs_of_happening(happening: Happening) -> tuple[str, ...]:
    """Return the ids of the warning signs ``happening`` amounts to until it is followed up."""
    if happening.follow_up_done:
        return ()
    known = known_happening(happening.what)
    different = known.if_different if happening.feels_different else ()
    return tuple(dict.fromkeys((*known.signs, *different)))


def open_follow_ups(happenings: Iterable[Happening]) -> tuple[tuple[Happening, str], ...]:
    """Return each happening whose question is still open, with the question."""
    return tuple(
        (happening, question)
        for happening in happenings
        if not happening.follow_up_done and (question := follow_up_of(happening.what))
    )
