"""2,000 seeded single slips: the true one is named, and named early."""

import random
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta

from pocketpump.core.pump.programme import constant_rate, scaled
from pocketpump.core.pump.timeline import Fill, Setting
from pocketpump.core.refill_check.candidate_errors import CandidateError, find_candidate_errors
from pocketpump.core.refill_check.refill_input import RefillInput

CASES = 2_000
STRENGTHS = (500.0, 1000.0, 2000.0)  # injectable-drugs handbook
KINDS = ("strength", "volume", "alarm volume", "factor 10", "factor 1000", "per hour",
         "dose digits", "volume digits", "refill day and month", "printed day and month",
         "bridge", "old dose")  # fmt: skip

Case = tuple[RefillInput, date, tuple[str, float | str]]


def sound_claim(rng: random.Random) -> RefillInput:
    """A refill as clinics do them: 20 or 40 mL, 30 to 180 days to the alarm."""
    strength, volume = rng.choice(STRENGTHS), rng.choice((20.0, 40.0))
    dose = 0.0
    while not 30 <= (dose and (volume - 2) * strength / dose) <= 180:
        dose = round(rng.uniform(40, 1000), rng.choice((0, 0, 1)))
    at = datetime(2026, 1, 1, rng.randint(8, 16), tzinfo=UTC) + timedelta(days=rng.randrange(365))
    before = Fill(at - timedelta(days=rng.randint(40, 150)), volume, strength)
    return RefillInput(Fill(at, volume, strength), constant_rate(dose), 2.0, UTC, (before,), (),
                 rng.uniform(0.15, 0.4))  # fmt: skip


def swapped_digits(rng: random.Random, value: float) -> float | None:
    text = f"{value:g}"
    pairs = [i for i in range(len(text) - 1) if text[i : i + 2].isdigit()]
    pairs = [i for i in pairs if text[i] != text[i + 1] and not (i == 0 and text[1] == "0")]
    if not pairs:
        return None
    i = rng.choice(pairs)
    return float(text[:i] + text[i + 1] + text[i] + text[i + 2 :])


def other_reading(day: date) -> date | None:
    return date(day.year, day.day, day.month) if day.day <= 12 and day.day != day.month else None


def planted(rng: random.Random, kind: str) -> Case | None:
    """A claim with one slip in it, the date the clinic printed, and what the slip was."""
    true = sound_claim(rng)
    fill, dose = true.fill, true.programme.dose_mcg_per_day
    if kind == "strength":
        wrong = rng.choice([s for s in STRENGTHS if s != fill.strength_mcg_per_ml])
        entered = replace(true, fill=replace(fill, strength_mcg_per_ml=wrong))
        return entered, true.alarm_on(), ("strength", fill.strength_mcg_per_ml)
    if kind == "volume":
        entered = replace(true, fill=replace(fill, volume_ml=60.0 - fill.volume_ml))
        return entered, true.alarm_on(), ("volume", fill.volume_ml)
    if kind == "alarm volume":
        entered = replace(true, alarm_volume_ml=rng.choice((1.0, 3.0, 4.0)))
        return entered, true.alarm_on(), ("alarm_volume", 2.0)
    if kind in ("factor 10", "factor 1000", "per hour"):
        factor = {"factor 10": 10.0, "factor 1000": 1000.0, "per hour": 24.0}[kind]
        factor = factor if kind == "per hour" or rng.random() < 0.5 else 1 / factor
        return replace(true, programme=scaled(true.programme, factor)), true.alarm_on(), (
            "dose", dose)  # fmt: skip
    if kind == "dose digits":
        wrong_dose = swapped_digits(rng, dose)
        if not wrong_dose:
            return None
        return replace(true, programme=constant_rate(wrong_dose)), true.alarm_on(), ("dose", dose)
    if kind == "volume digits":
        volume = rng.choice((17.8, 18.5, 19.5, 19.8, 38.5, 39.5))
        true = replace(true, fill=replace(fill, volume_ml=volume))
        wrong_volume = swapped_digits(rng, volume)
        if not wrong_volume or wrong_volume <= 2:
            return None
        entered = replace(true, fill=replace(true.fill, volume_ml=wrong_volume))
        return entered, true.alarm_on(), ("volume", volume)
    if kind == "refill day and month":
        other = other_reading(fill.at.date())
        if other is None:
            return None
        entered = replace(true, fill=replace(fill, at=datetime.combine(other, time(), UTC)),
                          fills=())  # fmt: skip
        return entered, true.alarm_on(), ("filled", fill.at.date().isoformat())
    if kind == "printed day and month":
        printed = true.alarm_on()
        other = printed and other_reading(printed)
        return other and (true, other, ("printed_alarm", printed.isoformat()))
    if kind == "bridge":
        old = rng.choice([s for s in STRENGTHS if s != fill.strength_mcg_per_ml])
        true = replace(true, fills=(replace(true.before, strength_mcg_per_ml=old),))
        bridged = replace(true, fill=replace(fill, bridged=True))
        return true, bridged.alarm_on(), ("bridge", "programmed")
    old_dose = constant_rate(round(dose * rng.choice((0.8, 0.85, 0.9, 1.1, 1.15, 1.2)), 1))
    entered = replace(true, settings=(Setting(true.before.at, old_dose),))
    return entered, replace(true, programme=old_dose).alarm_on(), ("dose", "before this refill")


def cases() -> Iterator[tuple[str, Case]]:
    rng = random.Random(20260226)
    made = 0
    while made < CASES:
        kind = rng.choice(KINDS)
        case = planted(rng, kind)
        if case is None or case[0].alarm_on() is None:
            continue
        if abs((case[0].alarm_on() - case[1]).days) <= 1:
            continue  # the slip does not move the date: there is nothing to explain
        made += 1
        yield kind, case


def names(candidate_error: CandidateError, truth: tuple[str, float | str]) -> bool:
    field, value = truth
    if candidate_error.field != field:
        return False
    if isinstance(value, float):
        return abs(float(candidate_error.would_be.split()[0]) - value) <= 0.006
    return value in candidate_error.would_be


def test_the_true_slip_is_among_the_first_three_and_mostly_first():
    counts, first, three = Counter(), Counter(), Counter()
    confusion: Counter[tuple[str, str]] = Counter()
    for kind, (refill_input, printed, truth) in cases():
        candidate_errors = find_candidate_errors(refill_input, printed)
        places = [
            i for i, candidate_error in enumerate(candidate_errors) if names(candidate_error, truth)
        ]
        counts[kind] += 1
        first[kind] += bool(places) and places[0] == 0
        three[kind] += bool(places) and places[0] < 3
        confusion[kind, candidate_errors[0].field if candidate_errors else "none"] += 1
    print("\nplanted slip            n   first  first three   named first")
    for kind in KINDS:
        named = {f: n for (k, f), n in confusion.items() if k == kind}
        n = counts[kind]
        print(f"{kind:22} {n:4}  {first[kind] / n:5.3f}  {three[kind] / n:5.3f}        {named}")
    print(f"{'all':22} {CASES:4}  {first.total() / CASES:5.3f}  {three.total() / CASES:5.3f}")
    assert three.total() / CASES >= 0.95
    assert first.total() / CASES >= 0.80


def test_no_slip_is_suggested_when_the_dates_agree():
    rng = random.Random(3)
    for _ in range(300):
        refill_input = sound_claim(rng)
        for off in (-1, 0, 1):
            assert (
                find_candidate_errors(refill_input, refill_input.alarm_on() + timedelta(days=off))
                == ()
            )
