"""What the diary says, as lines for the clinic sheet: short, and of how many days."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime, tzinfo
from statistics import median
from typing import Any

from pocketpump.core.diary.response import Response
from pocketpump.core.diary.verdict import UNJUDGED
from pocketpump.core.messages import joined, message, plural_message
from pocketpump.core.pump.situation import Situation
from pocketpump.core.safety.signs import sign_words
from pocketpump.core.units.instants import local_date
from pocketpump.core.units.quantity import format_number
from pocketpump.record.entry.entries import Entry
from pocketpump.record.facts.findings import findings_of

_FEWEST_CHANGES = 3
_NOT_THE_CAUSE = message(
    "Each change: what came after it by the person's own scores, not that the change was the cause."
)


def check_in_lines(check_ins: Sequence[Entry]) -> tuple[str, ...]:
    """Return the scores and the signs ticked in one line; no line without a check-in."""
    payloads: list[Mapping[str, Any]] = [entry.payload for entry in check_ins]
    if not payloads:
        return ()
    scores = [float(payload["stiffness"]) for payload in payloads]
    text = plural_message(
        "{count} check-in, stiffness {lowest} to {highest} of 10, middle {middle}.",
        "{count} check-ins, stiffness {lowest} to {highest} of 10, middle {middle}.",
        len(scores),
        lowest=format_number(min(scores), 1),
        highest=format_number(max(scores), 1),
        middle=format_number(median(scores), 1),
    )
    ticked = dict.fromkeys(w for payload in payloads for w in payload.get("worries", ()))
    if not ticked:
        return (text,)
    return (joined(" ", (text, message("Signs ticked: {signs}.", signs=sign_words(ticked)))),)


def diary_lines(
    entries: Iterable[Entry], situation: Situation, now: datetime, zone: tzinfo, first: date
) -> tuple[str, ...]:
    """Return what the diary says at ``now``: changes, today, drift, hours; none without check-ins.

    Of the changes those from ``first`` on (days of ``zone``) stand, at least the newest three;
    how many earlier ones there are is said.
    """
    found = findings_of(entries, situation, now.astimezone(zone))
    if not found.check_ins:
        return ()
    pairs = list(zip(found.responses, found.spasm_responses, strict=True))
    lately = sum(local_date(one.setting.at, zone) >= first for one in found.responses)
    kept = pairs[-max(lately, _FEWEST_CHANGES) :]
    lines = [_change(*pair) for pair in reversed(kept)]
    left_out = len(pairs) - len(kept)
    if left_out:
        lines.append(
            plural_message(
                "{count} earlier change is not listed here; the app has them all.",
                "{count} earlier changes are not listed here; the app has them all.",
                left_out,
            )
        )
    if pairs:
        lines.append(_NOT_THE_CAUSE)
    lines += [found.sudden.sentence, found.drift.sentence]
    if found.hours is not None:
        lines.append(found.hours.sentence)
    return tuple(lines)


def _change(stiffness: Response, spasms: Response) -> str:
    told = [stiffness.sentence, *stiffness.cautions]
    # Spasms are asked for less often: nothing is said of them until there is something to say.
    if spasms.verdict not in UNJUDGED:
        told += [spasms.sentence, *spasms.cautions]
    if stiffness.also and (stiffness.shift is not None or spasms.shift is not None):
        told.append(stiffness.also)
    return joined(" ", dict.fromkeys(told))
