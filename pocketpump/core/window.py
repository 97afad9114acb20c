"""What this pump has taught: its delivery ratio, and the window that follows from it.

The model. A pump delivers ρ times what it is told. Before any refill is known, ρ is normal
around 1 with the flow accuracy as its 95 % bound. Each refill shows ρ once, blurred by the
reading error of the two volumes. With a normal prior and normal noise the posterior is
normal too, in closed form.

The alarm comes when ρ x pumped - ε has reached fill - alarm volume, with ρ from the posterior
and ε the reading error of this fill. For a fixed pumped volume the left side is normal, so the
probability that the alarm has come is one value of the normal distribution, and the ends of
the band are the roots of one quadratic equation (Fieller 1954, J. R. Stat. Soc. B 16:175).

A reservoir found dry shows only that ρ was at least the ratio c of what was there to what was
asked for: a censored lesson, whose likelihood is Φ((ρ - c) ÷ s), with s the reading error as
above. The mean of N(μ, σ²) times that likelihood is, in closed form,
μ + σ² λ(z) ÷ √(σ² + s²), with z = (μ - c) ÷ √(σ² + s²) and λ = φ ÷ Φ (as for probit
regression: Rasmussen & Williams 2006, Gaussian Processes for Machine Learning, section 3.9).
The mean moves there, after the exact lessons, and σ stays: every quantile of the true posterior
lies above that of the one before, and with the mean moved up and σ kept so does every quantile
here, so that such a lesson can make no date later.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise
from math import erfc, exp, hypot, inf, pi, sqrt

from pocketpump.core.instants import to_seconds
from pocketpump.core.refill import is_dry
from pocketpump.core.timeline import Timeline
from pocketpump.core.twins import is_twin

# The two-sided 95 % point of the normal distribution.
Z95 = 1.959963984540054
# Volumes are read from syringe marks: no reading is better than this (own default, no source).
_LEAST_READING_ERROR_ML = 0.1
# A flow accuracy finer than this is none at all: its square would vanish.
_LEAST_SPREAD = 1e-9
# A refill further out than so many 95 % bands shows a fault or a slip, not this pump's pace: it
# is told to the person, and kept out of what is learnt.
_OUTLIER_BANDS = 2.0
# Further below than so many standard deviations erfc leaves the floats.
_FAR_BELOW = -30.0


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
    def ratio(self) -> float:
        """Delivered ÷ intended; of a reservoir found dry, what it was at least."""
        return (self.filled_ml - self.withdrawn_ml) / (self.filled_ml - self.expected_ml)

    @property
    def found_dry(self) -> bool:
        """Whether nothing was left, so that it is a lesson of "at least this much" alone."""
        return is_dry(self.withdrawn_ml)


@dataclass(frozen=True, slots=True)
class DeliveryRatio:
    """What is known of ρ: normal with ``mean`` and ``sd``, from ``counted`` refills.

    ``dry`` more showed only that it is at least so much. ``left_out`` are the ids of refills too
    far out to be this pump's pace.
    """

    mean: float
    sd: float
    counted: int = 0
    left_out: tuple[str, ...] = ()
    dry: int = 0

    @property
    def taught(self) -> bool:
        """Whether any refill has taught something."""
        return self.counted + self.dry > 0

    def band(self) -> tuple[float, float]:
        """Return the ends of the 95 % band of ρ."""
        return self.mean - Z95 * self.sd, self.mean + Z95 * self.sd


def residuals_of(timeline: Timeline, since: datetime | None = None) -> tuple[Residual, ...]:
    """Return the lessons of the refills of ``timeline``, oldest first.

    Only fills from ``since`` on count: those before were in another pump. Where the clinic's
    expected volume was not noted, the computed one stands in for it. A refill noted twice teaches
    once.
    """
    found = []
    for index, (before, fill) in enumerate(pairwise(timeline.fills)):
        if fill.withdrawn_ml is None or is_twin(before, fill):
            continue
        if since is not None and to_seconds(before.at) < to_seconds(since):
            continue
        if is_dry(fill.withdrawn_ml):
            expected = _least_expected(timeline, index)
        elif fill.expected_ml is not None:
            expected = fill.expected_ml
        elif timeline.counts_requests(index):
            # What was not requested was not pumped either; only the clinic's own expected
            # volume, read from the pump, knows how much that was.
            continue
        else:
            expected = timeline.left_of(index)
        if expected < before.volume_ml:
            found.append(Residual(before.volume_ml, expected, fill.withdrawn_ml, fill.id))
    return tuple(found)


def _least_expected(timeline: Timeline, index: int) -> float:
    """Return what should have been left of fill ``index`` when the next one found it dry.

    Below zero when more was asked for than there was: a pump that ran dry on time is not fast.
    The clinic's figure counts where it is above zero, for there it ends.
    """
    told = timeline.fills[index + 1].expected_ml
    if told:
        return told
    left_ml = timeline.fills[index].volume_ml - timeline.asked_of(index)
    return left_ml if told is None else min(left_ml, told)


def learn_ratio(
    residuals: Sequence[Residual], tolerance_percent: float, reading_error_ml: float
) -> DeliveryRatio:
    """Return the posterior of the delivery ratio.

    ``tolerance_percent`` and ``reading_error_ml`` are 95 % bounds. With a tolerance of 0
    the pump is taken at its word and nothing is learnt.
    """
    prior_sd = tolerance_percent / 100 / Z95
    if prior_sd < _LEAST_SPREAD:
        return DeliveryRatio(1.0, 0.0)
    reading_sd = max(reading_error_ml, _LEAST_READING_ERROR_ML) / Z95
    precision = 1 / prior_sd**2
    weighted = precision
    counted = 0
    left_out: list[str] = []
    at_least: list[tuple[float, float]] = []
    for residual in residuals:
        intended = residual.filled_ml - residual.expected_ml
        # Two readings blur one ratio: the fill before and what was withdrawn.
        noise_sd = sqrt(2) * reading_sd / intended
        off = residual.ratio - 1 if residual.found_dry else abs(residual.ratio - 1)
        if off > _OUTLIER_BANDS * Z95 * hypot(prior_sd, noise_sd):
            left_out.append(residual.id)
            continue
        if residual.found_dry:
            at_least.append((residual.ratio, noise_sd))
            continue
        precision += 1 / noise_sd**2
        weighted += residual.ratio / noise_sd**2
        counted += 1
    mean, sd = weighted / precision, sqrt(1 / precision)
    for least, noise_sd in at_least:
        mean = _mean_given_at_least(mean, sd, least, noise_sd)
    return DeliveryRatio(mean, sd, counted, tuple(left_out), len(at_least))


def _mean_given_at_least(mean: float, sd: float, least: float, noise_sd: float) -> float:
    """Return the mean of a normal once it is known to be at least ``least``, give or take."""
    spread = hypot(sd, noise_sd)
    z = (mean - least) / spread
    # Far below Φ would vanish; the first terms of its asymptotic series are exact to six digits.
    far = z < _FAR_BELOW
    slope = -z - 1 / z if far else exp(-z * z / 2) * sqrt(2 / pi) / erfc(-z / sqrt(2))
    return mean + sd**2 / spread * slope


def pumped_band(
    ratio: DeliveryRatio, to_pump_ml: float, reading_error_ml: float
) -> tuple[float, float]:
    """Return the programmed volumes between which ``to_pump_ml`` is really pumped, 95 %.

    Both are mL by the programme, the earlier one first; the later may be inf when the
    ratio is so uncertain that the pump may hardly move.
    """
    if to_pump_ml <= 0:
        return 0.0, 0.0
    mean, spread, error = ratio.mean, Z95 * ratio.sd, reading_error_ml
    # (mean·p - d)² = spread²·p² + error²; the smaller root is where the alarm may first come.
    a = mean**2 - spread**2
    discriminant = (mean * to_pump_ml) ** 2 - a * (to_pump_ml**2 - error**2)
    root = sqrt(max(0.0, discriminant))
    if a <= 0:
        earliest = (to_pump_ml**2 - error**2) / (mean * to_pump_ml + root)
        return max(0.0, earliest), inf
    earliest = (mean * to_pump_ml - root) / a
    latest = (mean * to_pump_ml + root) / a
    return max(0.0, earliest), latest
