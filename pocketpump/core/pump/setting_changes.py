"""Which dose settings change what is delivered, and whether it is less."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import pairwise

from pocketpump.core.pump.programme import Programme
from pocketpump.core.pump.timeline import Setting

_AS_WRITTEN = 0.005
"""Doses closer than this share are one dose, written another way (own rule; no source): over a
fill of two months it moves a date by less than eight hours."""


@dataclass(frozen=True, slots=True)
class SettingChange:
    """The setting ``after`` delivers something else than ``before``, the one that ran until it."""

    before: Setting
    after: Setting

    @property
    def at(self) -> datetime:
        """The instant of the change."""
        return self.after.at

    @property
    def is_raise(self) -> bool:
        """Whether more a day is delivered than before."""
        return delivers_less(self.before.programme, self.after.programme)


def delivers_less(programme: Programme, than: Programme) -> bool:
    """Tell whether ``programme`` delivers less a day ``than`` the other, beyond how it is written.

    The same rate as it is printed by the hour and by the day differs in its last digit.
    """
    return programme.dose_mcg_per_day < than.dose_mcg_per_day * (1 - _AS_WRITTEN)


def changes_among(settings: Sequence[Setting]) -> tuple[SettingChange, ...]:
    """Return every change among ``settings``, which stand in order of time (`in_order`).

    The first setting is none, and neither is what delivers the same as the one before: the same
    programme noted again, or under another clock of the pump.
    """
    return tuple(
        SettingChange(before, after)
        for before, after in pairwise(settings)
        if _delivered(before.programme) != _delivered(after.programme)
    )


def _delivered(programme: Programme) -> Programme:
    """Return ``programme`` as it matters for a change: without its clock, and without idle steps.

    The pump's clock only says how its hours lie on the wall.
    """
    days = tuple(
        (day[0], *(b for a, b in pairwise(day) if a.rate_mcg_per_hour != b.rate_mcg_per_hour))
        for day in programme.days
    )
    return replace(programme, days=days, clock_offset_minutes=0)
