"""What a chart is made of: axes with their range and ticks, panels, and the marks in them."""

from collections.abc import Sequence
from dataclasses import dataclass, fields, is_dataclass, replace
from math import ceil, floor, log10
from typing import Any, TypeVar

from pocketpump.core.messages import LazyText, Locale, localized_number, text_in

FULL, PALE, OPEN = "full", "pale", "open"
"""How a dot is drawn: it counts, it does not, it counts less than the others."""
_NOTHING = 1e-9
"""No measure of a person is as small as this; a power of ten below it would vanish."""

Said = TypeVar("Said")


@dataclass(frozen=True, slots=True)
class Axis:
    """Values from ``low`` to ``high``; ``ticks`` are (value, words)."""

    low: float
    high: float
    ticks: tuple[tuple[float, str], ...] = ()

    def share(self, value: float) -> float:
        """Return where ``value`` stands, 0 at the low end and 1 at the high; outside at an end."""
        return min(max((value - self.low) / (self.high - self.low), 0.0), 1.0)


@dataclass(frozen=True, slots=True)
class Range:
    """The lowest, the middle and the highest of what was noted around ``x``, ``width`` wide."""

    x: float
    width: float
    low: float
    middle: float
    high: float


@dataclass(frozen=True, slots=True)
class Line:
    """A line through ``points``, in order of x; ``filled`` down to the axis, or ``dashed``."""

    points: tuple[tuple[float, float], ...]
    filled: bool = False
    dashed: bool = False


@dataclass(frozen=True, slots=True)
class Dots:
    """Single values; ``how`` is `FULL`, `PALE` or `OPEN`."""

    points: tuple[tuple[float, float], ...]
    how: str = FULL


@dataclass(frozen=True, slots=True)
class Band:
    """What lies between two values of either axis; ``strong`` gives it an outline."""

    left: float
    right: float
    low: float
    high: float
    strong: bool = False


@dataclass(frozen=True, slots=True)
class Note:
    """Words over the point (``x``, ``y``), in their middle or, with ``begins``, from there on."""

    x: float
    y: float
    text: str
    bold: bool = False
    begins: bool = False


Mark = Range | Line | Dots | Band | Note


@dataclass(frozen=True, slots=True)
class Panel:
    """One value over the chart's x; ``weight`` is its height beside that of other panels.

    The marks are drawn in the order given, over the lines of the axis.
    """

    title: str
    y: Axis
    marks: tuple[Mark, ...]
    weight: float = 1.0


@dataclass(frozen=True, slots=True)
class Chart:
    """Panels under each other over one x.

    ``cuts`` are dashed through all of them, ``over`` are marked above the first, ``under`` below
    the last; ``spoken`` says in words what is to be seen, ``key`` what the signs mean.
    """

    x: Axis
    panels: tuple[Panel, ...]
    spoken: str
    key: str = ""
    cuts: tuple[float, ...] = ()
    over: tuple[float, ...] = ()
    under: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Interval:
    """A shift with its interval; ``clear`` when it may be claimed, ``words`` say it."""

    low: float
    points: float
    high: float
    clear: bool
    words: str


@dataclass(frozen=True, slots=True)
class ShiftAxis:
    """The axis under the shifts of one score; ``less`` and ``more`` stand at its ends."""

    title: str
    x: Axis
    less: str
    more: str


@dataclass(frozen=True, slots=True)
class ShiftRow:
    """What one change was followed by, an interval or None for each axis of `Shifts`.

    ``label`` is when, ``detail`` from what to what, ``counts`` of how many days; ``instead`` is
    said where there is no number at all, ``note`` what else happened in that time. ``cautions`` are
    the numbers of those of `Shifts` that belong to it.
    """

    label: str
    detail: str
    intervals: tuple[Interval | None, ...]
    counts: str
    instead: str = ""
    note: str = ""
    cautions: str = ""


@dataclass(frozen=True, slots=True)
class Shifts:
    """What changes were followed by, newest first, on common axes.

    ``cautions`` belong in sight beside the rows that carry their numbers, counted from 1.
    """

    axes: tuple[ShiftAxis, ...]
    rows: tuple[ShiftRow, ...]
    cautions: tuple[str, ...]
    spoken: str


Picture = Chart | Shifts


def round_top(values: Sequence[float]) -> float:
    """Return the least round number (1, 1.5, 2, 3 … times a power of ten) at or above them all."""
    most = max((*values, 0.0))
    if most < _NOTHING:
        return 1.0
    power = 10.0 ** floor(log10(most))
    return next(
        step * power for step in (1, 1.5, 2, 3, 4, 5, 6, 8, 10) if step * power >= most * (1 - 1e-9)
    )


def thinned(count: int, most: int) -> int:
    """Return how many neighbours to put together so that at most ``most`` groups are left."""
    return max(1, ceil(count / most))


def scale_of(*values: float) -> Axis:
    """Return an axis of values from the first to the last of ``values``, a tick at each."""
    return Axis(values[0], values[-1], tuple((v, localized_number(f"{v:g}")) for v in values))


def said_in(thing: Said, locale: Locale | None) -> Said:
    """Return ``thing`` (a dataclass, a tuple, a text …) with every text in it in ``locale``."""
    told: Any = thing
    if isinstance(told, LazyText):
        return text_in(told, locale)  # type: ignore[return-value]
    if isinstance(told, tuple):
        return tuple(said_in(one, locale) for one in told)  # type: ignore[return-value]
    if is_dataclass(told) and not isinstance(told, type):
        values = {one.name: said_in(getattr(told, one.name), locale) for one in fields(told)}
        return replace(told, **values)  # type: ignore[return-value]
    return thing
