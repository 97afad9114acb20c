"""What can happen between check-ins, what belongs to it and what is to be followed up: data."""

from collections.abc import Iterable
from dataclasses import dataclass

from pocketpump.core.diary.check_ins import DiaryEvent
from pocketpump.core.messages import message


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


_ALARM_TOLD = message("Did the clinic check the pump after the alarm?")
_IN_PLACE = message("Is the pump in its place, and does it feel as before?")
_OTHER_PUMP = ("pump moved", "pump hit")
# The label asks for the implanting team's advice before a scan and a check of the pump after it;
# the motor may stop in the field and restart late: De Andres 2011 (abstract).
_BEFORE_SCAN = message("Ask the pump team before any MRI scan. Have the pump checked after it.")
_AFTER_SCAN = message(
    "Have the pump checked after any MRI scan. If nobody has checked it yet, call the pump team."
)
_MISSED_REFILL = message(
    "The pump may run empty. Call the pump clinic today for a new day, even if you feel well."
    " If the alarm date has come, call now."
)
"""A missed refill is one of the usual ways to withdrawal: Coffey 2002. How soon: own rule."""

HAPPENINGS: tuple[Known, ...] = (
    # Note: an MRI scan that is still to come.
    Known(
        "scan planned",
        message("planned MRI scan"),
        message("Did the pump team agree to the scan?"),
        told=_BEFORE_SCAN,
        may_come=True,
    ),
    # Note: an MRI scan.
    Known(
        "scan",
        message("scan"),
        message("Was the pump checked after the scan?"),
        told=_AFTER_SCAN,
    ),
    Known("soft alarm heard", message("soft alarm heard"), _ALARM_TOLD, ("soft alarm",)),
    Known("urgent alarm heard", message("urgent alarm heard"), _ALARM_TOLD, ("urgent alarm",)),
    # Note: the person fell.
    Known("fall", message("fall"), _IN_PLACE, if_different=_OTHER_PUMP),
    Known(
        "blow to the pump",
        message("blow to the pump"),
        _IN_PLACE,
        ("pump hit",),
        if_different=_OTHER_PUMP,
    ),
    Known(
        "fever or infection",
        message("fever or infection"),
        message("Did you tell the clinic about the fever?"),
        ("fever",),
    ),
    # Tablets that are not kept down are missed tablets.
    Known(
        "vomiting",
        message("throwing up for hours, or tablets not kept down"),
        message("Did you tell the clinic about the throwing up?"),
        ("vomiting",),
    ),
    Known(
        "surgery",
        message("surgery"),
        message("Was the pump checked after the surgery?"),
    ),
    Known(
        "missed refill",
        message("missed refill"),
        message("Is there a new day for the refill?"),
        told=_MISSED_REFILL,
        near="stiffness back",
    ),
    Known(
        "pump moved or turned",
        message("pump moved or turned"),
        message("Did you tell the clinic that the pump moved?"),
        ("pump moved",),
    ),
    Known(
        "skin over the pump changed",
        message("skin over the pump changed"),
        message("Did the clinic look at the skin?"),
        near="red skin",
    ),
    Known(
        "headache when upright",
        message("headache when upright"),
        message("Did you tell the clinic about the headache?"),
        ("headache upright",),
    ),
    Known(
        "catheter problem",
        message("catheter problem"),
        message("Did the clinic say what comes next?"),
        near="urgent alarm",
    ),
    Known(
        "seizure",
        message("seizure"),
        message("Did you tell the clinic about the seizure?"),
        ("seizure",),
    ),
    Known(
        "spine curve noted",
        message("spine curve noted"),
        message("Did you tell the clinic about the curve?"),
    ),
    Known("constipation", message("constipation")),
    # What also moves stiffness, and so belongs beside what came after a change of the dose.
    Known("missed tablets", message("missed tablets")),
    Known("new or changed tablets", message("new or changed tablets")),
    # Note: a stay at a rehab clinic, or a course of physical therapy.
    Known("rehab or therapy", message("rehab, or a course of therapy")),
)
_BY_NAME = {known.what: known for known in HAPPENINGS}


def known_event(what: str) -> Known:
    """Return what belongs to ``what``; nothing does to words of the person's own."""
    return _BY_NAME.get(what) or Known(what, what)


def event_words(what: str) -> str:
    """Return ``what`` as it is shown within a sentence; the person's own words stay as typed."""
    return known_event(what).words


def follow_up_of(what: str) -> str:
    """Return the question that stays open after ``what``; "" when there is none."""
    return known_event(what).follow_up


def signs_of_event(diary_event: DiaryEvent) -> tuple[str, ...]:
    """Return the ids of the warning signs ``diary_event`` amounts to until it is followed up."""
    if diary_event.follow_up_done:
        return ()
    known = known_event(diary_event.what)
    different = known.if_different if diary_event.feels_different else ()
    return tuple(dict.fromkeys((*known.signs, *different)))


def open_follow_ups(diary_events: Iterable[DiaryEvent]) -> tuple[tuple[DiaryEvent, str], ...]:
    """Return each happening whose question is still open, with the question."""
    return tuple(
        (diary_event, question)
        for diary_event in diary_events
        if not diary_event.follow_up_done and (question := follow_up_of(diary_event.what))
    )
