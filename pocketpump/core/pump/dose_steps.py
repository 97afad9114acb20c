"""What a dose change was in percent, beside the step ranges the label names.

Information with its source, never advice: nothing here says whether a step is right. All
ranges are from the US prescribing information of the generic drug (baclofen injection for
intrathecal use).
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from pocketpump.core.messages import LazyText, joined, message
from pocketpump.core.pump.timeline import Setting, in_order
from pocketpump.core.units.instants import to_seconds
from pocketpump.core.units.quantity import DOSE, entered_quantity, format_number

SOURCE = message("US prescribing information of the generic drug")
DECIDES = message("This is information, not advice. Your clinic decides.")
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
    """A published range: from and to in percent, in words, and for whom."""

    low: int
    high: int
    words: LazyText
    causes: frozenset[str]
    adult: bool = True
    child: bool = True

    def is_for(self, origin: Origin | None) -> bool:
        if origin is None:
            return True
        return origin.cause in self.causes and (self.child if origin.child else self.adult)


_SPINAL, _CEREBRAL = frozenset({"spinal"}), frozenset({"cerebral"})
_RAISES = (
    _Range(
        10,
        30,
        message(
            "The label names {low}–{high} % as a usual step in the first days after the implant,"
            " once in 24 hours for an adult with a spinal origin."
        ),
        _SPINAL,
        child=False,
    ),
    _Range(
        5,
        15,
        message(
            "The label names {low}–{high} % as a usual step in the first days after the implant,"
            " once in 24 hours for a cerebral origin."
        ),
        _CEREBRAL,
        child=False,
    ),
    _Range(
        5,
        15,
        message(
            "The label names {low}–{high} % as a usual step in the first days after the implant,"
            " once in 24 hours for a child."
        ),
        _SPINAL | _CEREBRAL,
        adult=False,
    ),
    _Range(
        10,
        40,
        message(
            "The label names {low}–{high} % as a usual step at a refill visit for a spinal origin."
        ),
        _SPINAL,
    ),
    _Range(
        5,
        20,
        message(
            "The label names {low}–{high} % as a usual step at a refill visit for a cerebral"
            " origin."
        ),
        _CEREBRAL,
    ),
)
_CUTS = (
    _Range(
        10,
        20,
        message(
            "The label names {low}–{high} % as a usual step down for side effects for every origin."
        ),
        _SPINAL | _CEREBRAL,
    ),
)
# "60 mcg once a day entered as 60 mcg every hour": medication-safety alert. The others are a
# decimal point and a unit (common practice, no source).
_SLIPS: Mapping[int, LazyText] = {
    10: message(
        "From {before} to {after} is {times}, and the label names usual steps of up to {most} %:"
        " look at the number and the unit again, because a digit or the decimal point slips easily."
    ),
    24: message(
        "From {before} to {after} is {times}, and the label names usual steps of up to {most} %:"
        " an amount an hour is easily taken for one a day (medication-safety alert), so look again."
    ),
    1000: message(
        "From {before} to {after} is {times}, and the label names usual steps of up to {most} %:"
        " look at the number and the unit again, because mg is easily taken for mcg."
    ),
}
# A printout rounds; so much off a factor is still that factor (own choice, no source).
_NEAR_FACTOR = 0.01


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
    ranges = _RAISES if percent > 0 else _CUTS
    named = tuple(
        one.words.filled(low=one.low, high=one.high) for one in ranges if one.is_for(origin)
    )
    return StepInfo(percent, (*named, DECIDES))


def dose_before(settings: Iterable[Setting], at: datetime, without: str = "") -> float:
    """Return the last daily dose above zero that ran up to ``at``, mcg/day; 0.0 for none.

    The setting with the id ``without`` is left out: it is the one being corrected.
    """
    at_s = to_seconds(at)
    ran = in_order(
        setting
        for setting in settings
        if to_seconds(setting.at) <= at_s
        and setting.programme.dose_mcg_per_day > 0
        and (not without or setting.id != without)
    )
    return ran[-1].programme.dose_mcg_per_day if ran else 0.0


def look_again(before: float, after: float, origin: Origin | None) -> str:
    """Return why a change from ``before`` to ``after`` (mcg/day) is worth a second look; "" if not.

    It is when the doses are apart by a factor that slips make, or by more than every published
    range for ``origin``. It tells what is unusual and never what is right.
    """
    if before <= 0 or after <= 0:
        return ""
    doses = {"before": entered_quantity(before, DOSE), "after": entered_quantity(after, DOSE)}
    ranges = _RAISES if after > before else _CUTS
    most = max(one.high for one in ranges if one.is_for(origin))
    times = max(after / before, before / after)
    for factor, told in _SLIPS.items():
        if abs(times / factor - 1) <= _NEAR_FACTOR:
            # Note: stands in: From {before} to {after} is {times}: look at the number …
            more = message("{factor} times as much", factor=factor)
            # Note: stands in: From {before} to {after} is {times}: look at the number …
            less = message("{factor} times less", factor=factor)
            return told.filled(**doses, times=more if after > before else less, most=most)
    percent = (after - before) / before * 100
    if abs(percent) <= most + NO_CHANGE_PERCENT:
        return ""
    return message(
        "From {before} to {after} is {percent}, and the label names usual steps of up to {most} %:"
        " look at the number again, and ask your clinic.",
        **doses,
        percent=percent_text(percent),
        most=most,
    )


def percent_text(percent: float | None) -> str:
    """Return a change in percent with its sign: "+20 %"; "–" when it is not known."""
    if percent is None:
        return "–"
    if abs(percent) < NO_CHANGE_PERCENT:
        return "0 %"
    return joined("", ("+" if percent > 0 else "−", format_number(abs(percent), 1), " %"))
