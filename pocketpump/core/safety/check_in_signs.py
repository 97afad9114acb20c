"""Which warning signs the scores and side effects of a check-in may be.

They are offered, never taken for granted: a high score may be usual for this person.
"""

from collections.abc import Iterable, Mapping
from datetime import datetime, timedelta
from statistics import median

from pocketpump.core.diary.baseline import baseline_of, scores_by_hour
from pocketpump.core.diary.check_ins import STIFFNESS, CheckIn, Reading, daily_medians
from pocketpump.core.safety.sign_table import SIGNS

SEVERE = 7.0
"""Of 10. Stiffness from 7 on was counted as severe in a post hoc analysis of 2023 (abstract) of
the scale of Farrar 2008, Clin Ther; that it holds for sleepiness, too, is our own choice."""
FAR_ABOVE_USUAL = 3.0
"""So many points above the person's own usual stiffness are offered, too; own choice."""
BEFORE_DAYS = 28
"""What is usual is that of so many days before (own choice)."""
_FEWEST_DAYS = 7

_SCORED: Mapping[str, str] = {STIFFNESS: "stiffness back", "sleepiness": "drowsy"}
"""Scores of 10 and the sign that a severe one may be."""

_OTHER_NAMES: Mapping[str, str] = {"loose muscles": "loose"}
"""Side effects that are a sign under another name; the rest have the sign's own."""


def signs_of(check_in: CheckIn, usual_stiffness: float | None = None) -> tuple[str, ...]:
    """Return the ids of the signs to offer after ``check_in``, in the order of the table.

    ``usual_stiffness`` is what :func:`usual_stiffness` says of the days before.
    """
    effects = {_OTHER_NAMES.get(effect, effect) for effect in check_in.side_effects}
    severe = {sign for score, sign in _SCORED.items() if check_in.scores.get(score, 0.0) >= SEVERE}
    stiffness = check_in.scores.get(STIFFNESS)
    if (
        stiffness is not None
        and usual_stiffness is not None
        and stiffness >= usual_stiffness + FAR_ABOVE_USUAL
    ):
        severe.add(_SCORED[STIFFNESS])
    return tuple(sign.id for sign in SIGNS if sign.id in effects | severe)


def usual_stiffness(marks: Iterable[Reading], at: datetime) -> float | None:
    """Return what stiffness was usual about the hour of ``at`` in the 28 days before its day.

    Where too few days were noted about that hour it is the median of the days' medians, so that a
    bad score at an odd hour is still held against something; None with fewer than seven days.
    ``marks`` are readings of stiffness.
    """
    day = at.date()
    first = day - timedelta(days=BEFORE_DAYS)
    before = [mark for mark in marks if first <= mark.at.date() < day]
    usual = baseline_of(scores_by_hour(before)).at(at)
    if usual is not None:
        return usual
    days = daily_medians(before)
    return median(days.values()) if len(days) >= _FEWEST_DAYS else None
