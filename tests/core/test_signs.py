"""Warning signs: any combination against answers written beforehand, properties, easy to read."""

import csv
from itertools import combinations
from pathlib import Path

import pytest
import textstat
from hypothesis import given
from hypothesis import strategies as st

from pocketpump.core.safety.circumstances import circumstances
from pocketpump.core.safety.sign_rules import CIRCUMSTANCES, MEANS, RULES
from pocketpump.core.safety.sign_table import (
    COULD_BE,
    DO,
    DO_WHILE_CLOSED,
    FIRST_ASKED,
    ON_THE_SIDE,
    SIGNS,
    SUBJECTS,
    UNANSWERED,
    UNTIL_HELP,
    WHY_EMERGENCY_FIRST,
    Urgency,
)
from pocketpump.core.safety.signs import assess

IDS = [sign.id for sign in SIGNS]
CIRCUMSTANCE_IDS = [c.id for c in CIRCUMSTANCES]
SOME = st.sets(st.sampled_from(IDS), min_size=1, max_size=5)
HOLDING = st.sets(st.sampled_from(CIRCUMSTANCE_IDS)).map(
    lambda ids: dict.fromkeys(ids, "It is so.")
)
OPEN = st.sampled_from([True, False, None])


def parts(text: str) -> list[str]:
    return [part for part in text.split(" + ") if part]


# Written from the sources and docs/danger.md by somebody who had not read the tables.
with (Path(__file__).parent / "danger_answers.tsv").open(encoding="utf-8", newline="") as lines:
    ANSWERS = list(csv.DictReader(lines, delimiter="\t"))


def answered(row) -> str:
    return f"{row['signs']} ({row['during']})"


def test_the_answers_cover_every_sign_alone_and_every_circumstance():
    alone = {row["signs"] for row in ANSWERS if not row["during"]}
    assert set(IDS) <= alone
    assert set(CIRCUMSTANCE_IDS) <= {one for row in ANSWERS for one in parts(row["during"])}
    assert len(ANSWERS) >= 150
    assert all(row["source"] for row in ANSWERS)


@pytest.mark.parametrize("row", ANSWERS, ids=answered)
def test_no_combination_is_answered_too_mildly_or_cries_wolf(row):
    signs = parts(row["signs"])
    assert set(signs) <= set(IDS)
    during = dict.fromkeys(parts(row["during"]), "It is so.")
    advice = assess(signs, during)
    assert Urgency[row["level"]] <= advice.urgency <= Urgency[row["most"]], row["source"]
    if row["first"]:
        assert advice.could_be[0] == COULD_BE[row["first"]], row["source"]
    for cause in parts(row["names"]):
        assert COULD_BE[cause] in advice.could_be, row["source"]


def test_every_row_is_asked_somewhere_names_its_causes_and_its_source():
    assert len(set(IDS)) == len(IDS)
    for sign in SIGNS:
        assert sign.subject in dict(SUBJECTS)
        assert sign.could_be
        assert set(sign.could_be) <= set(COULD_BE)
        assert sign.source
    assert set(FIRST_ASKED) <= set(IDS)
    assert {subject for subject, _ in SUBJECTS} == {sign.subject for sign in SIGNS}


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_every_rule_speaks_of_what_exists_and_names_its_source(rule):
    for one in (*rule.sets, rule.two_of):
        assert one <= set(IDS)
    assert rule.during <= set(CIRCUMSTANCE_IDS)
    assert set(rule.could_be) <= set(COULD_BE)
    assert rule.sets or rule.two_of or rule.during
    assert rule.source


@pytest.mark.parametrize("circumstance", CIRCUMSTANCES, ids=lambda c: c.id)
def test_each_circumstance_raises_something_and_is_said(circumstance):
    raised = []
    for ticked in [*((one,) for one in IDS), ("sleepy", "loose")]:
        advice = assess(ticked, {circumstance.id: "Said."})
        if advice.raised:
            raised.append(ticked)
            assert advice.circumstances == ("Said.",)
    assert raised
    assert circumstance.source
    assert circumstance.words


# The principles of docs/danger.md, written out again from its words.
EARLY = {"stiffness back", "more spasms", "itch", "tingling", "sweating", "fever", "fast pulse",
         "pressure"}  # fmt: skip
GRAVE = {"fever", "confusion", "fast pulse", "pressure"}
NO_DRUG = {"empty", "alarm past", "missed refill", "urgent alarm"}
DOUBT = NO_DRUG | {"alarm window", "low volume", "stopped", "old drug", "scan", "surgery", "refill"}
SKIN = {"red skin", "leaking skin", "open skin", "thin skin", "back fluid"}
HEADS = {"headache", "bad headache", "headache upright", "pounding head"}
MORE_DRUG = {"refill", "raised dose"}
AT_ONCE = {"slurred speech", "swallowing"}
BOTH = ({"fever"}, "infection", "too little"), (
    {"seizure", "confusion", "hard to wake", "unconscious"}, "too little", "too much",
)  # fmt: skip


def least(signs: set[str], during: str) -> Urgency:
    """The least that the principles ask for."""
    found = Urgency.NEXT_VISIT
    early, grave = signs & EARLY, signs & GRAVE
    milder = signs & {"sleepy", "loose", "nausea", "dizzy"}
    if early and (
        during in DOUBT | {"soft alarm"} or signs & {"pump moved", "pump hit", "pump pain"}
    ):
        found = Urgency.NOW
    if during in NO_DRUG and len(early) > 1:
        found = Urgency.EMERGENCY
    if during in DOUBT and grave and len(early | grave) > 1:
        found = Urgency.EMERGENCY
    if ("fever" in signs and signs & SKIN) or "numb" in signs or "open skin" in signs:
        found = max(found, Urgency.NOW)
    lining = signs & {"stiff neck", "light hurts", "bad headache", "confusion"}
    if lining and ("fever" in signs or during in ("surgery", "recent surgery")):
        found = Urgency.EMERGENCY
    if signs & HEADS and "stiff neck" in signs:
        found = Urgency.EMERGENCY
    if "fever" in signs and signs & {"headache upright", "back fluid"}:
        found = Urgency.EMERGENCY
    if "fever" in signs and signs & HEADS and during == "recent surgery":
        found = Urgency.EMERGENCY
    if len(milder) > 1:
        found = max(found, Urgency.NOW if during in MORE_DRUG else Urgency.TODAY)
    if during == "T6" and signs & HEADS and signs & {"flushing", "sweating", "pounding head"}:
        found = Urgency.EMERGENCY
    if signs & AT_ONCE:
        found = Urgency.EMERGENCY
    if signs & {"vomiting", "pump hit", "distress"}:
        found = max(found, Urgency.TODAY)
    return found


def holds_to_the_principles(signs: set[str], during: str, advice) -> bool:
    """Whether level, causes and first steps are what docs/danger.md asks for."""
    for of, one, other in BOTH:
        if signs & of and not {COULD_BE[one], COULD_BE[other]} <= set(advice.could_be):
            return False
    dysreflexia = during == "T6" and signs & HEADS and signs & {"flushing", "sweating"}
    if dysreflexia and COULD_BE["cord"] not in advice.could_be:
        return False
    return (
        advice.urgency >= least(signs, during)
        and bool(advice.unanswered) == (advice.urgency > Urgency.NEXT_VISIT)
        and bool(advice.until_help) == (advice.urgency >= Urgency.NOW)
        and bool(advice.do)
    )


def test_the_principles_hold_and_more_is_never_milder_nor_drops_a_cause():
    """Every set of up to three signs, alone and in every one circumstance."""
    bare: dict = {}
    for holding in ({}, *({one: "It is so."} for one in CIRCUMSTANCE_IDS)):
        found: dict = {}
        for size in (1, 2, 3):
            for signs in combinations(IDS, size):
                advice = assess(signs, holding)
                answer = found[signs] = advice.urgency, frozenset(advice.could_be)
                assert holds_to_the_principles(set(signs), next(iter(holding), ""), advice), (
                    signs, holding,
                )  # fmt: skip
                if holding:
                    assert answer[0] >= bare[signs][0], (signs, holding)
                    assert answer[1] >= bare[signs][1], (signs, holding)
                for fewer in combinations(signs, size - 1):
                    if fewer:
                        assert answer[0] >= found[fewer][0], (fewer, signs, holding)
                        assert answer[1] >= found[fewer][1], (fewer, signs, holding)
        bare = bare or found


@given(SOME, st.sampled_from(IDS), HOLDING, st.sampled_from(CIRCUMSTANCE_IDS), OPEN)
def test_in_any_mixture_more_is_never_milder(ticked, more, holding, circumstance, is_open):
    fewer = assess(ticked, holding, clinic_open=is_open)
    with_sign = assess(ticked | {more}, holding, clinic_open=is_open)
    with_both = assess(ticked | {more}, holding | {circumstance: "It is so."}, clinic_open=is_open)
    assert fewer.urgency <= with_sign.urgency <= with_both.urgency
    assert set(fewer.could_be) <= set(with_sign.could_be) <= set(with_both.could_be)
    assert fewer.calls_emergency <= with_sign.calls_emergency <= with_both.calls_emergency


@given(SOME, HOLDING)
def test_a_closed_clinic_changes_whom_to_call_first_and_never_the_urgency(ticked, holding):
    opened = assess(ticked, holding, clinic_open=True)
    closed = assess(ticked, holding, clinic_open=False)
    assert opened.urgency is closed.urgency
    assert opened.calls_emergency == (opened.urgency is Urgency.EMERGENCY)
    assert closed.calls_emergency == (closed.urgency >= Urgency.NOW)
    assert bool(closed.why_emergency) == (closed.urgency is Urgency.NOW)
    for advice in (opened, closed):
        assert bool(advice.unanswered) == (advice.urgency > Urgency.NEXT_VISIT)
        assert bool(advice.until_help) == (advice.urgency >= Urgency.NOW)
        # Nothing says that the clinic comes first while it is closed.
        if advice.why_emergency:
            assert "pump clinic now" not in " ".join((advice.headline, *advice.do))


@pytest.mark.parametrize(
    ("circumstance", "level"),
    [("empty", "NOW"), ("alarm past", "NOW"), ("urgent alarm", "NOW"), ("missed refill", "TODAY"),
     ("overdue", "TODAY"), ("old drug", "TODAY"), ("stopped", "TODAY")],
)  # fmt: skip
def test_no_tick_makes_the_answer_milder_than_todays_own_sentence(circumstance, level):
    for sign in IDS:
        assert assess({sign}, {circumstance: "It is so."}).urgency >= Urgency[level]


@given(HOLDING)
def test_nothing_ticked_gives_no_advice(holding):
    assert assess((), holding) is None


@given(st.sets(st.text()))
def test_unknown_signs_are_left_out(ticked):
    unknown = ticked - set(IDS)
    assert assess(unknown) is None
    assert assess({"itch", *unknown}) == assess({"itch"})


@pytest.mark.parametrize("alarm", MEANS)
def test_an_alarm_ticked_counts_as_one_heard(alarm):
    ticked, heard = assess({alarm, "itch"}), assess({"itch"}, {MEANS[alarm]: "It rang."})
    assert ticked.urgency is heard.urgency is Urgency.NOW
    assert heard.circumstances == ("It rang.",)


def test_whoever_is_drowsy_or_fits_is_laid_on_the_side():
    assert ON_THE_SIDE in assess({"seizure"}).until_help
    assert ON_THE_SIDE not in assess({"pounding head"}).until_help


TEXTS = [
    *(" ".join(lines) for lines in DO.values()),
    " ".join(DO_WHILE_CLOSED), WHY_EMERGENCY_FIRST, ON_THE_SIDE, *UNTIL_HELP,
    *{text for pair in UNANSWERED.values() for text in pair if text},
    *(sign.do for sign in SIGNS if sign.do),
    *{rule.do for rule in RULES if rule.do},
    *circumstances(
        None, hours_since={"scan": 1, "surgery": 1},
        since_refill={"missed refill", "urgent alarm", "soft alarm", "catheter problem"},
        risks={"T6", "earlier withdrawal", "cannot speak"}, days_since_implant=3,
    ).values(),
]  # fmt: skip


def grade_of(text: str) -> float:
    # The pronouncing dictionary lacks "baclofen"; "medicine" has as many syllables.
    return textstat.flesch_kincaid_grade(text.replace("baclofen", "medicine"))


def test_the_warning_texts_read_at_sixth_to_eighth_grade():
    grades = {text: grade_of(text) for text in TEXTS}
    print("\nreading grade (Flesch-Kincaid), hardest first:")
    for text, grade in sorted(grades.items(), key=lambda pair: -pair[1]):
        print(f"  {grade:4.1f}  {text}")
    assert max(grades.values()) <= 8.0
    signs = ". ".join(sign.words for sign in SIGNS)
    print(f"  {grade_of(signs):4.1f}  all the signs' words")
    assert grade_of(signs) <= 8.0


def test_no_text_names_a_diagnosis_an_antidote_or_an_amount():
    for text in [*TEXTS, *(sign.words for sign in SIGNS)]:
        words = text.lower()
        assert " you have a " not in words.replace("you have a baclofen pump", "")
        assert not any(word in words for word in ("mcg", " mg", "physostigmine", "take your"))
        # Tablets are spoken of once: not to take them.
        assert "tablet" not in words or words.startswith("take no extra tablets")
