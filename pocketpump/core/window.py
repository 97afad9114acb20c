"""What this pump has taught: its delivery ratio, and the window that follows from it.

The model. A pump delivers ρ times what it is told. Before any refill is known, ρ is normal
around 1 with the flow accuracy as its 95 % bound. Each refill shows ρ once, blurred by the
reading error of the two volumes. With a normal prior and normal noise the posterior is
normal too, in closed form.

The alarm comes when ρ x pumped - ε has reached fill - alarm volume, with ρ from the posterior
and ε the reading error of this fill. For a fixed pumped volume the left side is normal, so the
probability that the alarm has come is one value of the normal distribution, and the ends of
the band are the roots of one quadratic equation (Fieller 1954, J. R. Stat. Soc. B 16:175).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import hypot, inf, sqrt

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


@dataclass(frozen=True, slots=True)
class Residual:
    """One refill's lesson: ``filled_ml`` before, ``expected_ml`` and ``withdrawn_ml`` at its end.

    ``expected_ml`` is below ``filled_ml``: something was meant to be delivered.
    ``id`` is the entry of the refill at which it was withdrawn.
    """

    filled_ml: float
    expected_ml: float
    withdrawn_ml: float
    id: str = ""

    @property
    def ratio(self) -> float:
        """Delivered ÷ intended."""
        return (self.filled_ml - self.withdrawn_ml) / (self.filled_ml - self.expected_ml)


@dataclass(frozen=True, slots=True)
class DeliveryRatio:
    """What is known of ρ: normal with ``mean`` and ``sd``, from ``counted`` refills.

    ``left_out`` are the ids of refills too far out to be this pump's pace.
    """

    mean: float
    sd: float
    counted: int = 0
    left_out: tuple[str, ...] = ()

    def band(self) -> tuple[float, float]:
        """Return the ends of the 95 % band of ρ."""
        return self.mean - Z95 * self.sd, self.mean + Z95 * self.sd


def residuals_of(timeline: Timeline) -> tuple[Residual, ...]:
    """Return the lessons of the refills of ``timeline``, oldest first.

    Where the clinic's expected volume was not noted, the computed one stands in for it. A refill
    noted twice teaches once.
    """
    found = []
    for index, (before, fill) in enumerate(pairwise(timeline.fills)):
        if fill.withdrawn_ml is None or is_twin(before, fill):
            continue
        if fill.expected_ml is None and timeline.counts_requests(index):
            # What was not requested was not pumped either; only the clinic's own expected
            # volume, read from the pump, knows how much that was.
            continue
        expected = timeline.left_of(index) if fill.expected_ml is None else fill.expected_ml
        if expected < before.volume_ml:
            found.append(Residual(before.volume_ml, expected, fill.withdrawn_ml, fill.id))
    return tuple(found)


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
    for residual in residuals:
        intended = residual.filled_ml - residual.expected_ml
        # Two readings blur one ratio: the fill before and what was withdrawn.
        noise_sd = sqrt(2) * reading_sd / intended
        if abs(residual.ratio - 1) > _OUTLIER_BANDS * Z95 * hypot(prior_sd, noise_sd):
            left_out.append(residual.id)
            continue
        precision += 1 / noise_sd**2
        weighted += residual.ratio / noise_sd**2
        counted += 1
    return DeliveryRatio(weighted / precision, sqrt(1 / precision), counted, tuple(left_out))


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
