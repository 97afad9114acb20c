"""The table of warning signs: data only, each row with its source.

"Label" is the US prescribing information of generic baclofen injection for intrathecal
use; "leaflets" are hospitals' leaflets for patients (trade facts §5 names what was seen).
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from enum import IntEnum

from pocketpump.core.wording import worded


class Urgency(IntEnum):
    """How soon, from least to most."""

    NEXT_VISIT = 1
    CLINIC = 2
    TODAY = 3
    NOW = 4
    EMERGENCY = 5


# Sudden withdrawal: drug label; Coffey 2002; Saulino 2016.
EMERGENCY_SIGNS = worded(
    "If stiffness comes back fast together with fever, confusion or a racing pulse, it could"
    " be too little drug: call your local emergency number."
)

DO: Mapping[Urgency, tuple[str, ...]] = {
    Urgency.EMERGENCY: (
        worded("This is an emergency. Call now."),
        worded("Call the local emergency number. Say that you have a baclofen pump."),
        worded("Then call the pump clinic, day or night."),
        worded("Do not wait to see if it gets better. Do not stay alone."),
    ),
    Urgency.NOW: (
        worded("Call the pump clinic now, day or night."),
        worded("Tell them what you ticked here."),
        worded("If you cannot reach them, or it gets worse, call the local emergency number."),
    ),
    Urgency.TODAY: (
        worded("Call the pump clinic today."),
        worded("Call even if it seems mild. Tell them what you ticked here."),
        worded("Look again in an hour. If a new sign comes, tick it here."),
    ),
    Urgency.CLINIC: (
        worded("Call the clinic when it is open."),
        worded("Tell them what you ticked here. If it gets worse, look here again."),
    ),
    Urgency.NEXT_VISIT: (
        worded("Tell the clinic at your next visit."),
        worded("Call sooner if it is new or gets worse."),
    ),
}
"""Per urgency: the headline, then what to do. "Even when mild": leaflets, page."""

TOO_LITTLE, TOO_MUCH, INFECTION = "too little", "too much", "infection"
LEAK, FAULT, CORD, OTHER = "leak", "fault", "cord", "other"

COULD_BE: Mapping[str, str] = {
    TOO_LITTLE: worded("too little drug (withdrawal)"),
    TOO_MUCH: worded("too much drug"),
    INFECTION: worded("an infection"),
    LEAK: worded("a leak of spinal fluid"),
    FAULT: worded("trouble with the catheter or the pump"),
    CORD: worded("a sudden rise of blood pressure that comes with a cord injury at T6 or above"),
    OTHER: worded("an effect of the drug or a change over time"),
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
    (TOO_LITTLE, worded("Stiffness, skin, pulse, thinking")),
    (TOO_MUCH, worded("Sleepy, weak, breathing")),
    (INFECTION, worded("Fever, skin, neck")),
    (LEAK, worded("Head and back")),
    (FAULT, worded("The pump")),
    (CORD, worded("Injury at T6 or above")),
    (OTHER, worded("Milder things")),
)
"""The groups on the screen, by `Sign.could_be`, in order."""

_WITHDRAWAL = worded("label; Coffey 2002; Saulino 2016")
# Note: a source: the drug's label, which is its prescribing information.
_LABEL = worded("label")
_LEAFLETS = worded("hospital leaflets")
_OWN = worded("own rule, on the safe side; no source")
_LEAFLETS_ALONE = worded("{source}; alone: {own}", source=_LEAFLETS, own=_OWN)
_SIGNS_LABEL = worded("signs from the label; level: {own}", own=_OWN)
_N, _C, _T, _W, _E = Urgency

SIGNS: tuple[Sign, ...] = (
    Sign("stiffness back", worded("Stiffness or spasms came back fast or hard"), TOO_LITTLE, _T,
         _WITHDRAWAL, worded("Stiffness that comes back can grow within 1 to 3 days.")),
    Sign("more spasms", worded("More spasms, or a tight feeling"), TOO_LITTLE, _T, _LEAFLETS),
    Sign("itch", worded("Itching without a rash"), TOO_LITTLE, _T, _WITHDRAWAL),
    Sign("tingling", worded("Tingling skin"), TOO_LITTLE, _T, _LABEL),
    Sign("sweating", worded("Sweating for no reason"), TOO_LITTLE, _T, _WITHDRAWAL),
    Sign("fast pulse", worded("Racing pulse"), TOO_LITTLE, _T, _WITHDRAWAL),
    Sign("pressure", worded("Low blood pressure, or it goes up and down"), TOO_LITTLE, _T,
         _WITHDRAWAL),
    Sign("confusion", worded("Confused, not making sense"), TOO_LITTLE, _E,
         worded("{source}; alone: {own}", source=_WITHDRAWAL, own=_OWN)),
    Sign("drowsy", worded("Much more drowsy than usual"), TOO_MUCH, _E, _LABEL),
    Sign("light-headed", worded("Light-headed, about to faint"), TOO_MUCH, _E, _LABEL),
    Sign("hard to wake", worded("Hard to wake up"), TOO_MUCH, _E, _LABEL),
    Sign("floppy", worded("Weak or floppy, moving up the body"), TOO_MUCH, _E, _LABEL),
    Sign("breathing", worded("Slow or shallow breathing"), TOO_MUCH, _E, _LABEL),
    Sign("cold", worded("Low body temperature"), TOO_MUCH, _E, _LABEL),
    Sign("seizure", worded("A seizure (fit)"), TOO_MUCH, _E, _LABEL),
    Sign("unconscious", worded("Passed out, cannot be woken"), TOO_MUCH, _E, _LABEL),
    Sign("fever", worded("Fever"), INFECTION, _T, _LEAFLETS),
    Sign("red skin", worded("Red, warm or swollen skin over the pump or scar"), INFECTION, _T,
         _LEAFLETS),
    Sign("leaking skin", worded("Skin over the pump or scar leaks"), INFECTION, _T, _LEAFLETS),
    Sign("stiff neck", worded("Stiff neck, new"), INFECTION, _T, _LEAFLETS_ALONE),
    Sign("light hurts", worded("Light hurts the eyes"), INFECTION, _T, _LEAFLETS_ALONE),
    Sign("headache upright", worded("Headache worse upright, better lying flat"), LEAK, _C,
         _LEAFLETS, worded("Lying flat may ease the headache.")),
    Sign("back fluid", worded("Clear fluid or swelling at the scar on the back"), LEAK, _T,
         worded("hospital leaflets (leak: call the clinic; leaking scar: same day)")),
    Sign("worn off slowly", worded("The pump helps less and less"), FAULT, _T, _LABEL),
    Sign("worn off fast", worded("The pump stopped helping all at once"), FAULT, _W,
         worded("label; level: {own}", own=_OWN)),
    Sign("soft alarm", worded("The pump gave a soft alarm, now and then"), FAULT, _T, _LEAFLETS),
    Sign("urgent alarm", worded("The pump gave an urgent alarm"), FAULT, _W, _LEAFLETS),
    Sign("pump moved", worded("The pump moved or turned"), FAULT, _T, _LEAFLETS),
    Sign("pump pain", worded("New pain at the pump"), FAULT, _T, _LEAFLETS),
    Sign("pounding head", worded("Pounding headache with very high blood pressure"), CORD, _E,
         worded("trade facts §5: a separate emergency with its own steps"),
         worded("Take the steps your clinic taught you for this.")),
    Sign("constipation", worded("Constipation"), OTHER, _N, _LABEL),
    Sign("nausea", worded("Feeling sick, or an upset stomach"), OTHER, _N, _LABEL),
    Sign("headache", worded("A usual headache"), OTHER, _N, _LABEL),
    Sign("sleepy", worded("A bit sleepy"), OTHER, _N, _LABEL),
    Sign("loose", worded("Muscles too loose"), OTHER, _N, _LABEL),
    Sign("thin skin", worded("Skin over the pump is getting thin"), OTHER, _N, _LEAFLETS),
    Sign("spine curve", worded("The curve of the spine grows"), OTHER, _N, _LEAFLETS),
)  # fmt: skip

_STIFF = frozenset({"stiffness back", "more spasms", "worn off fast"})
_GRAVE = frozenset({"fever", "confusion", "fast pulse", "pressure"})
_EARLY = frozenset({"itch", "tingling", "sweating"})
_SKIN = frozenset({"fever", "red skin", "leaking skin", "back fluid"})
_BRAIN = frozenset({"stiff neck", "light hurts"})
_FEVER = frozenset({"fever"})
# Stiffness may be missing or masked, and neither of the two can wait.
_MORE_DRUG = frozenset({"refill", "raised dose"})
_SEPSIS = worded("trade facts §5: withdrawal can look like sepsis; level: {own}", own=_OWN)
_EARLY_TOO_MUCH = worded(
    "time of highest risk: Coffey 2002; emergency-medicine review 2018; a raised dose has its full"
    " effect at 24 to 48 hours: label; signs and level: {own}",
    own=_OWN,
)

RULES: tuple[Rule, ...] = (
    Rule("withdrawal", (_STIFF, _GRAVE), TOO_LITTLE, _E, _WITHDRAWAL,
         worded("Say that it could be baclofen withdrawal. It can look like other illness.")),
    Rule("early withdrawal", (_EARLY, _GRAVE), TOO_LITTLE, _W, _SIGNS_LABEL),
    Rule("early with stiffness", (_EARLY, _STIFF), TOO_LITTLE, _W, _SIGNS_LABEL),
    Rule("fever with low pressure", (_FEVER, frozenset({"pressure"})), TOO_LITTLE, _E, _SEPSIS,
         worded("An infection and too little drug can look the same. Say both.")),
    Rule("fever with racing pulse", (_FEVER, frozenset({"fast pulse"})), TOO_LITTLE, _W, _SEPSIS,
         worded("An infection and too little drug can look the same. Say both.")),
    Rule("infection of the lining", (_SKIN, _BRAIN), INFECTION, _E, _LEAFLETS),
    Rule("neck and light", (frozenset({"stiff neck"}), frozenset({"light hurts"})), INFECTION, _E,
         _LEAFLETS),
    Rule("leak with sickness", (frozenset({"headache upright"}), frozenset({"nausea"})), LEAK, _C,
         _LEAFLETS),
    Rule("early too much", (frozenset({"sleepy", "loose", "nausea"}),), TOO_MUCH, _T,
         _EARLY_TOO_MUCH,
         worded("Too much drug can begin like this. Do not stay alone. If you get very"
                " sleepy or weak, call the local emergency number."), _MORE_DRUG),
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
