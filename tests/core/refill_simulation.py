"""Invented pumps and their refills: how often the window holds the alarm that really comes.

``python tests/core/refill_simulation.py 20000`` prints the table of docs/measured.md. What a pump
really does is drawn here without asking the core.
"""

import random
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from pocketpump.core.pump.delivery_ratio import Residual, learn_ratio, pumped_band

Z95 = 1.959963984540054
# What the app is told, and believes: ±14.5 % and ±0.5 mL are its own usual figures.
TOLERANCE_PERCENT = 14.5
READING_ERROR_ML = 0.5
FILLED_ML = 20.0
TO_PUMP_ML = 18.0


def as_labelled(chance: random.Random) -> float:
    """Return the true ratio of a pump of which the label's flow accuracy is true, 95 %."""
    return chance.gauss(1.0, TOLERANCE_PERCENT / 100 / Z95)


def exactly(ratio: float) -> Callable[[random.Random], float]:
    return lambda _: ratio


@dataclass(frozen=True)
class Case:
    """How pumps and readings are in truth; volumes in mL, ``fills_vary`` a standard deviation.

    ``bias_ml`` is by how much too little every withdrawal reads, ``fill_bias_ml`` by how much more
    every fill is than it reads; ``shared_error_ml`` bounds (95 %) what each pump has of both, and
    ``reading_error_ml`` what is new at each reading. A refill comes when between ``soonest`` and
    ``latest`` of ``filled_ml`` should be pumped. The app is told ``told_percent`` and
    ``told_error_ml``.
    """

    name: str
    ratio: Callable[[random.Random], float] = as_labelled
    fills_vary: float = 0.0
    bias_ml: float = 0.0
    fill_bias_ml: float = 0.0
    shared_error_ml: float = 0.0
    reading_error_ml: float = READING_ERROR_ML
    filled_ml: float = FILLED_ML
    to_pump_ml: float = TO_PUMP_ML
    soonest: float = 0.4
    latest: float = 0.85
    told_percent: float = TOLERANCE_PERCENT
    told_error_ml: float = READING_ERROR_ML


@dataclass(frozen=True)
class Coverage:
    """Of ``pumps``, how many alarms came within the window; its mean ends ÷ the told volume."""

    pumps: int
    held: int
    opens: float
    closes: float

    @property
    def share(self) -> float:
        return self.held / self.pumps


def coverage(kind: Case, refills: int, pumps: int, seed: int = 20260112) -> Coverage:
    """Return how often the window of the fill after ``refills`` refills holds its alarm."""
    chance = random.Random(f"{seed} {kind.name} {refills}")
    held, opens, closes = 0, 0.0, 0.0
    for _ in range(pumps):
        case = _of_one_pump(kind, chance)
        true_ratio = case.ratio(chance)
        lessons = [_refill(case, true_ratio, chance) for _ in range(refills)]
        learnt = learn_ratio(lessons, kind.told_percent, kind.told_error_ml)
        low, high = pumped_band(learnt, kind.to_pump_ml, kind.told_error_ml)
        really_to_pump = case.to_pump_ml + case.fill_bias_ml + _misread(case, chance)
        comes = really_to_pump / _of_one_fill(case, true_ratio, chance)
        held += low <= comes <= high
        opens += low / kind.to_pump_ml
        closes += high / kind.to_pump_ml
    return Coverage(pumps, held, opens / pumps, closes / pumps)


def _of_one_pump(kind: Case, chance: random.Random) -> Case:
    if not kind.shared_error_ml:
        return kind
    spread = kind.shared_error_ml / Z95
    return replace(kind, bias_ml=chance.gauss(0, spread), fill_bias_ml=chance.gauss(0, spread))


def _refill(case: Case, true_ratio: float, chance: random.Random) -> Residual:
    filled = case.filled_ml
    intended = filled * chance.uniform(case.soonest, case.latest)
    really_filled = filled + case.fill_bias_ml + _misread(case, chance)
    # A reservoir gives no more than it holds.
    left = max(0.0, really_filled - _of_one_fill(case, true_ratio, chance) * intended)
    # What is read is never below nothing.
    read = max(0.0, left - case.bias_ml + _misread(case, chance))
    return Residual(filled, filled - intended, read)


def _of_one_fill(case: Case, true_ratio: float, chance: random.Random) -> float:
    return true_ratio * (1 + chance.gauss(0, case.fills_vary))


def _misread(case: Case, chance: random.Random) -> float:
    return chance.gauss(0, case.reading_error_ml / Z95)


REFILLS = (0, 1, 2, 4, 8)
FILLS_VARY = 0.03

# Each thing that is otherwise than the app was told, alone.
ALONE = (
    *(Case(f"true ratio {ratio:.2f}", exactly(ratio)) for ratio in (0.85, 0.9, 1, 1.1, 1.15, 1.2)),
    Case("every withdrawal reads 0.5 mL too little", bias_ml=0.5),
    Case("every withdrawal reads 0.5 mL too much", bias_ml=-0.5),
    Case("every fill is 0.5 mL more than it reads", fill_bias_ml=0.5),
    Case("every fill is 0.5 mL less than it reads", fill_bias_ml=-0.5),
    Case("each fill varies 3 %", fills_vary=FILLS_VARY),
    Case("reading error 1.0 mL, not 0.5", reading_error_ml=1.0),
    Case("as labelled"),
)


def as_supposed(told_percent: float, told_error_ml: float) -> Case:
    """Return what the window allows for: pumps further off than labelled, fills that vary,
    readings with a shared error."""
    accuracy = told_percent / 100
    return Case(
        "all as the window supposes",
        lambda chance: chance.gauss(1.0, 1.6 * accuracy / Z95),
        fills_vary=0.2 * accuracy,
        shared_error_ml=told_error_ml,
        reading_error_ml=told_error_ml,
        told_percent=told_percent,
        told_error_ml=told_error_ml,
    )


AS_SUPPOSED = as_supposed(TOLERANCE_PERCENT, READING_ERROR_ML)
VARIED = (
    Case("each fill varies 3 %", fills_vary=FILLS_VARY),
    *(
        Case(f"true ratio {ratio:.2f}, each fill varies 3 %", exactly(ratio), FILLS_VARY)
        for ratio in (1.0, 1.15, 1.2)
    ),
)
# Before any refill, in a small and in a large reservoir; alarm at 2 mL.
FIRST = tuple(
    Case(f"true ratio {ratio:.2f}, fills of {filled} mL", exactly(ratio), filled_ml=filled,
         to_pump_ml=filled - 2)
    for ratio in (0.85, 1.2) for filled in (10, 40)
)  # fmt: skip
# Two things off at once: more than the window allows for.
TWO_AT_ONCE = (
    Case("every withdrawal reads 0.5 mL too little, each fill varies 3 %", bias_ml=0.5,
         fills_vary=FILLS_VARY),
    Case("reading error 1.0 mL, each fill varies 3 %", reading_error_ml=1.0,
         fills_vary=FILLS_VARY),
)  # fmt: skip


def table(pumps: int) -> Iterator[str]:
    """Yield the lines of the table for docs/measured.md: % held, and the window ÷ told."""
    yield "| in truth | " + " | ".join(f"{refills} refills" for refills in REFILLS) + " |"
    yield "|---" * (1 + len(REFILLS)) + "|"
    for case in (*ALONE, AS_SUPPOSED, *VARIED[1:], *FIRST, *TWO_AT_ONCE):
        cells = []
        for refills in REFILLS:
            found = coverage(case, refills, pumps)
            ends = f"{found.opens:.2f}–{found.closes:.2f}"
            cells.append(f"{100 * found.share:.1f} ({ends})")
        yield f"| {case.name} | " + " | ".join(cells) + " |"


if __name__ == "__main__":
    for line in table(int(sys.argv[1]) if sys.argv[1:] else 20_000):
        print(line, flush=True)
