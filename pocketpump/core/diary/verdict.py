"""Whether a claim may be made of the days before and after a change: lower, higher, not clear.

`comparison` gives the shift and its interval; here the two looks decide.
"""

from dataclasses import dataclass

from pocketpump.core.statistics.rank_test import Score

FIRST_LOOK_DAYS, LAST_LOOK_DAYS = 14, 28
"""A change is judged so many days after it has settled, on those days alone (own choice): who
looks anew each day finds by chance what is not there. After the last the answer stands."""
WINDOW_DAYS = 28
"""At most so many days on either side (own choice): long enough to see, short enough to be
about this change."""
FEWEST_DAYS = 7
"""Fewer days with a check-in on either side are not enough to say (own choice)."""
FEWEST_SPAN_DAYS = 14
"""The diary must have begun so many days before the change (own choice): people change something
in a bad spell, which often eases by itself (Barnett 2005, Int J Epidemiol: regression to the
mean), and a shorter diary may hold nothing but that spell."""

(
    SETTLING, TOO_SOON, NOT_ENOUGH, OTHER_HOURS, LOWER, HIGHER, ALREADY_FALLING, ALREADY_RISING,
    UNCLEAR,
) = (
    "settling", "too soon", "not enough", "other hours", "lower", "higher", "already falling",
    "already rising", "no clear change",
)  # fmt: skip
CLAIMS = (LOWER, HIGHER)
"""The verdicts that say the score is another one after the change than before."""
UNJUDGED = (SETTLING, TOO_SOON, NOT_ENOUGH, OTHER_HOURS)
"""The verdicts without a number."""

FEW_BEFORE, FEW_AFTER, TOO_ALIKE, TOO_MIXED = "few before", "few after", "too alike", "too mixed"
"""Why there is not enough to say."""


@dataclass(frozen=True, slots=True)
class Period:
    """Some days in a row: the score of each day that has one, in order, of how many check-ins.

    ``middle`` is the median of the days; None without any.
    """

    days: tuple[Score, ...]
    check_ins: int
    middle: float | None
