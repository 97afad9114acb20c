"""The table of warning signs: data only, each row with its source.

"Label" is the US prescribing information of generic baclofen injection for intrathecal
use; "leaflets" are hospitals' leaflets for patients (trade facts §5 names what was seen).
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from enum import IntEnum


class Urgency(IntEnum):
    """How soon, from least to most."""

    NEXT_VISIT = 1
    CLINIC = 2
    TODAY = 3
    NOW = 4
    EMERGENCY = 5


# Sudden withdrawal: drug label; Coffey 2002; Saulino 2016.
EMERGENCY_SIGNS = (
    "If stiffness comes back fast together with fever, confusion or a racing pulse, it could"
    " be too little drug: call your local emergency number."
)

DO: Mapping[Urgency, tuple[str, ...]] = {
    Urgency.EMERGENCY: (
        "This is an emergency. Call now.",
        "Call the local emergency number. Say that you have a baclofen pump.",
        "Then call the pump clinic, day or night.",
        "Do not wait to see if it gets better. Do not stay alone.",
    ),
    Urgency.NOW: (
        "Call the pump clinic now, day or night.",
        "Tell them what you ticked here.",
        "If you cannot reach them, or it gets worse, call the local emergency number.",
    ),
    Urgency.TODAY: (
        "Call the pump clinic today.",
        "Call even if it seems mild. Tell them what you ticked here.",
        "Look again in an hour. If a new sign comes, tick it here.",
    ),
    Urgency.CLINIC: (
        "Call the clinic when it is open.",
        "Tell them what you ticked here. If it gets worse, look here again.",
    ),
    Urgency.NEXT_VISIT: (
        "Tell the clinic at your next visit.",
        "Call sooner if it is new or gets worse.",
    ),
}
"""Per urgency: the headline, then what to do. "Even when mild": leaflets, page."""

TOO_LITTLE, TOO_MUCH, INFECTION = "too little", "too much", "infection"
LEAK, FAULT, CORD, OTHER = "leak", "fault", "cord", "other"

COULD_BE: Mapping[str, str] = {
    TOO_LITTLE: "too little drug (withdrawal)",
    TOO_MUCH: "too much drug",
    INFECTION: "an infection",
    LEAK: "a leak of spinal fluid",
    FAULT: "trouble with the catheter or the pump",
    CORD: "a sudden rise of blood pressure that comes with a cord injury at T6 or above",
    OTHER: "an effect of the drug or a change over time",
}


@dataclass(frozen=True, slots=True)
class Sign:
    """One row: ``words`` as the person ticks them, urgency when it is there alone, source.

    ``could_be`` is a key of `COULD_BE`; ``do`` one more sentence of what to do, or "".
    """

    id: str
    words: str
    could_be: str
    urgency: Urgency
    source: str
    do: str = ""


@dataclass(frozen=True, slots=True)
class Rule:
    """Signs that are worse together, or while one of the circumstances ``during`` holds.

    Met when at least one of each set is ticked; without ``during`` at any time.
    """

    id: str
    sets: tuple[frozenset[str], ...]
    could_be: str
    urgency: Urgency
    source: str
    do: str = ""
    during: frozenset[str] = frozenset()

    def met(self, ticked: Collection[str], present: Collection[str]) -> bool:
        """Return whether each set has a ticked sign, and ``during`` a circumstance present."""
        if self.during and self.during.isdisjoint(present):
            return False
        return all(any(sign in ticked for sign in one) for one in self.sets)


@dataclass(frozen=True, slots=True)
class Circumstance:
    """Something about now that lifts calls to the clinic for ``lifts`` by one step."""

    id: str
    lifts: frozenset[str]
    source: str


GROUPS: tuple[tuple[str, str], ...] = (
    (TOO_LITTLE, "Stiffness, skin, pulse, thinking"),
    (TOO_MUCH, "Sleepy, weak, breathing"),
    (INFECTION, "Fever, skin, neck"),
    (LEAK, "Head and back"),
    (FAULT, "The pump"),
    (CORD, "Injury at T6 or above"),
    (OTHER, "Milder things"),
)
"""The groups on the screen, by `Sign.could_be`, in order."""

_WITHDRAWAL = "label; Coffey 2002; Saulino 2016"
_LABEL = "label"
_LEAFLETS = "hospital leaflets"
_OWN = "own rule, on the safe side; no source"
_N, _C, _T, _W, _E = Urgency

SIGNS: tuple[Sign, ...] = (
    Sign("stiffness back", "Stiffness or spasms came back fast or hard", TOO_LITTLE, _T,
         _WITHDRAWAL, "Stiffness that comes back can grow within 1 to 3 days."),
    Sign("more spasms", "More spasms, or a tight feeling", TOO_LITTLE, _T, _LEAFLETS),
    Sign("itch", "Itching without a rash", TOO_LITTLE, _T, _WITHDRAWAL),
    Sign("tingling", "Tingling skin", TOO_LITTLE, _T, _LABEL),
    Sign("sweating", "Sweating for no reason", TOO_LITTLE, _T, _WITHDRAWAL),
    Sign("fast pulse", "Racing pulse", TOO_LITTLE, _T, _WITHDRAWAL),
    Sign("pressure", "Low blood pressure, or it goes up and down", TOO_LITTLE, _T, _WITHDRAWAL),
    Sign("confusion", "Confused, not making sense", TOO_LITTLE, _E,
         f"{_WITHDRAWAL}; alone: {_OWN}"),
    Sign("drowsy", "Much more drowsy than usual", TOO_MUCH, _E, _LABEL),
    Sign("light-headed", "Light-headed, about to faint", TOO_MUCH, _E, _LABEL),
    Sign("hard to wake", "Hard to wake up", TOO_MUCH, _E, _LABEL),
    Sign("floppy", "Weak or floppy, moving up the body", TOO_MUCH, _E, _LABEL),
    Sign("breathing", "Slow or shallow breathing", TOO_MUCH, _E, _LABEL),
    Sign("cold", "Low body temperature", TOO_MUCH, _E, _LABEL),
    Sign("seizure", "A seizure (fit)", TOO_MUCH, _E, _LABEL),
    Sign("unconscious", "Passed out, cannot be woken", TOO_MUCH, _E, _LABEL),
    Sign("fever", "Fever", INFECTION, _T, _LEAFLETS),
    Sign("red skin", "Red, warm or swollen skin over the pump or scar", INFECTION, _T, _LEAFLETS),
    Sign("leaking skin", "Skin over the pump or scar leaks", INFECTION, _T, _LEAFLETS),
    Sign("stiff neck", "Stiff neck, new", INFECTION, _T, f"{_LEAFLETS}; alone: {_OWN}"),
    Sign("light hurts", "Light hurts the eyes", INFECTION, _T, f"{_LEAFLETS}; alone: {_OWN}"),
    Sign("headache upright", "Headache worse upright, better lying flat", LEAK, _C, _LEAFLETS,
         "Lying flat may ease the headache."),
    Sign("back fluid", "Clear fluid or swelling at the scar on the back", LEAK, _T,
         f"{_LEAFLETS} (leak: call the clinic; leaking scar: same day)"),
    Sign("worn off slowly", "The pump helps less and less", FAULT, _T, _LABEL),
    Sign("worn off fast", "The pump stopped helping all at once", FAULT, _W,
         f"{_LABEL}; level: {_OWN}"),
    Sign("soft alarm", "The pump gave a soft alarm, now and then", FAULT, _T, _LEAFLETS),
    Sign("urgent alarm", "The pump gave an urgent alarm", FAULT, _W, _LEAFLETS),
    Sign("pump moved", "The pump moved or turned", FAULT, _T, _LEAFLETS),
    Sign("pump pain", "New pain at the pump", FAULT, _T, _LEAFLETS),
    Sign("pounding head", "Pounding headache with very high blood pressure", CORD, _E,
         "trade facts §5: a separate emergency with its own steps",
         "Take the steps your clinic taught you for this."),
    Sign("constipation", "Constipation", OTHER, _N, _LABEL),
    Sign("nausea", "Feeling sick, or an upset stomach", OTHER, _N, _LABEL),
    Sign("headache", "A usual headache", OTHER, _N, _LABEL),
    Sign("sleepy", "A bit sleepy", OTHER, _N, _LABEL),
    Sign("loose", "Muscles too loose", OTHER, _N, _LABEL),
    Sign("thin skin", "Skin over the pump is getting thin", OTHER, _N, _LEAFLETS),
    Sign("spine curve", "The curve of the spine grows", OTHER, _N, _LEAFLETS),
)  # fmt: skip

_STIFF = frozenset({"stiffness back", "more spasms", "worn off fast"})
_GRAVE = frozenset({"fever", "confusion", "fast pulse", "pressure"})
_EARLY = frozenset({"itch", "tingling", "sweating"})
_SKIN = frozenset({"fever", "red skin", "leaking skin", "back fluid"})
_BRAIN = frozenset({"stiff neck", "light hurts"})
_FEVER = frozenset({"fever"})
# Stiffness may be missing or masked, and neither of the two can wait.
_MORE_DRUG = frozenset({"refill", "raised dose"})
_SEPSIS = f"trade facts §5: withdrawal can look like sepsis; level: {_OWN}"

RULES: tuple[Rule, ...] = (
    Rule("withdrawal", (_STIFF, _GRAVE), TOO_LITTLE, _E, _WITHDRAWAL,
         "Say that it could be baclofen withdrawal. It can look like other illness."),
    Rule("early withdrawal", (_EARLY, _GRAVE), TOO_LITTLE, _W,
         f"signs from the label; level: {_OWN}"),
    Rule("early with stiffness", (_EARLY, _STIFF), TOO_LITTLE, _W,
         f"signs from the label; level: {_OWN}"),
    Rule("fever with low pressure", (_FEVER, frozenset({"pressure"})), TOO_LITTLE, _E, _SEPSIS,
         "An infection and too little drug can look the same. Say both."),
    Rule("fever with racing pulse", (_FEVER, frozenset({"fast pulse"})), TOO_LITTLE, _W, _SEPSIS,
         "An infection and too little drug can look the same. Say both."),
    Rule("infection of the lining", (_SKIN, _BRAIN), INFECTION, _E, _LEAFLETS),
    Rule("neck and light", (frozenset({"stiff neck"}), frozenset({"light hurts"})), INFECTION,
         _E, _LEAFLETS),
    Rule("leak with sickness", (frozenset({"headache upright"}), frozenset({"nausea"})), LEAK,
         _C, _LEAFLETS),
    Rule("early too much", (frozenset({"sleepy", "loose", "nausea"}),), TOO_MUCH, _T,
         "time of highest risk: Coffey 2002; emergency-medicine review 2018; a raised dose has"
         f" its full effect at 24 to 48 hours: label; signs and level: {_OWN}",
         "Too much drug can begin like this. Do not stay alone. If you get very sleepy or weak,"
         " call the local emergency number.", _MORE_DRUG),
)  # fmt: skip

_DELIVERY = frozenset({TOO_LITTLE, FAULT})

CIRCUMSTANCES: tuple[Circumstance, ...] = (
    Circumstance("missed refill", _DELIVERY, "Coffey 2002; emergency-medicine review 2018"),
    Circumstance("refill", _DELIVERY, "Coffey 2002; emergency-medicine review 2018"),
    # It lifts no sign by a step: it is what the rule "early too much" waits for.
    Circumstance("raised dose", frozenset(), "label (full effect at 24 to 48 hours)"),
    Circumstance("surgery", _DELIVERY | {INFECTION}, "Coffey 2002"),
    # The motor may stop in the field and start again late: De Andres 2011 (abstract).
    Circumstance("scan", _DELIVERY, "Coffey 2002; De Andres 2011"),
    Circumstance("alarm date", _DELIVERY, "Rigoli 2004"),
    Circumstance("low volume", _DELIVERY, "Rigoli 2004"),
    Circumstance("old drug", _DELIVERY, "in-vivo stability study 2023"),
    Circumstance("stopped", _DELIVERY, _OWN),
    Circumstance("T6", frozenset({TOO_LITTLE}), _LABEL),
    Circumstance("new pump", frozenset({INFECTION}), _LEAFLETS),
)
