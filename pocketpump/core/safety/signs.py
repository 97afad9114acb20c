"""Warning signs: what is ticked, how urgent it is at worst, and what to do.

Tables, not branches: `sign_table` holds the signs, `sign_rules` what is worse together or now;
this module only takes the worst. Adding a sign or a circumstance can therefore never make the
answer less urgent. Nothing here is a diagnosis; the words are "could be".
"""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from pocketpump.core.messages import joined
from pocketpump.core.safety.sign_rules import (
    CIRCUMSTANCES,
    DROWSY_OR_FITTING,
    IN_DOUBT,
    LATELY_MORE,
    MEANS,
    NO_DELIVERY,
    RULES,
    Circumstance,
    Rule,
)
from pocketpump.core.safety.sign_table import (
    CORD,
    COULD_BE,
    DO,
    DO_WHILE_CLOSED,
    ELSE,
    ON_THE_SIDE,
    SIGNS,
    TOO_LITTLE,
    TOO_MUCH,
    UNANSWERED,
    UNTIL_HELP,
    WHY_EMERGENCY_FIRST,
    Sign,
    Urgency,
)

_WORDS = {sign.id: sign.words for sign in SIGNS}


@dataclass(frozen=True, slots=True)
class Advice:
    """The answer to what is ticked.

    ``raised`` says that a circumstance made it more urgent; ``could_be`` are the possible
    causes, the likeliest and worst first; ``do`` the headline's sentences of what to do;
    ``unanswered`` what to do when nobody answers or the clinic is closed, "" for nothing;
    ``until_help`` the first steps until help is there, from "now" on; ``calls_emergency`` whether
    the emergency number comes before the clinic's, and ``why_emergency`` why it does although
    the signs ask for the clinic, or ""; ``circumstances`` what of the situation was taken into
    account; ``because`` the rows that decided, with their source.
    """

    urgency: Urgency
    headline: str
    raised: bool
    could_be: tuple[str, ...]
    do: tuple[str, ...]
    unanswered: str
    until_help: tuple[str, ...]
    calls_emergency: bool
    why_emergency: str
    circumstances: tuple[str, ...]
    because: tuple[Sign | Rule, ...]


def sign_words(ids: Iterable[object]) -> str:
    """Return the signs in words, one after the other; an id not known stands as it is."""
    return joined("; ", (_WORDS.get(str(one), str(one)) for one in ids))


def assess(
    ticked: Collection[str],
    present: Mapping[str, str] | None = None,
    *,
    clinic_open: bool | None = None,
) -> Advice | None:
    """Return the advice on the ``ticked`` signs (ids of `SIGNS`); None when none is ticked.

    ``present`` are the circumstances that hold, id of `CIRCUMSTANCES` to the sentence said; see
    `circumstances`. ``clinic_open`` is False while the clinic is noted as closed, None when
    nobody noted its hours. Unknown ids are left out of account.
    """
    rows = [sign for sign in SIGNS if sign.id in ticked]
    if not rows:
        return None
    known = present or {}
    # Ticked now counts as much as noted before; it needs no sentence, for it is in sight.
    holding = {*known, *(MEANS[sign.id] for sign in rows if sign.id in MEANS)}
    # A rule knows more than its signs alone, so its causes come before theirs.
    met: list[Sign | Rule] = [*(rule for rule in RULES if rule.met(ticked, holding)), *rows]
    lifting = [c for c in CIRCUMSTANCES if c.id in holding]
    levels = [(row, _lifted(row, lifting)) for row in met]
    urgency = max(level for _, level in levels)
    plain = max(row.urgency for row in met if isinstance(row, Sign) or not row.during)
    because = tuple(row for row, level in levels if level == urgency)
    causes = _causes(levels, known)
    awaited = frozenset().union(*(row.during for row in met if isinstance(row, Rule)))
    counted = [c for c in lifting if c.id in awaited or c.lifts.intersection(causes)]
    while_closed = urgency is Urgency.NOW and clinic_open is False
    headline, *level_do = DO_WHILE_CLOSED if while_closed else DO[urgency]
    return Advice(
        urgency=urgency,
        headline=headline,
        raised=urgency > plain,
        could_be=tuple(COULD_BE[cause] for cause in causes),
        do=tuple(dict.fromkeys([*level_do, *(row.do for row in because if row.do)])),
        unanswered=UNANSWERED[urgency][clinic_open is False],
        until_help=_until_help(urgency, ticked),
        calls_emergency=while_closed or urgency is Urgency.EMERGENCY,
        why_emergency=WHY_EMERGENCY_FIRST if while_closed else "",
        circumstances=tuple(known[c.id] for c in counted if c.id in known),
        because=because,
    )


def _lifted(row: Sign | Rule, lifting: Collection[Circumstance]) -> Urgency:
    """Return the row's urgency, one step up if a circumstance lifts its likeliest cause."""
    if isinstance(row, Rule) and row.is_of_the_time:
        return row.urgency
    tops = [c.up_to for c in lifting if c.lifts.intersection(row.could_be[:1])]
    if tops and Urgency.CLINIC <= row.urgency < max(tops):
        return Urgency(row.urgency + 1)
    return row.urgency


def _causes(
    levels: Collection[tuple[Sign | Rule, Urgency]], holding: Collection[str]
) -> tuple[str, ...]:
    """Return the possible causes: the worst row's first, of those the likelier one first."""
    worst: dict[str, Urgency] = {}
    for row, level in levels:
        for cause in row.could_be:
            worst[cause] = max(level, worst.get(cause, level))
    likelier = _likelier(holding)
    found = sorted(worst, key=lambda cause: (-worst[cause], likelier.get(cause, len(likelier))))
    if max(worst.values()) >= Urgency.NOW and ELSE not in found:
        found.append(ELSE)
    return tuple(found)


def _likelier(holding: Collection[str]) -> dict[str, int]:
    """Return the causes that the circumstances make likelier, each with its place in line."""
    line: list[str] = []
    if "T6" in holding:
        line.append(CORD)
    if not NO_DELIVERY.isdisjoint(holding):
        line += [TOO_LITTLE]
    elif not LATELY_MORE.isdisjoint(holding):
        line += [TOO_MUCH] if IN_DOUBT.isdisjoint(holding) else [TOO_MUCH, TOO_LITTLE]
    elif not IN_DOUBT.isdisjoint(holding):
        line += [TOO_LITTLE]
    if "sedatives" in holding:
        line.append(TOO_MUCH)
    return {cause: place for place, cause in enumerate(dict.fromkeys(line))}


def _until_help(urgency: Urgency, ticked: Collection[str]) -> tuple[str, ...]:
    if urgency < Urgency.NOW:
        return ()
    drowsy = () if DROWSY_OR_FITTING.isdisjoint(ticked) else (ON_THE_SIDE,)
    return (*drowsy, *UNTIL_HELP)
