"""Warning signs: what is ticked, how urgent it is at worst, and what to do.

A table, not branches: `sign_table` holds the rows, this module only takes the worst. Adding
a sign or a circumstance can therefore never make the answer less urgent. Nothing here is a
diagnosis; the words are "could be".
"""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import timedelta
from itertools import pairwise

from pocketpump.core.outlook import Outlook
from pocketpump.core.quantity import format_number
from pocketpump.core.sign_table import (
    CIRCUMSTANCES,
    COULD_BE,
    DO,
    RULES,
    SIGNS,
    Circumstance,
    Rule,
    Sign,
    Urgency,
)
from pocketpump.core.wording import joined, worded, worded_count

_WORDS = {sign.id: sign.words for sign in SIGNS}

HIGH_RISK_HOURS = 72
"""Coffey 2002; emergency-medicine review 2018 (page): the time of highest risk."""
NEAR_ALARM_DAYS = 7
"""A leaflet asks for the refill 7-10 days before the alarm date."""
# Rigoli 2004: withdrawal signs 1-7 days before the alarm, at 2.1-3.8 mL left.
FELT_ABOVE_ALARM_ML = 2.0
FIRST_MONTHS_DAYS = 60


@dataclass(frozen=True, slots=True)
class Advice:
    """The answer to what is ticked.

    ``raised`` says that a circumstance made it more urgent; ``could_be`` are the
    possible causes, worst first; ``do`` the sentences of what to do; ``calls_emergency``
    whether the emergency number comes before the clinic's; ``circumstances`` what of the
    situation was taken into account; ``because`` the rows that decided, with their source.
    """

    urgency: Urgency
    raised: bool
    could_be: tuple[str, ...]
    do: tuple[str, ...]
    calls_emergency: bool
    circumstances: tuple[str, ...]
    because: tuple[Sign | Rule, ...]

    @property
    def headline(self) -> str:
        """The urgency as a call to act."""
        return DO[self.urgency][0]


def sign_words(ids: Iterable[object]) -> str:
    """Return the signs in words, one after the other; an id not known stands as it is."""
    return joined("; ", (_WORDS.get(str(one), str(one)) for one in ids))


def assess(ticked: Collection[str], present: Mapping[str, str] | None = None) -> Advice | None:
    """Return the advice on the ``ticked`` signs (ids of `SIGNS`); None when none is ticked.

    ``present`` are the circumstances that hold, id of `CIRCUMSTANCES` to the sentence said;
    see `circumstances`. Unknown ids are left out of account.
    """
    rows = [sign for sign in SIGNS if sign.id in ticked]
    if not rows:
        return None
    known = present or {}
    rules = [rule for rule in RULES if rule.met(ticked, known)]
    met: list[Sign | Rule] = [*rows, *rules]
    holding = [c for c in CIRCUMSTANCES if c.id in known]
    lifted = [(row, _lifted(row, holding)) for row in met]
    urgency = max(level for _, level in lifted)
    unlifted = [rule.urgency for rule in rules if not rule.during]
    plain = max([*unlifted, *(sign.urgency for sign in rows)])
    because = tuple(row for row, level in lifted if level == urgency)
    causes = sorted(lifted, key=lambda pair: -pair[1])
    could_be = dict.fromkeys(COULD_BE[row.could_be] for row, _ in causes if row.could_be)
    touched = {row.could_be for row in met}
    awaited = frozenset().union(*(rule.during for rule in rules))
    return Advice(
        urgency=urgency,
        raised=urgency > plain,
        could_be=tuple(could_be),
        do=DO[urgency][1:] + tuple(dict.fromkeys(row.do for row in because if row.do)),
        calls_emergency=urgency is Urgency.EMERGENCY,
        circumstances=tuple(known[c.id] for c in holding if c.lifts & touched or c.id in awaited),
        because=because,
    )


def _lifted(row: Sign | Rule, holding: Collection[Circumstance]) -> Urgency:
    """One step up, for a call to the clinic only: the emergency has to be seen, not inferred."""
    lifts = any(row.could_be in circumstance.lifts for circumstance in holding)
    if lifts and Urgency.CLINIC <= row.urgency < Urgency.NOW:
        return Urgency(row.urgency + 1)
    return row.urgency


def circumstances(
    outlook: Outlook | None,
    *,
    hours_since: Mapping[str, float],
    injury_t6: bool = False,
    days_since_implant: int | None = None,
) -> dict[str, str]:
    """Return the circumstances that hold, id of `CIRCUMSTANCES` to the sentence to say.

    ``hours_since`` maps "scan", "surgery" and "missed refill" to the hours since the last
    one; ``days_since_implant`` is None when the day is not known.
    """
    found: dict[str, str] = {}
    for what, said in (
        ("scan", worded("You had a scan less than 72 hours ago.")),
        ("surgery", worded("You had surgery less than 72 hours ago.")),
        ("missed refill", worded("A refill was missed less than 72 hours ago.")),
    ):
        if 0 <= hours_since.get(what, -1) <= HIGH_RISK_HOURS:
            found[what] = said
    if injury_t6:
        found["T6"] = worded("Your injury is at T6 or above.")
    if days_since_implant is not None and 0 <= days_since_implant <= FIRST_MONTHS_DAYS:
        found["new pump"] = worded("The pump was put in less than two months ago.")
    if outlook is not None:
        found |= _of_outlook(outlook)
    return found


def _of_outlook(outlook: Outlook) -> dict[str, str]:
    found: dict[str, str] = {}
    since = outlook.now - outlook.fill.at
    if since <= timedelta(hours=HIGH_RISK_HOURS):
        found["refill"] = worded("The last refill was less than 72 hours ago.")
    elif outlook.now.date() > outlook.drug_age_limit_at.date():
        found["old drug"] = worded(
            "The last refill was {days} days ago, past its limit.", days=since.days
        )
    if _raised_lately(outlook):
        found["raised dose"] = worded("The dose was raised less than 72 hours ago.")
    if outlook.state == "stopped":
        found["stopped"] = worded("The pump is noted as stopped.")
        return found
    days = outlook.days_to_alarm
    if outlook.state in ("empty", "alarm") or (days is not None and days < 0):
        found["alarm date"] = worded("The alarm date is past by these numbers.")
    elif days is not None and days <= NEAR_ALARM_DAYS:
        found["alarm date"] = (
            worded_count(
                "The alarm date is near: {count} day left.",
                "The alarm date is near: {count} days left.",
                days,
            )
            if days
            else worded("The alarm date is near: less than a day left.")
        )
    pump = outlook.situation.pump
    felt = pump.felt_low_ml or 0.0
    if outlook.volume_now_ml <= max(pump.alarm_volume_ml + FELT_ABOVE_ALARM_ML, felt):
        found["low volume"] = worded(
            "The pump is low: about {volume} mL left.",
            volume=format_number(outlook.volume_now_ml, 1),
        )
    return found


def _raised_lately(outlook: Outlook) -> bool:
    known = sorted(
        (s for s in outlook.situation.settings if s.at <= outlook.now), key=lambda s: s.at
    )
    return any(
        after.programme.dose_mcg_per_day > before.programme.dose_mcg_per_day
        and outlook.now - after.at <= timedelta(hours=HIGH_RISK_HOURS)
        for before, after in pairwise(known)
    )
