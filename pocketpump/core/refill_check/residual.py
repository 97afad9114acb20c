"""The checks on one refill's numbers: what was left over, and what went in.

Nothing here says what is wrong with a pump; it says when a published limit is passed, so
that the person can ask the clinic.
"""

from dataclasses import dataclass

from pocketpump.core.errors import InputError
from pocketpump.core.messages import localized_number, message
from pocketpump.core.pump.delivery_ratio import is_dry

# "More than 2 mL, or outside the pump's accuracy": regional-anaesthesia society poster 2017.
RESIDUAL_LIMIT_ML = 2.0
# More than 1 mL missing in a 20 mL pump, 2 mL in a 40 mL pump: Maino 2017, Neuromodulation
# (abstract). Other sizes take the same share, 5 %, which both figures are (derived).
_MISSING_SHARE = 0.05
# Two readings, of the fill and of what was withdrawn, may each be off by half a mark of a 20 mL
# syringe; beyond that no pump gives back more than it was given (own choice, no source).
_READINGS_ML = 1.0
# Floating-point crumbs must not turn "exactly 2 mL" into "more than 2 mL".
_CRUMB = 1e-9


@dataclass(frozen=True, slots=True)
class ResidualCheck:
    """Withdrawn against expected volume at a refill.

    ``difference_ml`` is withdrawn minus expected (above zero: the pump delivered less).
    ``delivered_ratio`` is delivered ÷ intended, 1.0 when they agree, None when nothing
    was intended; with ``found_dry`` it is only what the ratio was at least.
    ``over_volume_limit`` and ``over_tolerance`` are the two published reasons to look into
    it, ``flag`` is either.
    """

    difference_ml: float
    delivered_ratio: float | None
    over_volume_limit: bool
    over_tolerance: bool
    found_dry: bool = False

    @property
    def flag(self) -> bool:
        """Whether the residual is worth asking the clinic about."""
        return self.over_volume_limit or self.over_tolerance


def check_residual(
    filled_ml: float, expected_ml: float, withdrawn_ml: float, tolerance_percent: float
) -> ResidualCheck:
    """Compare what was withdrawn with what was expected from a fill of ``filled_ml`` (all mL).

    Raises `InputError` when more is expected or withdrawn than was ever filled in.
    """
    check_withdrawn(filled_ml, withdrawn_ml)
    if expected_ml > filled_ml:
        raise InputError(
            message(
                "The expected volume of {expected} mL is more than the {filled} mL that were"
                " filled in before: look at both numbers again.",
                expected=localized_number(f"{expected_ml:g}"),
                filled=localized_number(f"{filled_ml:g}"),
            ),
            "expected_ml",
        )
    difference = withdrawn_ml - expected_ml
    intended = filled_ml - expected_ml
    ratio = (filled_ml - withdrawn_ml) / intended if intended > 0 else None
    # The sign of an error is (delivered - intended) / intended; its size is what is judged.
    error_percent = abs(ratio - 1) * 100 if ratio is not None else 0.0
    return ResidualCheck(
        difference_ml=difference,
        delivered_ratio=ratio,
        over_volume_limit=abs(difference) > RESIDUAL_LIMIT_ML + _CRUMB,
        over_tolerance=error_percent > tolerance_percent + _CRUMB,
        found_dry=is_dry(withdrawn_ml),
    )


def check_withdrawn(filled_ml: float, withdrawn_ml: float) -> None:
    """Raise `InputError` when more was withdrawn than filled in, beyond any reading error."""
    if withdrawn_ml > filled_ml + _READINGS_ML:
        raise InputError(
            message(
                "The withdrawn volume of {withdrawn} mL is more than the {filled} mL that were"
                " filled in before: look at both numbers again.",
                withdrawn=localized_number(f"{withdrawn_ml:g}"),
                filled=localized_number(f"{filled_ml:g}"),
            ),
            "withdrawn_ml",
        )


def missing_after_fill(injected_ml: float, measured_ml: float, reservoir_ml: float) -> bool:
    """Return whether more is missing right after a fill than the published limit allows."""
    return injected_ml - measured_ml > reservoir_ml * _MISSING_SHARE + _CRUMB
