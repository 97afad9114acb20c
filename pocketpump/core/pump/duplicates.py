"""The sentences about what was noted twice: a refill, or a dose setting."""

from collections.abc import Iterator
from itertools import pairwise

from pocketpump.core.errors import Problem
from pocketpump.core.messages import localized_number, message
from pocketpump.core.pump.same_refill import agree
from pocketpump.core.pump.situation import Situation
from pocketpump.core.pump.timeline import Fill, Setting, minute_of
from pocketpump.core.units.instants import date_text


def duplicate_problems(situation: Situation) -> tuple[Problem, ...]:
    """Return what was noted twice: each note of a refill after its first, and dose settings.

    Of dose settings for one minute only the last counts; two that say the same are no trouble.
    """
    found = [
        duplicate_problem(first, second)
        for notes in situation.refills_noted_twice
        for first, second in pairwise(notes)
    ]
    settings = tuple(
        one.id
        for one in situation.noted_twice
        if isinstance(one, Setting) and situation.programme_at(one.at) != one.programme
    )
    if settings:
        sentence = message(
            "Two dose settings are noted for the same minute and only the one noted last counts:"
            " look at both, and correct the time of one of them."
        )
        found.append(Problem("setting-twice", sentence, settings))
    return (*found, *_of_one_visit(situation))


def _of_one_visit(situation: Situation) -> Iterator[Problem]:
    """Yield the dose settings made with the notes of one refill, where they do not agree."""
    for notes in situation.refills_noted_twice:
        minutes = {minute_of(note.at) for note in notes}
        made = [one for one in situation.settings if minute_of(one.at) in minutes]
        if any(one.programme != other.programme for one, other in pairwise(made)):
            sentence = message(
                "Two dose settings are noted with the refill of {day} and do not agree, so the"
                " earlier dates are told: look at both, and remove the wrong one.",
                day=date_text(notes[-1].at.date()),
            )
            yield Problem("setting-twice", sentence, tuple(one.id for one in made))


def duplicate_problem(first: Fill, second: Fill) -> Problem:
    """Return what to say of two notes of one refill."""
    day, ids = date_text(second.at.date()), (first.id, second.id)
    if agree((first, second)):
        sentence = message(
            "Two refills on {day} have the same volume and strength: if it was one, noted twice,"
            " open one of them under Refills and remove it.",
            day=day,
        )
    else:
        sentence = message(
            "Two refills on {day} do not agree ({first} and {second}) and cannot both be right, so"
            " the earlier dates are told: open the wrong one under Refills and remove it.",
            day=day,
            first=_amounts(first),
            second=_amounts(second),
        )
    return Problem("twin-refills", sentence, ids)


def _amounts(fill: Fill) -> str:
    return message(
        "{volume} mL of {strength} mcg/mL",
        volume=localized_number(f"{fill.volume_ml:g}"),
        strength=localized_number(f"{fill.strength_mcg_per_ml:g}"),
    )
