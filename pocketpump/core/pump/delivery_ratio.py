"""What this pump has taught: its delivery ratio, and the window that follows from it.

The model. A pump delivers ρ times what it is told, and each fill a little more or less than that.
Before any refill is known, ρ is normal around 1, wider than the flow accuracy says. Each refill
shows ρ once, blurred by how that fill was off and by how two volumes were read. With a normal
prior and normal noise the posterior is normal too, in closed form. A reservoir found dry shows
only that ρ was at least what was there ÷ what was asked for
(`pocketpump.core.statistics.censored`).

A reading is off by what is new each time and by what all readings share (a syringe, what stays in
the reservoir), each up to the reading error. What they share looks like another ratio, however
many refills there are. So it is not averaged away: it counts in full in the window of each fill.

The alarm comes when ρ x pumped - ε has reached fill - alarm volume, with ρ that of this fill and
ε how this fill was read. For a fixed pumped volume the left side is normal, so the probability that
the alarm has come is one value of the normal distribution, and the ends of the band are the roots
of one quadratic equation (Fieller 1954, J. R. Stat. Soc. B 16:175).

More delivered never makes a date later. What a lesson weighs does not depend on what it says: to
believe the far ones less, or to leave them out, would let a pump that delivers far too much wait
longer than one that delivers a little too much. Only far too little is held back, to the slow edge
of what a refill may show: that is a fault or a slip rather than a pace, and must not put dates off.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise
from math import hypot, inf, sqrt

from pocketpump.core.pump.timeline import Timeline
from pocketpump.core.statistics.censored import AtLeast, given_at_least
from pocketpump.core.units.instants import to_seconds

# The two-sided 95 % point of the normal distribution, and what is beyond it on each side.
Z95 = 1.959963984540054
_TAIL = 0.025
# Volumes are read from syringe marks: no reading is better than this (own default, no source).
_LEAST_READING_ERROR_ML = 0.1
# A flow accuracy finer than this is none at all: its square would vanish.
_LEAST_SPREAD = 1e-9
# Before a refill is known the flow accuracy counts so many times as wide: at the usual 14.5 % a
# pump that delivers 1.20 of what it is told is then inside of the first window (own rule, on the
# safe side; no source; measured by tests/core/refill_simulation.py).
WIDER = 1.6
# The standard deviation from fill to fill, as a share of the flow accuracy: about 3 % at the usual
# 14.5 % (own rule, on the safe side; no source).
_BETWEEN_FILLS = 0.2


# So little cannot be told from nothing at all: half a mark of a 20 mL syringe, the usual reading
# error (own rule, no source).
_DRY_ML = 0.5


def is_dry(withdrawn_ml: float) -> bool:
    """Return whether a reservoir from which so much was withdrawn was empty when it was opened.

    How long it had been is not known, so what it delivered is "at least this much".
    """
    return withdrawn_ml <= _DRY_ML


@dataclass(frozen=True, slots=True)
class Residual:
    """One refill's lesson: ``filled_ml`` before, ``expected_ml`` and ``withdrawn_ml`` at its end.

    ``expected_ml`` is below ``filled_ml``: something was meant to be delivered; below zero, more
    than there was. ``id`` is the entry of the refill at which it was withdrawn.
    """

    filled_ml: float
    expected_ml: float
    withdrawn_ml: float
    id: str = ""

    @property
    def intended_ml(self) -> float:
        """What the pump was told to deliver, mL."""
        return self.filled_ml - self.expected_ml

    @property
    def ratio(self) -> float:
        """Delivered ÷ intended; of a reservoir found dry, what it was at least."""
        return (self.filled_ml - self.withdrawn_ml) / self.intended_ml

    @property
    def found_dry(self) -> bool:
        """Whether nothing was left, so that it is a lesson of "at least this much" alone."""
        return is_dry(self.withdrawn_ml)

    @property
    def shows_ratio(self) -> bool:
        """Whether what was left says what was delivered.

        It does not when the reservoir was dry, nor when more was asked for than there was: a pump
        with a little left then may have stopped for that.
        """
        return self.expected_ml >= 0 and not self.found_dry


@dataclass(frozen=True, slots=True)
class DeliveryRatio:
    """What is known of ρ: its ``mean`` and its 95 % from ``low`` to ``high``.

    From ``counted`` refills; ``dry`` more showed only that it is at least so much.
    ``between_fills`` and ``shared`` are the standard deviations of a single fill around ρ, and of
    what the readings of these refills share. ``far_more`` and ``far_less`` are the ids of refills
    that showed more, or less, than a pump of this flow accuracy should; less is held back.
    """

    mean: float
    low: float
    high: float
    between_fills: float = 0.0
    shared: float = 0.0
    counted: int = 0
    dry: int = 0
    far_more: tuple[str, ...] = ()
    far_less: tuple[str, ...] = ()

    @property
    def taught(self) -> bool:
        """Whether any refill has taught something."""
        return self.counted + self.dry > 0

    def band(self) -> tuple[float, float]:
        """Return the ends of the 95 % band of ρ, a reading bias that all refills share allowed."""
        bias = Z95 * self.shared
        below, above = hypot(self.mean - self.low, bias), hypot(self.high - self.mean, bias)
        return self.mean - below, self.mean + above


def residuals_of(timeline: Timeline, since: datetime | None = None) -> tuple[Residual, ...]:
    """Return the lessons of the refills of ``timeline``, oldest first.

    Only fills from ``since`` on count: those before were in another pump. Where the clinic's
    expected volume was not noted, the computed one stands in for it.
    """
    found = []
    for index, (before, fill) in enumerate(pairwise(timeline.fills)):
        if since is not None and to_seconds(before.at) < to_seconds(since):
            continue
        if fill.withdrawn_ml is None:
            continue
        expected = _expected(timeline, index, fill.expected_ml, fill.withdrawn_ml)
        if expected is not None and expected < before.volume_ml:
            found.append(Residual(before.volume_ml, expected, fill.withdrawn_ml, fill.id))
    return tuple(found)


def _expected(
    timeline: Timeline, fill: int, told: float | None, withdrawn_ml: float
) -> float | None:
    """Return what should have been left of ``fill`` when ``withdrawn_ml`` was; None if unknown.

    Below zero when more was asked for than there was: a pump that ran dry on time is not fast.
    The clinic's figure counts where it is above zero, for there it ends.
    """
    if told:
        return told
    if told is None and not is_dry(withdrawn_ml) and timeline.counts_requests(fill):
        # What was not requested was not pumped either; only the clinic's own expected volume,
        # read from the pump, knows how much that was.
        return None
    left_ml = timeline.fills[fill].volume_ml - timeline.asked_of(fill)
    return left_ml if told is None else min(left_ml, told)


def learn_ratio(
    residuals: Sequence[Residual],
    tolerance_percent: float,
    reading_error_ml: float,
    wider: float = WIDER,
) -> DeliveryRatio:
    """Return the posterior of the delivery ratio.

    ``tolerance_percent`` and ``reading_error_ml`` are 95 % bounds; before any refill the first
    counts ``wider`` times as wide. With a tolerance of 0 the pump is taken at its word and nothing
    is learnt.
    """
    accuracy = tolerance_percent / 100
    if accuracy / Z95 < _LEAST_SPREAD:
        return DeliveryRatio(1.0, 1.0, 1.0)
    prior_sd, between_sd = wider * accuracy / Z95, _BETWEEN_FILLS * accuracy
    reading_sd = max(reading_error_ml, _LEAST_READING_ERROR_ML) / Z95
    precision = weighted = 1 / prior_sd**2
    in_all = bias = 0.0
    counted = dry = 0
    far_more: list[str] = []
    far_less: list[str] = []
    at_least: list[AtLeast] = []
    for residual in residuals:
        # Two volumes blur one ratio, each read with an error of its own and with the shared one.
        noise_sd = hypot(2 * reading_sd / residual.intended_ml, between_sd)
        reach = Z95 * hypot(prior_sd, noise_sd)
        ratio = max(residual.ratio, 1 - reach)
        if residual.ratio > 1 + reach:
            far_more.append(residual.id)
        if not residual.found_dry and _delivered_share(residual) < 1 - reach:
            far_less.append(residual.id)
        if residual.found_dry:
            least = residual.ratio if residual.expected_ml < 0 else ratio
            at_least.append(AtLeast(least, noise_sd))
            dry += 1
        if not residual.shows_ratio:
            continue
        weight = 1 / noise_sd**2
        precision += weight
        weighted += weight * ratio
        in_all += weight
        bias += weight * reading_sd / residual.intended_ml
        counted += 1
    mean, sd = weighted / precision, sqrt(1 / precision)
    low, high = mean - Z95 * sd, mean + Z95 * sd
    news = tuple(lesson for lesson in at_least if lesson.is_news(mean, sd))
    if news:
        mean, low, high = given_at_least(mean, sd, news, _TAIL)
    return DeliveryRatio(
        mean, low, high, between_sd, bias / in_all if in_all else 0.0,
        counted, dry, tuple(far_more), tuple(far_less),
    )  # fmt: skip


def _delivered_share(residual: Residual) -> float:
    """Return delivered ÷ what was asked for, of which there was no more than was filled in."""
    asked_ml = min(residual.intended_ml, residual.filled_ml)
    return (residual.filled_ml - residual.withdrawn_ml) / asked_ml


def pumped_band(
    ratio: DeliveryRatio, to_pump_ml: float, reading_error_ml: float
) -> tuple[float, float]:
    """Return the programmed volumes between which ``to_pump_ml`` is really pumped, 95 %.

    Both are mL by the programme, the earlier one first; the later may be inf when the
    ratio is so uncertain that the pump may hardly move.
    """
    if to_pump_ml <= 0:
        return 0.0, 0.0
    fill = Z95 * ratio.between_fills
    above = hypot(ratio.high - ratio.mean, fill)
    below = hypot(ratio.mean - ratio.low, fill)
    # One volume, read with an error of its own and with the one that all readings share.
    error = sqrt(2) * reading_error_ml
    # (mean·p - d)² = spread²·p² + error²: the smaller root is where the alarm may first come, the
    # larger one where it comes at last.
    earliest = max(0.0, _root(ratio.mean, above, to_pump_ml, error, -1))
    return earliest, max(earliest, _root(ratio.mean, below, to_pump_ml, error, 1))


def _root(mean: float, spread: float, to_pump: float, error: float, side: int) -> float:
    """Return a root p of (mean·p - to_pump)² = spread²·p² + error²; inf where there is none."""
    a = mean**2 - spread**2
    root = sqrt(max(0.0, (mean * to_pump) ** 2 - a * (to_pump**2 - error**2)))
    if a <= 0 and side > 0:
        return inf
    if side < 0:
        # The other form of the same root, which holds for every a.
        return (to_pump**2 - error**2) / (mean * to_pump + root)
    return (mean * to_pump + root) / a
