"""What is worse together, and what about now makes it worse: data only, each with its source.

`sign_table` has the signs and the sources' full names. A row here can only add urgency and
causes, so no further sign and no further circumstance ever makes an answer milder.
"""

from collections.abc import Collection
from dataclasses import dataclass

from pocketpump.core.messages import message
from pocketpump.core.safety.sign_table import (
    CORD,
    FAULT,
    INFECTION,
    LEAK,
    OTHER,
    OWN_RULE,
    TOO_LITTLE,
    TOO_MUCH,
    Urgency,
)


@dataclass(frozen=True, slots=True)
class Rule:
    """Signs that are worse together, or while one of the circumstances ``during`` holds.

    Met when at least one of each of ``sets`` is ticked, at least two of ``two_of``, and, with
    ``during``, one of those circumstances holds; without any set, whatever is ticked.
    ``could_be`` as in `sign_table.Sign`.
    """

    id: str
    sets: tuple[frozenset[str], ...]
    could_be: tuple[str, ...]
    urgency: Urgency
    source: str
    do: str = ""
    during: frozenset[str] = frozenset()
    two_of: frozenset[str] = frozenset()

    @property
    def is_of_the_time(self) -> bool:
        """Whether it speaks of no sign, only of what holds now."""
        return not self.sets and not self.two_of

    def met(self, ticked: Collection[str], present: Collection[str]) -> bool:
        """Return whether the rule holds for the signs ``ticked`` while ``present`` hold."""
        if self.during and self.during.isdisjoint(present):
            return False
        if self.two_of and len(self.two_of.intersection(ticked)) < 2:
            return False
        return all(not one.isdisjoint(ticked) for one in self.sets)


@dataclass(frozen=True, slots=True)
class Circumstance:
    """Something about now.

    It lifts what is likeliest one of the causes ``lifts`` by one step, from "clinic" on and at
    most to ``up_to``. ``words`` say it in a table; the situation says it more exactly.
    """

    id: str
    words: str
    source: str
    lifts: frozenset[str] = frozenset()
    up_to: Urgency = Urgency.NOW


_N, _C, _T, _W, _E = Urgency

_STIFF = frozenset({"stiffness back", "more spasms", "worn off fast", "worn off slowly"})
_PRESSURE = frozenset({"pressure", "high pressure"})
_GRAVE = frozenset({"fever", "confusion", "fast pulse", "dark urine"}) | _PRESSURE
_EARLY = frozenset({"itch", "tingling", "sweating", "distress", "restless"})
TOO_LITTLE_SIGNS = _STIFF | _EARLY | _GRAVE
"""What may be too little drug; the early ones and those that make it grave."""
_TOO_MUCH_SIGNS = frozenset({"sleepy", "loose", "nausea", "dizzy", "vomiting", "slow pulse"})
_FEVER = frozenset({"fever"})
_SKIN = frozenset({"red skin", "leaking skin", "open skin", "thin skin", "back fluid"})
_HEADACHES = frozenset({"headache", "bad headache", "headache upright", "pounding head"})
_BAD_HEADACHES = frozenset({"bad headache", "pounding head"})
_NECK = frozenset({"stiff neck"})
_LINING = frozenset({"stiff neck", "light hurts"}) | _BAD_HEADACHES
_AT_THE_PUMP = frozenset({"pump moved", "pump hit", "pump pain"})
DROWSY_OR_FITTING = frozenset(
    {"drowsy", "hard to wake", "unconscious", "seizure", "breathing", "floppy"}
)
"""Who has one of these lies on the side until help is there."""

NO_DELIVERY = frozenset({"empty", "alarm past", "missed refill", "urgent alarm", "stopped"})
"""When delivery is in the greatest doubt."""
LATELY_MORE = frozenset({"refill", "raised dose"})
"""When too much drug is likelier than too little."""
IN_DOUBT = NO_DELIVERY | {
    "alarm window", "alarm near", "low volume", "old drug", "scan", "surgery", "refill",
    "soft alarm", "catheter problem",
}  # fmt: skip
"""When it is in doubt that the drug arrives."""
_T6 = frozenset({"T6"})
_OPERATED = frozenset({"surgery", "recent surgery"})

_WITHDRAWAL = message("label; Coffey 2002; Saulino 2016")
_LABEL = message("label")
_LEAFLETS = message("hospital leaflets")
_SIGNS_LABEL = message("signs from the label; level: {own}", own=OWN_RULE)
_DOUBT = message(
    "signs: label, Coffey 2002; times of risk: Coffey 2002, Rigoli 2004; level: {own}",
    own=OWN_RULE,
)
_SEPSIS = message("Coffey 2002 (withdrawal can look like sepsis); level: {own}", own=OWN_RULE)
_LEAFLETS_OWN = message("{source}; level: {own}", source=_LEAFLETS, own=OWN_RULE)
_CORD_SOURCE = message("Bycroft 2005; Consortium for Spinal Cord Medicine")
_EARLY_TOO_MUCH = message(
    "time of highest risk: Coffey 2002; emergency-medicine review 2018; a raised dose has its full"
    " effect at 24 to 48 hours: label; signs and level: {own}",
    own=OWN_RULE,
)
_SAY_WITHDRAWAL = message("Say that it could be baclofen withdrawal. It can look like other"
                         " illness.")  # fmt: skip
_SAY_BOTH = message("An infection and too little baclofen can look the same. Say both.")
_WATCH = message("Too much baclofen can begin like this. Do not stay alone. If you get very"
                " sleepy or weak, call the local emergency number.")  # fmt: skip
_CORD_STEPS = message(
    "Your own written steps come first. Usual ones: sit up, lower the legs, loosen what is tight."
    " Check the bladder, then the bowel. Call even when it passes."
)

RULES: tuple[Rule, ...] = (
    # Too little drug
    Rule("withdrawal", (_STIFF, _GRAVE), (TOO_LITTLE,), _E, _WITHDRAWAL, _SAY_WITHDRAWAL),
    Rule("early withdrawal", (_EARLY, _GRAVE), (TOO_LITTLE,), _W, _SIGNS_LABEL),
    Rule("early with stiffness", (_EARLY, _STIFF), (TOO_LITTLE,), _W, _SIGNS_LABEL),
    Rule("one sign while delivery is in doubt", (TOO_LITTLE_SIGNS,), (TOO_LITTLE, FAULT), _W,
         _DOUBT, during=IN_DOUBT),
    Rule("two signs without delivery", (), (TOO_LITTLE,), _E, _DOUBT, _SAY_WITHDRAWAL,
         during=NO_DELIVERY, two_of=TOO_LITTLE_SIGNS),
    Rule("a grave sign while delivery is in doubt", (_GRAVE,), (TOO_LITTLE,), _E, _DOUBT,
         _SAY_WITHDRAWAL, during=IN_DOUBT, two_of=TOO_LITTLE_SIGNS),
    Rule("a sign after trouble at the pump", (_AT_THE_PUMP, TOO_LITTLE_SIGNS), (FAULT, TOO_LITTLE),
         _W, _SIGNS_LABEL),
    Rule("pulse and pressure", (frozenset({"fast pulse"}), _PRESSURE), (TOO_LITTLE, INFECTION), _E,
         _SEPSIS, _SAY_BOTH),
    Rule("fever with pressure", (_FEVER, _PRESSURE), (TOO_LITTLE, INFECTION), _E, _SEPSIS,
         _SAY_BOTH),
    Rule("fever with racing pulse", (_FEVER, frozenset({"fast pulse"})), (TOO_LITTLE, INFECTION),
         _W, _SEPSIS, _SAY_BOTH),
    Rule("muscle breakdown", (frozenset({"dark urine"}), frozenset({"fever", "fast pulse"})),
         (TOO_LITTLE,), _E, message("Coffey 2002; level: {own}", own=OWN_RULE), _SAY_WITHDRAWAL),
    Rule("muscle breakdown while delivery is in doubt", (frozenset({"dark urine"}),),
         (TOO_LITTLE,), _E, message("Coffey 2002; level: {own}", own=OWN_RULE), _SAY_WITHDRAWAL,
         during=IN_DOUBT),
    Rule("distress that cannot be told", (frozenset({"distress"}), _GRAVE), (TOO_LITTLE, CORD), _E,
         message("label (people at highest risk); level: {own}", own=OWN_RULE), _SAY_WITHDRAWAL,
         during=frozenset({"cannot speak"})),
    # Infection
    Rule("fever and skin", (_FEVER, _SKIN | {"pump pain"}), (INFECTION,), _W, _LEAFLETS_OWN),
    Rule("skin and stiffness", (frozenset({"red skin", "leaking skin", "open skin"}), _STIFF),
         (INFECTION, TOO_LITTLE), _W, OWN_RULE),
    Rule("thin skin that leaks", (frozenset({"thin skin"}), frozenset({"leaking skin"})),
         (INFECTION,), _W, _LEAFLETS_OWN),
    Rule("fever and head", (_FEVER, _LINING | {"confusion"}), (INFECTION,), _E, _LEAFLETS_OWN),
    Rule("skin and head", (_SKIN - {"thin skin"}, _LINING | {"confusion"}), (INFECTION,), _E,
         _LEAFLETS_OWN),
    Rule("head after surgery", (_LINING | {"confusion"},), (INFECTION, LEAK), _E, _LEAFLETS_OWN,
         during=_OPERATED),
    Rule("neck and head", (_NECK, _HEADACHES | {"light hurts"}), (INFECTION,), _E, _LEAFLETS),
    Rule("light and a bad headache", (frozenset({"light hurts"}), _BAD_HEADACHES), (INFECTION,),
         _W, OWN_RULE),
    Rule("headache with fever after surgery", (_HEADACHES, _FEVER), (INFECTION,), _E,
         _LEAFLETS_OWN, during=_OPERATED),
    Rule("leak with fever", (frozenset({"headache upright", "back fluid"}), _FEVER),
         (INFECTION, LEAK), _E, _LEAFLETS_OWN),
    Rule("leak with sickness", (frozenset({"headache upright"}), frozenset({"nausea"})), (LEAK,),
         _C, _LEAFLETS),
    Rule("leak with vomiting", (frozenset({"headache upright"}), frozenset({"vomiting"})), (LEAK,),
         _T, _LEAFLETS_OWN),
    Rule("leak after surgery", (frozenset({"headache upright"}),), (LEAK,), _T, _LEAFLETS_OWN,
         during=_OPERATED),
    Rule("headache after surgery", (_HEADACHES,), (LEAK,), _C, _LEAFLETS_OWN, during=_OPERATED),
    Rule("leak with stiffness", (frozenset({"back fluid"}), _STIFF), (LEAK, TOO_LITTLE), _W,
         message("the drug may run out along the catheter: {own}", own=OWN_RULE)),
    Rule("neck with vomiting", (_NECK, frozenset({"vomiting"})), (INFECTION,), _E, OWN_RULE),
    Rule("headache with fever", (_HEADACHES, _FEVER), (INFECTION,), _W, OWN_RULE),
    Rule("back with fever", (frozenset({"numb", "back pain"}), _FEVER), (INFECTION,), _E, OWN_RULE),
    Rule("bad headache with sickness", (frozenset({"bad headache"}), frozenset({"vomiting"})),
         (INFECTION, LEAK), _W, OWN_RULE),
    # Too much drug
    Rule("two milder signs", (), (TOO_MUCH,), _T, _SIGNS_LABEL, _WATCH, two_of=_TOO_MUCH_SIGNS),
    Rule("one after more drug", (_TOO_MUCH_SIGNS,), (TOO_MUCH,), _T, _EARLY_TOO_MUCH, _WATCH,
         during=LATELY_MORE),
    Rule("two after more drug", (), (TOO_MUCH,), _W, _EARLY_TOO_MUCH, _WATCH, during=LATELY_MORE,
         two_of=_TOO_MUCH_SIGNS),
    Rule("pain at the pump after a refill", (frozenset({"pump pain"}), _TOO_MUCH_SIGNS),
         (TOO_MUCH, FAULT), _W, message("Maino 2017 (a fill beside the reservoir); level: {own}",
                                       own=OWN_RULE), _WATCH, during=frozenset({"refill"})),
    Rule("low pressure and drowsy", (frozenset({"pressure"}), frozenset({"sleepy", "dizzy"})),
         (TOO_MUCH, TOO_LITTLE), _W, _SIGNS_LABEL),
    # One step up from "next visit", and no further: `OTHER` is what nothing lifts.
    Rule("one with sedatives", (_TOO_MUCH_SIGNS,), (OTHER, TOO_MUCH), _C,
         message("label (alcohol and other sedatives add up); level: {own}", own=OWN_RULE),
         during=frozenset({"sedatives"})),
    # Cord injury at T6 or above
    Rule("flushing with a headache", (frozenset({"flushing"}), _HEADACHES | {"high pressure"}),
         (CORD,), _E, _CORD_SOURCE, _CORD_STEPS),
    # The label: withdrawal may look like dysreflexia, so both are named.
    Rule("dysreflexia", (_HEADACHES, frozenset({"flushing", "sweating"})), (CORD, TOO_LITTLE), _E,
         _CORD_SOURCE, _CORD_STEPS, _T6),
    Rule("flushing and sweating", (), (CORD, TOO_LITTLE), _E,
         message("{source}; level: {own}", source=_CORD_SOURCE, own=OWN_RULE), _CORD_STEPS, _T6,
         two_of=frozenset({"flushing", "sweating"}) | _PRESSURE),
    Rule("pounding headache", (_BAD_HEADACHES | {"high pressure"},), (CORD, TOO_LITTLE), _E,
         _CORD_SOURCE, _CORD_STEPS, _T6),
    Rule("one sign of dysreflexia", (frozenset({"flushing", "sweating", "pressure", "distress"}),),
         (CORD, TOO_LITTLE), _W, message("{source}; level: {own}", source=_CORD_SOURCE,
                                        own=OWN_RULE), _CORD_STEPS, _T6),
    Rule("any headache", (_HEADACHES,), (CORD,), _C, _CORD_SOURCE, during=_T6),
    # Whatever else is ticked
    Rule("drowsy without delivery", (frozenset({"drowsy", "light-headed", "sleepy", "dizzy"}),),
         (TOO_LITTLE,), _T, _LABEL, during=NO_DELIVERY),
    Rule("an urgent alarm", (), (FAULT, TOO_LITTLE), _W, _LEAFLETS,
         during=frozenset({"urgent alarm"})),
    Rule("a soft alarm", (), (FAULT,), _T, _LEAFLETS, during=frozenset({"soft alarm"})),
    Rule("an empty pump", (), (TOO_LITTLE,), _W, OWN_RULE, during=frozenset({"empty"})),
    Rule("an alarm date past", (), (TOO_LITTLE,), _W, OWN_RULE, during=frozenset({"alarm past"})),
    Rule("a refill overdue", (), (TOO_LITTLE,), _T, OWN_RULE,
         during=frozenset({"missed refill", "overdue", "old drug"})),
    Rule("a stopped pump", (), (TOO_LITTLE,), _T, OWN_RULE,
         message("If your clinic did not stop the pump, call now."),
         during=frozenset({"stopped"})),
)  # fmt: skip

_DELIVERY = frozenset({TOO_LITTLE, FAULT})
_RISK = frozenset({TOO_LITTLE, CORD})
_COFFEY = message("Coffey 2002; emergency-medicine review 2018")
_RIGOLI = message("Rigoli 2004")
_PEOPLE = message("label (people at highest risk)")

CIRCUMSTANCES: tuple[Circumstance, ...] = (
    Circumstance("empty", message("the pump may be empty"), _RIGOLI, _DELIVERY),
    Circumstance("alarm past", message("the alarm date has come or is past"), _RIGOLI, _DELIVERY),
    Circumstance("missed refill", message("a refill was missed and none logged since"), _COFFEY,
                 _DELIVERY),
    Circumstance("urgent alarm", message("the pump gave an urgent alarm"), _LEAFLETS),
    Circumstance("alarm window", message("the alarm may come any day"), OWN_RULE, _DELIVERY),
    Circumstance("alarm near", message("the alarm date is 7 days away or less"), _RIGOLI,
                 _DELIVERY),
    Circumstance("low volume", message("the pump is low"), _RIGOLI, _DELIVERY),
    Circumstance("soft alarm", message("the pump gave a soft alarm"), _LEAFLETS),
    Circumstance("catheter problem", message("trouble with the catheter is noted"), OWN_RULE),
    Circumstance("overdue", message("the refill-by date is past"), OWN_RULE),
    Circumstance("stopped", message("the pump is noted as stopped"), OWN_RULE, _DELIVERY),
    Circumstance("old drug", message("the drug is past its limit in the pump"),
                 message("in-vivo stability study, Neuromodulation 2023"), _DELIVERY),
    # The motor may stop in the field and start again late: De Andres 2011 (abstract).
    Circumstance("scan", message("an MRI scan less than 72 hours ago"),
                 message("Coffey 2002; De Andres 2011"), _DELIVERY),
    Circumstance("surgery", message("surgery less than 72 hours ago"), message("Coffey 2002"),
                 _DELIVERY | {INFECTION}),
    Circumstance("refill", message("a refill less than 72 hours ago"), _COFFEY, _DELIVERY),
    Circumstance("raised dose", message("a dose raised less than 72 hours ago"),
                 message("label (full effect at 24 to 48 hours)")),
    Circumstance("recent surgery", message("surgery or a new pump less than eight weeks ago"),
                 _LEAFLETS, frozenset({INFECTION})),
    Circumstance("T6", message("a cord injury at T6 or above"), _PEOPLE, _RISK),
    Circumstance("earlier withdrawal", message("baclofen withdrawal before"), _PEOPLE,
                 frozenset({TOO_LITTLE})),
    Circumstance("cannot speak", message("cannot speak or be understood well"), _PEOPLE, _RISK),
    Circumstance("sedatives", message("alcohol, sedatives or sleeping pills taken"),
                 message("label (they add up); step: {own}", own=OWN_RULE), frozenset({TOO_MUCH}),
                 _E),
)  # fmt: skip

MEANS: dict[str, str] = {"urgent alarm": "urgent alarm", "soft alarm": "soft alarm"}
"""Signs that are a circumstance for the other signs: the sign's id to the circumstance's."""
