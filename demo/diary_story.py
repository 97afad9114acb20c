"""The diary of the demo's invented person: check-ins, happenings, measures, whom to call.

The stiffness wanders from day to day, answers each dose change over a few days, is worse at
night until the day pattern helps, and creeps up a little before the next rise. All of it
comes from a seeded generator and a handful of made-up numbers.
"""

import random
from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

SEED = 20_260_113
FIRST, LAST = date(2025, 9, 18), date(2026, 3, 16)
HOURS = (8, 13, 18, 21)

# (day, level of the stiffness once it has settled): after the dose changes of the story.
LEVELS = (
    (date(2025, 9, 1), 4.6),
    (date(2025, 11, 3), 3.4),
    (date(2026, 2, 9), 2.6),
)
CREEP_PER_WEEK = 0.09

Draft = tuple[str, str, dict[str, Any]]

HAPPENINGS = (
    ("2025-10-14T11:30", "scan", True, "Knee. The pump was checked the same day."),
    ("2025-12-18T07:40", "fever or infection", True, "A cold, three days. The clinic knew."),
    ("2026-01-17T16:20", "fall", True, "On the ice, on the left side. No harm."),
    ("2026-03-03T09:00", "constipation", False, ""),
)  # fmt: skip
MEASURES = (
    ("Timed walk of 10 m", "s", 14.0, True, (
        ("2025-09-25", 19.8), ("2025-10-23", 19.1), ("2025-11-20", 16.4), ("2025-12-22", 17.2),
        ("2026-01-22", 16.0), ("2026-02-26", 13.7),
    )),
    ("Time standing", "min", 10.0, False, (
        ("2025-11-21", 4.0), ("2026-01-08", 6.0), ("2026-03-01", 9.0),
    )),
)  # fmt: skip

# Numbers reserved for fiction: UK 020 7946 0xxx (Ofcom). There is no emergency number that is; 112
# is that of the European Union, and the demo dials nothing.
CONTACTS = (
    {"name": "Emergency", "role": "local emergency number", "phone": "112", "emergency": True},
    {"name": "Pump nurses (invented)", "role": "pump clinic", "phone": "+44 20 7946 0113",
     "hours": "Mon, Tue, Thu 9 to 12"},
)  # fmt: skip


def tell_diary(write: Callable[[str, str, dict[str, Any]], None]) -> None:
    """Hand every entry to ``write`` (kind, wall-clock time, payload), in order of time."""
    drafts: list[Draft] = [("contact", "2025-09-17T10:20", dict(contact)) for contact in CONTACTS]
    for wall, what, done, note in HAPPENINGS:
        payload: dict[str, Any] = {"what": what, "follow_up_done": done}
        drafts.append(("happening", wall, payload | ({"note": note} if note else {})))
    for name, unit, goal, lower, values in MEASURES:
        for day, value in values:
            drafts.append(("measure", f"{day}T10:00", {
                "name": name, "value": value, "unit": unit, "goal": goal,
                "lower_is_better": lower,
            }))  # fmt: skip
    drafts += _check_ins()
    for draft in sorted(drafts, key=lambda draft: draft[1]):
        write(*draft)


def _check_ins() -> list[Draft]:
    chance = random.Random(SEED)
    drafts: list[Draft] = []
    wander, level = 0.0, LEVELS[0][1]
    day = FIRST
    while day <= LAST:
        level += (_target(day) - level) * 0.45
        wander = 0.5 * wander + chance.gauss(0, 0.55)
        if chance.random() < 0.88:
            for hour in sorted(chance.sample(HOURS, chance.choice((1, 1, 2, 2, 3)))):
                ill = date(2025, 12, 17) <= day <= date(2025, 12, 20)
                wall = f"{day}T{hour:02d}:{chance.randrange(60):02d}"
                drafts.append(("check-in", wall, _payload(chance, hour, level + wander, ill)))
        day += timedelta(days=1)
    return drafts


def _target(day: date) -> float:
    begun, level = next((start, lvl) for start, lvl in reversed(LEVELS) if start <= day)
    return level + CREEP_PER_WEEK * (day - begun).days / 7


def _payload(chance: random.Random, hour: int, level: float, ill: bool) -> dict[str, Any]:
    # The nights are covered by the pattern since summer; the early evening is not.
    value = level + (2.2 if hour == 18 else 0.0) + (1.5 if ill else 0.0) + chance.gauss(0, 0.5)
    stiffness = min(10, max(0, round(value)))
    spasms = min(4, max(0, round(value / 2.4 + chance.gauss(0, 0.4))))
    payload: dict[str, Any] = {"stiffness": stiffness, "spasms": spasms}
    if spasms:
        payload["severity"] = 1 if value < 5 else 2
    if hour == 8:
        payload["sleep"] = min(10, max(0, round(7.5 - value / 3 + chance.gauss(0, 1))))
    if chance.random() < 0.25:
        payload["pain"] = min(10, max(0, round(value / 2 + chance.gauss(0, 0.7))))
    if chance.random() < 0.06:
        payload["side_effects"] = [chance.choice(("constipation", "constipation", "headache"))]
    return payload
