"""The sentences that say what came after a change: by scale and by verdict.

``{after}`` is like "After the change of Wed 4 Feb 2026", ``{what}`` like "The change of Wed 4 Feb
2026". They say what came after, never what came of it.
"""

from collections.abc import Mapping

from pocketpump.core.diary.check_ins import SPASMS, STIFFNESS
from pocketpump.core.diary.verdict import (
    ALREADY_FALLING,
    ALREADY_RISING,
    HIGHER,
    LOWER,
    OTHER_HOURS,
    SETTLING,
    TOO_SOON,
)
from pocketpump.core.messages import Said, worded

UNJUDGED: Mapping[str, Said] = {
    SETTLING: worded(
        "{what} is still settling: too soon to say. It can be judged on {judged}, if {needed} days"
        " or more are noted by then."
    ),
    TOO_SOON: worded(
        "{what}: too soon to say. It can be judged on {judged}, if {needed} days or more are noted"
        " by then; so far it is {noted}."
    ),
    OTHER_HOURS: worded(
        "{what}: noted at other hours or on other days than before, so nothing can be compared."
    ),
}
CLEAR: Mapping[tuple[str, str], Said] = {
    (STIFFNESS, LOWER): worded(
        "{after} stiffness was lower by about {points}, likely {nearest} to {farthest} {counts}."
    ),
    (STIFFNESS, HIGHER): worded(
        "{after} stiffness was higher by about {points}, likely {nearest} to {farthest} {counts}."
    ),
    (SPASMS, LOWER): worded(
        "{after} spasms were lower by about {points}, likely {nearest} to {farthest} {counts}."
    ),
    (SPASMS, HIGHER): worded(
        "{after} spasms were higher by about {points}, likely {nearest} to {farthest} {counts}."
    ),
}
UNCLEAR_BY_BOUNDS: Mapping[tuple[str, bool, bool], Said] = {
    (STIFFNESS, True, True): worded(
        "{after} there is no clear change in stiffness: it may be"
        " up to {lower} lower or up to {higher} higher, or the same {counts}."
    ),
    (STIFFNESS, True, False): worded(
        "{after} there is no clear change in stiffness: it may be"
        " up to {lower} lower, or the same {counts}."
    ),
    (STIFFNESS, False, True): worded(
        "{after} there is no clear change in stiffness: it may be"
        " up to {higher} higher, or the same {counts}."
    ),
    (STIFFNESS, False, False): worded("{after} there is no clear change in stiffness {counts}."),
    (SPASMS, True, True): worded(
        "{after} there is no clear change in spasms: it may be"
        " up to {lower} lower or up to {higher} higher, or the same {counts}."
    ),
    (SPASMS, True, False): worded(
        "{after} there is no clear change in spasms: it may be"
        " up to {lower} lower, or the same {counts}."
    ),
    (SPASMS, False, True): worded(
        "{after} there is no clear change in spasms: it may be"
        " up to {higher} higher, or the same {counts}."
    ),
    (SPASMS, False, False): worded("{after} there is no clear change in spasms {counts}."),
}
"""By scale, and by whether lower and higher may be."""


MOVING: Mapping[tuple[str, str], Said] = {
    (STIFFNESS, ALREADY_FALLING): worded(
        "{after} stiffness was lower, but it was already falling before. So it cannot be told"
        " whether it would have been lower anyway {counts}."
    ),
    (STIFFNESS, ALREADY_RISING): worded(
        "{after} stiffness was higher, but it was already rising before. So it cannot be told"
        " whether it would have been higher anyway {counts}."
    ),
    (SPASMS, ALREADY_FALLING): worded(
        "{after} spasms were lower, but they were already falling before. So it cannot be told"
        " whether they would have been lower anyway {counts}."
    ),
    (SPASMS, ALREADY_RISING): worded(
        "{after} spasms were higher, but they were already rising before. So it cannot be told"
        " whether they would have been higher anyway {counts}."
    ),
}
