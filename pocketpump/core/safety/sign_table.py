"""The table of warning signs: data only, each row with its source.

"Label" is the US prescribing information of generic baclofen injection for intrathecal use;
"leaflets" are leaflets of children's and rehabilitation hospitals for patients. Coffey 2002
is J Neurosurg 97:1292 (withdrawal); Saulino 2016, Neuromodulation 19:607 (best practices);
Bycroft 2005, Postgrad Med J 81:232 (dysreflexia). What is worse together or at certain times
stands in `sign_rules`.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import IntEnum

from pocketpump.core.messages import message


class Urgency(IntEnum):
    """How soon, from least to most."""

    NEXT_VISIT = 1
    CLINIC = 2
    TODAY = 3
    NOW = 4
    EMERGENCY = 5


# Sudden withdrawal: drug label; Coffey 2002; Saulino 2016.
EMERGENCY_SIGNS = message(
    "If stiffness comes back fast together with fever, confusion or a racing pulse, it could"
    " be baclofen withdrawal: call your local emergency number."
)

DO: Mapping[Urgency, tuple[str, ...]] = {
    Urgency.EMERGENCY: (
        message("This is an emergency. Call now."),
        message("Call the local emergency number. Say that you have a baclofen pump."),
        message("Then call the pump clinic, day or night."),
        message("Do not wait to see if it gets better."),
    ),
    Urgency.NOW: (
        message("Call the pump clinic now, day or night."),
        message("Tell them what you ticked here."),
        message("If it gets worse, call the local emergency number."),
    ),
    Urgency.TODAY: (
        message("Call the pump clinic today."),
        message("Call even if it seems mild. Tell them what you ticked here."),
        message("Look again in an hour. If a new sign comes, tick it here."),
    ),
    Urgency.CLINIC: (
        message("Call the clinic when it is open."),
        message("Tell them what you ticked here. If it gets worse, look here again."),
    ),
    Urgency.NEXT_VISIT: (
        message("Tell the clinic at your next visit."),
        message("Call sooner if it is new or gets worse."),
    ),
}
"""Per urgency: the headline, then what to do. "Even when mild": leaflets, page."""

DO_WHILE_CLOSED: tuple[str, ...] = (
    message("Call the local emergency number now."),
    message("Say that you have a baclofen pump and what you ticked here."),
    message("Then try the clinic's number for nights and weekends, if you have one."),
)
"""In the place of `DO` for "now" while the clinic is noted as closed: the same order."""

UNANSWERED: Mapping[Urgency, tuple[str, str]] = {
    Urgency.EMERGENCY: (
        message("If nobody answers, let somebody else call too. Or be driven to the nearest"
               " emergency room."),
        message("If nobody answers, let somebody else call too. Or be driven to the nearest"
               " emergency room."),
    ),
    Urgency.NOW: (
        message("If the clinic does not answer at once, call the local emergency number."),
        message("If nobody answers, let somebody else call too. Or be driven to the nearest"
               " emergency room."),
    ),
    Urgency.TODAY: (
        message("If nobody answers, try again within the hour. If you still reach no one,"
               " call the local emergency number."),
        message("The clinic is noted as closed now. Call its number for nights and weekends, or the"
               " hospital on duty. If you reach nobody, call the local emergency number. Do not"
               " wait until the clinic opens."),
    ),
    Urgency.CLINIC: (
        message("If nobody answers, try again on the next day it is open."),
        message("The clinic is noted as closed now. Call when it opens."),
    ),
    Urgency.NEXT_VISIT: ("", ""),
}  # fmt: skip
"""Per urgency: what to do when nobody answers, and while the clinic is noted as closed.

Own rule, on the safe side; no source."""

WHY_EMERGENCY_FIRST = message(
    "This cannot wait, and your clinic is noted as closed now. So the emergency number comes first."
)

ON_THE_SIDE = message(
    "Whoever is drowsy or has a fit lies on the side, with nothing in the way of breathing."
)
UNTIL_HELP: tuple[str, ...] = (
    message("Do not stay alone. Do not drive yourself."),
    message("Have your card ready to show."),
    # The label: no other form of baclofen is to be relied on; the amount is the clinic's alone.
    message("Take no extra tablets, unless your clinic's written plan says so."),
)
"""What to do until help is there, from "now" on. Common practice, no source."""

TOO_LITTLE, TOO_MUCH, INFECTION = "too little", "too much", "infection"
LEAK, FAULT, CORD, OTHER, ELSE = "leak", "fault", "cord", "other", "else"

COULD_BE: Mapping[str, str] = {
    TOO_LITTLE: message("too little baclofen (withdrawal)"),
    TOO_MUCH: message("too much baclofen (overdose)"),
    INFECTION: message("an infection"),
    LEAK: message("a leak of spinal fluid"),
    FAULT: message("trouble with the catheter or the pump"),
    CORD: message("a sudden rise of blood pressure after a cord injury (dysreflexia)"),
    OTHER: message("an effect of the drug or a change over time"),
    ELSE: message("something that has nothing to do with the pump"),
}


@dataclass(frozen=True, slots=True)
class Sign:
    """One row: ``words`` as the person ticks them, urgency when it is there alone, source.

    ``could_be`` are keys of `COULD_BE`, the likeliest first; ``subject`` a key of `SUBJECTS`;
    ``do`` one more sentence of what to do, or "".
    """

    id: str
    words: str
    subject: str
    could_be: tuple[str, ...]
    urgency: Urgency
    source: str
    do: str = ""


SUBJECTS: tuple[tuple[str, str], ...] = (
    ("awake", message("Awake, breathing, speech")),
    ("tone", message("Stiffness, skin, pulse")),
    ("fever", message("Fever, skin, scar")),
    ("head", message("Head, back, legs")),
    ("pump", message("The pump")),
    ("milder", message("Milder things")),
)
"""What the signs are asked under, in order: key and title."""

_WITHDRAWAL = message("label; Coffey 2002; Saulino 2016")
# Note: a source: the drug's label, which is its prescribing information.
_LABEL = message("label")
_LEAFLETS = message("hospital leaflets")
OWN_RULE = message("own rule, on the safe side; no source")
_LEAFLETS_ALONE = message("{source}; alone: {own}", source=_LEAFLETS, own=OWN_RULE)
_LABEL_ALONE = message("{source}; alone: {own}", source=_LABEL, own=OWN_RULE)
_WITHDRAWAL_ALONE = message("{source}; alone: {own}", source=_WITHDRAWAL, own=OWN_RULE)
_CORD_SOURCE = message("Bycroft 2005; Consortium for Spinal Cord Medicine")
_N, _C, _T, _W, _E = Urgency
_LITTLE, _MUCH = (TOO_LITTLE,), (TOO_MUCH,)
# The label lists both under withdrawal and under overdose.
_EITHER_LITTLE, _EITHER_MUCH = (TOO_LITTLE, TOO_MUCH), (TOO_MUCH, TOO_LITTLE)

SIGNS: tuple[Sign, ...] = (
    Sign("unconscious", message("Passed out, cannot be woken"), "awake", _EITHER_MUCH, _E, _LABEL),
    Sign("breathing", message("Slow or hard breathing, blue lips"), "awake", _MUCH, _E,
         _LABEL),
    Sign("seizure", message("A seizure (fit)"), "awake", _EITHER_MUCH, _E, _LABEL),
    Sign("hard to wake", message("Hard to wake up"), "awake", _EITHER_MUCH, _E, _LABEL),
    Sign("confusion", message("Confused, or seeing things"), "awake", _EITHER_LITTLE, _E,
         _WITHDRAWAL_ALONE),
    Sign("drowsy", message("Much more drowsy than usual"), "awake", _MUCH, _E, _LABEL),
    Sign("light-headed", message("Light-headed, about to faint"), "awake", _MUCH, _E, _LABEL),
    Sign("floppy", message("Weak or floppy, moving up the body"), "awake", _MUCH, _E, _LABEL),
    Sign("slurred speech", message("Slurred speech"), "awake", (TOO_MUCH, ELSE), _E, _LABEL_ALONE),
    Sign("swallowing", message("Trouble swallowing"), "awake", (TOO_MUCH, ELSE), _E, _LABEL_ALONE),
    Sign("cold", message("Low body temperature"), "awake", _MUCH, _E, _LABEL),
    Sign("distress", message("In distress, and cannot say why"), "awake", (TOO_LITTLE, CORD), _T,
         message("label (people who cannot tell are at highest risk); level: {own}", own=OWN_RULE)),
    Sign("stiffness back", message("Stiffness or spasms came back fast or hard"), "tone",
         (TOO_LITTLE, FAULT), _T, _WITHDRAWAL,
         message("Stiffness that comes back can grow within 1 to 3 days.")),
    Sign("more spasms", message("More spasms, or a tight feeling"), "tone", (TOO_LITTLE, FAULT), _T,
         _LEAFLETS),
    Sign("itch", message("Itching without a rash"), "tone", _LITTLE, _T, _WITHDRAWAL),
    Sign("tingling", message("Tingling skin"), "tone", _LITTLE, _T, _LABEL),
    Sign("sweating", message("Sweating for no reason"), "tone", _LITTLE, _T, _WITHDRAWAL),
    Sign("fast pulse", message("Racing pulse"), "tone", _LITTLE, _T, _WITHDRAWAL),
    Sign("pressure", message("Low blood pressure, or it goes up and down"), "tone", _EITHER_LITTLE,
         _T, _WITHDRAWAL),
    Sign("high pressure", message("Very high blood pressure"), "tone", (CORD, TOO_LITTLE), _W,
         message("{source}; alone: {own}", source=_CORD_SOURCE, own=OWN_RULE)),
    Sign("restless", message("Restless, or in panic"), "tone", _LITTLE, _T,
         message("Coffey 2002; alone: {own}", own=OWN_RULE)),
    Sign("slow pulse", message("Slow pulse"), "tone", (TOO_MUCH, CORD), _T,
         message("label; Bycroft 2005; alone: {own}", own=OWN_RULE)),
    # Muscle breakdown: Coffey 2002.
    Sign("dark urine", message("Dark urine, or very little of it"), "tone", _LITTLE, _W,
         message("Coffey 2002 (muscle breakdown); alone: {own}", own=OWN_RULE)),
    Sign("fever", message("Fever"), "fever", (INFECTION, TOO_LITTLE), _T, _LEAFLETS),
    Sign("red skin", message("Red, warm or swollen skin over the pump or scar"), "fever",
         (INFECTION,), _T, _LEAFLETS),
    Sign("leaking skin", message("Skin over the pump or scar leaks"), "fever", (INFECTION,), _T,
         _LEAFLETS),
    Sign("open skin", message("Skin over the pump is open, or the pump shows"), "fever",
         (INFECTION,), _W, _LEAFLETS_ALONE),
    Sign("thin skin", message("Skin over the pump is getting thin"), "fever", (OTHER, INFECTION),
         _C, _LEAFLETS),
    Sign("pounding head", message("A pounding headache"), "head", (CORD, INFECTION), _E,
         _CORD_SOURCE, message("Take the steps your clinic taught you for this.")),
    Sign("bad headache", message("A new, bad headache"), "head", (LEAK, INFECTION), _T, OWN_RULE),
    Sign("headache upright", message("Headache worse upright, better lying flat"), "head", (LEAK,),
         _C, _LEAFLETS, message("Lying flat may ease the headache.")),
    Sign("stiff neck", message("Stiff neck, new"), "head", (INFECTION,), _T, _LEAFLETS_ALONE),
    Sign("light hurts", message("Light hurts the eyes"), "head", (INFECTION,), _T, _LEAFLETS_ALONE),
    Sign("flushing", message("Flushed or blotchy skin above a cord injury"), "head", (CORD,), _T,
         _CORD_SOURCE),
    Sign("back fluid", message("Clear fluid or swelling at the scar on the back"), "head",
         (LEAK, INFECTION), _T,
         message("hospital leaflets (leak: call the clinic; leaking scar: same day)")),
    Sign("back pain", message("New pain in the back, or running down a leg"), "head",
         (FAULT, INFECTION), _T,
         message("label (growth at the catheter's tip); level: {own}", own=OWN_RULE)),
    Sign("numb", message("New numbness, weaker legs, or no control of bladder or bowel"), "head",
         (FAULT, INFECTION), _W,
         message("label (growth at the catheter's tip); level: {own}", own=OWN_RULE)),
    Sign("urgent alarm", message("The pump gave an urgent alarm"), "pump", (FAULT, TOO_LITTLE), _W,
         _LEAFLETS),
    Sign("soft alarm", message("The pump gave a soft alarm, now and then"), "pump", (FAULT,), _T,
         _LEAFLETS),
    Sign("worn off fast", message("The pump stopped helping all at once"), "pump",
         (FAULT, TOO_LITTLE), _W, message("label; level: {own}", own=OWN_RULE)),
    Sign("worn off slowly", message("The pump helps less and less"), "pump", (FAULT, TOO_LITTLE),
         _T, _LABEL),
    Sign("pump hit", message("A blow to the pump, or a fall on it"), "pump", (FAULT,), _T,
         OWN_RULE),
    Sign("pump moved", message("The pump moved or turned"), "pump", (FAULT,), _T, _LEAFLETS),
    Sign("pump pain", message("New pain or swelling at the pump"), "pump", (FAULT, INFECTION), _T,
         _LEAFLETS),
    Sign("vomiting", message("Throwing up"), "milder", (TOO_MUCH, OTHER), _T, _LABEL_ALONE),
    Sign("dizzy", message("Dizzy"), "milder", (OTHER, TOO_MUCH), _N, _LABEL),
    Sign("sleepy", message("A bit sleepy"), "milder", (OTHER, TOO_MUCH), _N, _LABEL),
    Sign("loose", message("Muscles too loose"), "milder", (OTHER, TOO_MUCH), _N, _LABEL),
    Sign("nausea", message("Feeling sick, or an upset stomach"), "milder", (OTHER, TOO_MUCH), _N,
         _LABEL),
    Sign("headache", message("A usual headache"), "milder", (OTHER,), _N, _LABEL),
    Sign("constipation", message("Constipation"), "milder", (OTHER,), _N, _LABEL),
    Sign("spine curve", message("The curve of the spine grows"), "milder", (OTHER,), _N, _LEAFLETS),
)  # fmt: skip

FIRST_ASKED: tuple[str, ...] = (
    "unconscious", "breathing", "seizure", "hard to wake", "confusion", "pounding head",
    "stiffness back", "fever", "urgent alarm",
)  # fmt: skip
"""What is asked before all else: what cannot wait, and how withdrawal most often begins."""
