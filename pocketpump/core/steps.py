"""What a dose change was in percent, beside the step ranges the label names.

Information with its source, never advice: nothing here says whether a step is right. All
ranges are from the US prescribing information of the generic drug (baclofen injection for
intrathecal use).
"""

from dataclasses import dataclass

from pocketpump.core.quantity import format_number

SOURCE = "US prescribing information of the generic drug"
DECIDES = "This is information, not advice. Your clinic decides."
# Less than this is rounding on a printout, not a change.
NO_CHANGE_PERCENT = 0.05


@dataclass(frozen=True, slots=True)
class Origin:
    """Where the stiffness comes from: ``cause`` is "spinal" or "cerebral"; is it a ``child``."""

    cause: str
    child: bool = False


@dataclass(frozen=True, slots=True)
class StepInfo:
    """``percent`` of the change (above zero: more), None from a dose of zero; and the ranges."""

    percent: float | None
    sentences: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Range:
    """A published range: for whom, when, from and to in percent."""

    low: int
    high: int
    when: str
    who: str
    causes: frozenset[str]
    adult: bool = True
    child: bool = True

    def is_for(self, origin: Origin | None) -> bool:
        if origin is None:
            return True
        return origin.cause in self.causes and (self.child if origin.child else self.adult)


_SPINAL, _CEREBRAL = frozenset({"spinal"}), frozenset({"cerebral"})
_TITRATION = "in the first days after the implant, once in 24 hours"
_RAISES = (
    _Range(10, 30, _TITRATION, "an adult with a spinal origin", _SPINAL, child=False),
    _Range(5, 15, _TITRATION, "a cerebral origin", _CEREBRAL, child=False),
    _Range(5, 15, _TITRATION, "a child", _SPINAL | _CEREBRAL, adult=False),
    _Range(10, 40, "at a refill visit", "a spinal origin", _SPINAL),
    _Range(5, 20, "at a refill visit", "a cerebral origin", _CEREBRAL),
)
_CUT = _Range(10, 20, "down for side effects", "every origin", _SPINAL | _CEREBRAL)


def step_information(before: float, after: float, origin: Origin | None) -> StepInfo:
    """Return what the change from ``before`` to ``after`` (mcg/day) is in percent.

    The sentences name the published ranges for ``origin``; for every origin when it is not
    known; none when nothing changed or one of the doses is zero.
    """
    if before <= 0:
        return StepInfo(None, ())
    percent = (after - before) / before * 100
    if abs(percent) < NO_CHANGE_PERCENT or after <= 0:
        return StepInfo(percent, ())
    ranges = _RAISES if percent > 0 else (_CUT,)
    named = tuple(_sentence(one) for one in ranges if one.is_for(origin))
    return StepInfo(percent, (*named, DECIDES))


def _sentence(one: _Range) -> str:
    return f"The label names {one.low}–{one.high} % as a usual step {one.when} for {one.who}."


def percent_text(percent: float | None) -> str:
    """Return a change in percent with its sign: "+20 %"; "–" when it is not known."""
    if percent is None:
        return "–"
    if abs(percent) < NO_CHANGE_PERCENT:
        return "0 %"
    return f"{'+' if percent > 0 else '−'}{format_number(abs(percent), 1)} %"
