"""Warning signs: every row, every rule, every circumstance, any combination, easy to read."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
import textstat
from hypothesis import given
from hypothesis import strategies as st

from pocketpump.core.outlook import outlook
from pocketpump.core.pattern import constant_rate
from pocketpump.core.sign_table import (
    CIRCUMSTANCES,
    COULD_BE,
    DO,
    GROUPS,
    RULES,
    SIGNS,
    Urgency,
)
from pocketpump.core.signs import assess, circumstances
from pocketpump.core.situation import Pump, Situation
from pocketpump.core.timeline import Fill, Setting

# Written from trade facts §5, row by row, not from the table in the code. Sources there:
# label; Coffey 2002; Saulino 2016; hospital leaflets; emergency-medicine review 2018.
ALONE = {
    # "clinic today when it is itch, tightness or more spasms alone"
    "stiffness back": "TODAY", "more spasms": "TODAY", "itch": "TODAY",
    "tingling": "TODAY", "sweating": "TODAY", "fast pulse": "TODAY", "pressure": "TODAY",
    # own rule on the safe side: new confusion alone is already an emergency
    "confusion": "EMERGENCY",
    # "too much drug … emergency (label)"
    "drowsy": "EMERGENCY", "light-headed": "EMERGENCY", "hard to wake": "EMERGENCY",
    "floppy": "EMERGENCY", "breathing": "EMERGENCY", "cold": "EMERGENCY",
    "seizure": "EMERGENCY", "unconscious": "EMERGENCY",
    # "infection: same day, or emergency"
    "fever": "TODAY", "red skin": "TODAY", "leaking skin": "TODAY",
    "stiff neck": "TODAY", "light hurts": "TODAY",
    # "spinal fluid leak: call the clinic"; leaking scar: same day
    "headache upright": "CLINIC", "back fluid": "TODAY",
    # "soft repeating alarm: call today; urgent alarm: call now"
    "worn off slowly": "TODAY", "worn off fast": "NOW", "soft alarm": "TODAY",
    "urgent alarm": "NOW", "pump moved": "TODAY", "pump pain": "TODAY",
    # "a separate emergency with its own steps"
    "pounding head": "EMERGENCY",
    # "tell the clinic at the next visit, sooner if new"; "mention at the next visit"
    "constipation": "NEXT_VISIT", "nausea": "NEXT_VISIT", "headache": "NEXT_VISIT",
    "sleepy": "NEXT_VISIT", "loose": "NEXT_VISIT", "thin skin": "NEXT_VISIT",
    "spine curve": "NEXT_VISIT",
}  # fmt: skip

TOGETHER = [
    # "emergency when stiffness rises fast together with fever, confusion, fast pulse or
    # unstable pressure" (label; Coffey 2002; Saulino 2016)
    *(({first, second}, "EMERGENCY")
      for first in ("stiffness back", "more spasms")
      for second in ("fever", "confusion", "fast pulse", "pressure")),
    # "with stiff neck or light hurting the eyes: emergency"
    *(({first, second}, "EMERGENCY")
      for first in ("fever", "red skin", "leaking skin")
      for second in ("stiff neck", "light hurts")),
    ({"stiff neck", "light hurts"}, "EMERGENCY"),
    ({"headache upright", "nausea"}, "CLINIC"),
    # "withdrawal can look like sepsis": no stiffness needs to be ticked (§5; level: own rule)
    ({"fever", "pressure"}, "EMERGENCY"), ({"fever", "fast pulse"}, "NOW"),
    ({"fever", "pressure", "fast pulse"}, "EMERGENCY"),
    # own rules, on the safe side
    ({"itch", "fever"}, "NOW"), ({"sweating", "fast pulse"}, "NOW"),
    ({"itch", "more spasms"}, "NOW"),
    # nothing special: the worst wins
    ({"constipation", "itch"}, "TODAY"), ({"itch", "sweating"}, "TODAY"),
    ({"headache upright", "drowsy"}, "EMERGENCY"),
]  # fmt: skip

IDS = [sign.id for sign in SIGNS]
SOME = st.sets(st.sampled_from(IDS), min_size=1)
HOLDING = st.sets(st.sampled_from([c.id for c in CIRCUMSTANCES])).map(
    lambda ids: dict.fromkeys(ids, "It is so.")
)


def test_every_row_has_an_expected_urgency_and_every_expectation_a_row():
    assert sorted(ALONE) == sorted(IDS)
    assert len(set(IDS)) == len(IDS)


@pytest.mark.parametrize("sign", SIGNS, ids=lambda sign: sign.id)
def test_each_sign_alone_has_the_published_urgency_and_names_its_source(sign):
    advice = assess({sign.id})
    assert advice is not None
    assert advice.urgency.name == ALONE[sign.id]
    assert advice.because == (sign,)
    assert any(
        word in sign.source
        for word in ("label", "leaflets", "Coffey 2002", "Saulino 2016", "trade facts")
    )
    assert sign.could_be in dict(GROUPS)


def in_order(value) -> str:
    return " + ".join(sorted(value)) if isinstance(value, set) else str(value)


@pytest.mark.parametrize(("ticked", "urgency"), TOGETHER, ids=in_order)
def test_signs_together(ticked, urgency):
    advice = assess(ticked)
    assert advice is not None
    assert advice.urgency.name == urgency


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_every_rule_speaks_of_signs_that_exist_and_names_its_source(rule):
    for one in rule.sets:
        assert one <= set(IDS)
    assert rule.source


@given(SOME, st.sampled_from(IDS), HOLDING)
def test_adding_a_sign_never_lowers_the_urgency(ticked, more, holding):
    fewer, added = assess(ticked, holding), assess(ticked | {more}, holding)
    assert fewer is not None
    assert added is not None
    assert added.urgency >= fewer.urgency
    assert set(fewer.could_be) <= set(added.could_be)


@given(SOME, HOLDING, st.sampled_from([c.id for c in CIRCUMSTANCES]))
def test_adding_a_circumstance_never_lowers_it_and_lifts_by_one_step_at_most(ticked, holding, more):
    alone = assess(ticked)
    some = assess(ticked, holding)
    added = assess(ticked, holding | {more: "It is so."})
    assert alone is not None
    assert some is not None
    assert added is not None
    # One step, except that what may be early too much drug is never left for later than today.
    most = max(Urgency.TODAY, alone.urgency + 1)
    assert alone.urgency <= some.urgency <= added.urgency <= most
    assert added.raised == (added.urgency > alone.urgency)


@pytest.mark.parametrize("circumstance", ["refill", "raised dose"])
@pytest.mark.parametrize("ticked", [{"sleepy"}, {"loose"}, {"nausea"}, {"sleepy", "loose"}])
def test_early_signs_of_too_much_after_a_refill_or_a_raised_dose_are_for_today(
    ticked, circumstance
):
    # "time of highest risk: 72 h after … a refill" (Coffey 2002; emergency-medicine review
    # 2018); the effect of a raised dose is full at 24-48 h (label).
    advice = assess(ticked, {circumstance: "It was so."})
    assert advice is not None
    assert advice.urgency is Urgency.TODAY
    assert advice.raised
    assert advice.circumstances == ("It was so.",)
    assert advice.could_be[0] == "too much drug"
    # A scan may hold the pump up; it gives no more drug, and these signs stay mild.
    for other in ({}, {"scan": "x"}):
        calm = assess(ticked, other)
        assert calm is not None
        assert calm.urgency is Urgency.NEXT_VISIT


@given(HOLDING)
def test_circumstances_alone_make_no_emergency_and_nothing_ticked_no_advice(holding):
    assert assess((), holding) is None
    for sign in SIGNS:
        advice = assess({sign.id}, holding)
        assert advice is not None
        assert (advice.urgency is Urgency.EMERGENCY) == (ALONE[sign.id] == "EMERGENCY")


@given(st.sets(st.text()))
def test_unknown_signs_are_left_out(ticked):
    assert assess(ticked - set(IDS)) is None
    assert assess({"itch", *ticked} & ({"itch"} | (ticked - set(IDS)))) == assess({"itch"})


@pytest.mark.parametrize("circumstance", CIRCUMSTANCES, ids=lambda c: c.id)
def test_each_circumstance_raises_something_and_is_said(circumstance):
    raised = []
    for sign in SIGNS:
        advice = assess({sign.id}, {circumstance.id: "Said."})
        if advice is not None and advice.raised:
            raised.append(sign.id)
            assert advice.circumstances == ("Said.",)
    assert raised
    assert circumstance.source


NOW = datetime(2026, 2, 20, 9, tzinfo=UTC)


def outlook_at(days_ago: float, **pump):
    filled = NOW - timedelta(days=days_ago)
    situation = Situation(
        Pump(alarm_volume_ml=2.0, **pump),
        (Fill(filled, 20.0, 500.0),),
        (Setting(filled, constant_rate(200.0)),),  # 0.4 mL/day, alarm on day 45 (E14)
    )
    answer, _ = outlook(situation, NOW, UTC)
    assert answer is not None
    return answer


@pytest.mark.parametrize(
    ("days_ago", "expected"),
    [(1, {"refill"}), (10, set()), (37, set()), (38.1, {"alarm date"}),
     # 0.4 mL/day from 20 mL: 4 mL, two above the alarm, is reached on day 40 (Rigoli 2004).
     (41, {"alarm date", "low volume"}), (46, {"alarm date", "low volume"}),
     (200, {"alarm date", "low volume", "old drug"})],
)  # fmt: skip
def test_the_outlook_gives_its_circumstances(days_ago, expected):
    assert set(circumstances(outlook_at(days_ago), hours_since={})) == expected


@pytest.mark.parametrize(
    ("hours_ago", "dose", "found"),
    [(1, 230.0, True), (72, 230.0, True), (73, 230.0, False), (1, 200.0, False), (1, 180.0, False)],
)
def test_a_raised_dose_counts_for_72_hours(hours_ago, dose, found):
    answer = outlook_at(10)
    new = Setting(NOW - timedelta(hours=hours_ago), constant_rate(dose))
    situation = replace(answer.situation, settings=(new, *answer.situation.settings))
    raised = "raised dose" in circumstances(replace(answer, situation=situation), hours_since={})
    assert raised is found
    # Nor does a setting that is still to come count.
    to_come = Setting(NOW + timedelta(hours=1), constant_rate(500.0))
    situation = replace(answer.situation, settings=(*answer.situation.settings, to_come))
    assert circumstances(replace(answer, situation=situation), hours_since={}) == {}


def test_a_dose_raised_while_an_old_one_fades_is_the_newest_against_the_one_before():
    answer = outlook_at(10)
    steps = [(60, 260.0), (30, 240.0)]  # up from 200, then down again: still raised within 72 h
    settings = tuple(Setting(NOW - timedelta(hours=h), constant_rate(d)) for h, d in steps)
    situation = replace(answer.situation, settings=(*answer.situation.settings, *settings))
    assert "raised dose" in circumstances(replace(answer, situation=situation), hours_since={})


def test_happenings_count_for_72_hours():
    assert circumstances(None, hours_since={"scan": 72}).keys() == {"scan"}
    assert circumstances(None, hours_since={"scan": 72.1}) == {}
    assert circumstances(None, hours_since={"surgery": 0, "missed refill": 5}).keys() == {
        "surgery", "missed refill"}  # fmt: skip


def test_the_person_and_the_age_of_the_pump_count():
    found = circumstances(None, hours_since={}, injury_t6=True, days_since_implant=59)
    assert found.keys() == {"T6", "new pump"}
    assert circumstances(None, hours_since={}, days_since_implant=61) == {}


def test_a_stopped_pump_is_said_and_no_date_is_made_up():
    answer = outlook_at(10)
    stopped = replace(answer, programme=constant_rate(0.0), alarm_at=None)
    assert "stopped" in circumstances(stopped, hours_since={})


TEXTS = [
    *(" ".join(lines) for lines in DO.values()),
    *(sign.do for sign in SIGNS if sign.do),
    *(rule.do for rule in RULES if rule.do),
    *circumstances(
        outlook_at(200), hours_since={"scan": 1, "surgery": 1, "missed refill": 1},
        injury_t6=True, days_since_implant=3,
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


def test_no_text_names_a_diagnosis_or_a_dose():
    for text in [*TEXTS, *(sign.words for sign in SIGNS)]:
        words = text.lower()
        assert " you have a " not in words.replace("you have a baclofen pump", "")
        assert not any(word in words for word in ("mcg", " mg", "tablet", "take your", "dose"))
    assert set(COULD_BE) == {group for group, _ in GROUPS}
