"""A check-in after a bad moment: which warning signs its scores and side effects amount to.

They are offered, never taken for granted: a high score may be usual for this person.
"""

from collections.abc import Iterable, Mapping
from datetime import date, timedelta
from statistics import median

from pocketpump.core.diary import STIFFNESS, CheckIn, Reading, daily_medians
from pocketpump.core.drift import FEWEST_USUAL_DAYS, USUAL_DAYS
from pocketpump.core.sign_table import SIGNS

SEVERE = 7.0
"""Of 10. Stiffness from 7 on was counted as severe in a post hoc analysis of 2023 (abstract) of
the scale of Farrar 2008, Clin Ther; that it holds for sleepiness, too, is our own choice."""
FAR_ABOVE_USUAL = 3.0
"""So many points above the person's own usual stiffness are offered, too; own choice."""

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


def usual_stiffness(marks: Iterable[Reading], day: date) -> float | None:
    """Return the median of the daily medians of the 28 days before ``day``.

    None with fewer than seven such days. ``marks`` are readings of stiffness.
    """
    first = day - timedelta(days=USUAL_DAYS)
    days = [v for d, v in daily_medians(marks).items() if first <= d < day]
    return median(days) if len(days) >= FEWEST_USUAL_DAYS else None
