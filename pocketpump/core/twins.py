"""What was noted twice: one refill, as on two phones whose copies were merged; a dose setting."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import islice, pairwise, product

from pocketpump.core.errors import Problem
from pocketpump.core.instants import date_text
from pocketpump.core.one_refill import agree
from pocketpump.core.situation import Situation
from pocketpump.core.timeline import Fill, Setting, Timeline
from pocketpump.core.timeline_walk import build_timeline
from pocketpump.core.wording import number_said, worded

# Refills noted twice are told until one note is removed, so there are few: four of two notes each.
_MOST_WAYS = 81


def twice_problems(situation: Situation) -> tuple[Problem, ...]:
    """Return what was noted twice: each note of a refill after its first, and dose settings.

    Of dose settings for one minute only the last counts; two that say the same are no trouble.
    """
    found = [
        twin_problem(first, second)
        for fill in situation.fills
        for first, second in pairwise(situation.notes_of(fill))
    ]
    settings = tuple(
        one.id
        for one in situation.noted_twice
        if isinstance(one, Setting) and situation.programme_at(one.at) != one.programme
    )
    if settings:
        sentence = worded(
            "Two dose settings are noted for the same minute and only the one noted last counts:"
            " look at both, and correct the time of one of them."
        )
        found.append(Problem("setting-twice", sentence, settings))
    return tuple(found)


def twin_problem(first: Fill, second: Fill) -> Problem:
    """Return what to say of two notes of one refill."""
    day, ids = date_text(second.at.date()), (first.id, second.id)
    if agree((first, second)):
        sentence = worded(
            "Two refills on {day} have the same volume and strength: if it was one, noted twice,"
            " open one of them under Refills and remove it.",
            day=day,
        )
    else:
        sentence = worded(
            "Two refills on {day} do not agree ({first} and {second}) and cannot both be right, so"
            " the earlier dates are told: open the wrong one under Refills and remove it.",
            day=day,
            first=_amounts(first),
            second=_amounts(second),
        )
    return Problem("twin-refills", sentence, ids)


def _amounts(fill: Fill) -> str:
    return worded(
        "{volume} mL of {strength} mcg/mL",
        volume=number_said(f"{fill.volume_ml:g}"),
        strength=number_said(f"{fill.strength_mcg_per_ml:g}"),
    )


def doubted(situation: Situation, settings: Sequence[Setting]) -> Iterator[Timeline]:
    """Yield the timelines there may be besides, where a refill was noted twice.

    How much of such a fill was delivered, and of the one before, depends on which note is right.
    """
    notes = {fill: situation.notes_of(fill) for fill in situation.fills}
    # Notes that disagree vary first, then the newest.
    by_doubt = sorted(situation.fills, key=lambda fill: not agree(notes[fill]))
    may_be = [
        (fill, *(_as_in(fill, note) for note in notes[fill] if len(notes[fill]) > 1))
        for fill in by_doubt
    ]
    for way in islice(product(*may_be), 1, _MOST_WAYS):
        line, _ = build_timeline(way, settings, situation.pump.line_volume_ml)
        yield line


def _as_in(fill: Fill, note: Fill) -> Fill:
    return replace(fill, at=note.at, volume_ml=note.volume_ml, bridged=note.bridged,
                   strength_mcg_per_ml=note.strength_mcg_per_ml)  # fmt: skip
