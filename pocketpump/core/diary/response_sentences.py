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
from pocketpump.core.messages import LazyText, message

UNJUDGED: Mapping[str, LazyText] = {
    SETTLING: message(
        "{what} is still settling: too soon to say. It can be judged on {judged}, if {needed} days"
        " or more are noted by then."
    ),
    TOO_SOON: message(
        "{what}: too soon to say. It can be judged on {judged}, if {needed} days or more are noted"
        " by then; so far it is {noted}."
    ),
    OTHER_HOURS: message(
        "{what}: noted at other hours or on other days than before, so nothing can be compared."
    ),
}
CLEAR: Mapping[tuple[str, str], LazyText] = {
    (STIFFNESS, LOWER): message(
        "{after} stiffness was lower by about {points}, likely {nearest} to {farthest} {counts}."
    ),
    (STIFFNESS, HIGHER): message(
        "{after} stiffness was higher by about {points}, likely {nearest} to {farthest} {counts}."
    ),
    (SPASMS, LOWER): message(
        "{after} spasms were lower by about {points}, likely {nearest} to {farthest} {counts}."
    ),
    (SPASMS, HIGHER): message(
        "{after} spasms were higher by about {points}, likely {nearest} to {farthest} {counts}."
    ),
}
UNCLEAR_BY_BOUNDS: Mapping[tuple[str, bool, bool], LazyText] = {
    (STIFFNESS, True, True): message(
        "{after} there is no clear change in stiffness: it may be"
        " up to {lower} lower or up to {higher} higher, or the same {counts}."
    ),
    (STIFFNESS, True, False): message(
        "{after} there is no clear change in stiffness: it may be"
        " up to {lower} lower, or the same {counts}."
    ),
    (STIFFNESS, False, True): message(
        "{after} there is no clear change in stiffness: it may be"
        " up to {higher} higher, or the same {counts}."
    ),
    (STIFFNESS, False, False): message("{after} there is no clear change in stiffness {counts}."),
    (SPASMS, True, True): message(
        "{after} there is no clear change in spasms: it may be"
        " up to {lower} lower or up to {higher} higher, or the same {counts}."
    ),
    (SPASMS, True, False): message(
        "{after} there is no clear change in spasms: it may be"
        " up to {lower} lower, or the same {counts}."
    ),
    (SPASMS, False, True): message(
        "{after} there is no clear change in spasms: it may be"
        " up to {higher} higher, or the same {counts}."
    ),
    (SPASMS, False, False): message("{after} there is no clear change in spasms {counts}."),
}
"""By scale, and by whether lower and higher may be."""


MOVING: Mapping[tuple[str, str], LazyText] = {
    (STIFFNESS, ALREADY_FALLING): message(
        "{after} stiffness was lower, but it was already falling before. So it cannot be told"
        " whether it would have been lower anyway {counts}."
    ),
    (STIFFNESS, ALREADY_RISING): message(
        "{after} stiffness was higher, but it was already rising before. So it cannot be told"
        " whether it would have been higher anyway {counts}."
    ),
    (SPASMS, ALREADY_FALLING): message(
        "{after} spasms were lower, but they were already falling before. So it cannot be told"
        " whether they would have been lower anyway {counts}."
    ),
    (SPASMS, ALREADY_RISING): message(
        "{after} spasms were higher, but they were already rising before. So it cannot be told"
        " whether they would have been higher anyway {counts}."
    ),
}
