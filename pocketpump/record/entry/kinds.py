"""The kinds of entries and what each may hold, as one table; ``checks`` holds writers to it.

Amounts carry their unit in the field's name and are finite numbers in that unit. The table
is used when something is newly written or brought in; what is read back is held to
:mod:`pocketpump.record.entry.bounds` only, and so are kinds unknown here (from a newer PocketPump).
"""

from collections.abc import Mapping
from dataclasses import dataclass

from pocketpump.core.units.instants import FIRST_BORN_YEAR

REMOVAL = "removal"
LONG = 4000
SHORT = 200
LARGEST_ATTACHMENT = 300 * 1024
"""The most bytes of a photo or scan kept as an entry: what a saved page needs, not more."""


@dataclass(frozen=True, slots=True)
class Field:
    """One field of a payload.

    ``type`` is a key of the checkers in :mod:`pocketpump.record.entry.checks`; ``low`` and ``high``
    are the inclusive bounds of a number (or of each number in a list), or ``low`` the first year
    of a date; ``above`` is an exclusive
    lower bound, ``written_low`` a stricter one for what is newly written (an older entry is read
    without it), ``longest`` the most characters of a text, ``fewest`` the least items of a list.
    """

    name: str
    type: str = "text"
    required: bool = False
    low: float | None = None
    high: float | None = None
    above: float | None = None
    written_low: float | None = None
    longest: int = SHORT
    fewest: int = 0


_NOTE = Field("note", longest=LONG)
_CLOCK = Field("clock_offset_minutes", "whole number", low=-840, high=840)


def _ten(name: str, required: bool = False) -> Field:
    return Field(name, "number", required, low=0, high=10)


def _volume(name: str) -> Field:
    return Field(name, "number", low=0, high=100)


KINDS: Mapping[str, tuple[Field, ...]] = {
    "pump": (
        Field("reservoir_ml", "number", required=True, above=0, high=100),
        Field("alarm_volume_ml", "number", required=True, low=0, high=100),
        Field("tolerance_percent", "number", low=0, high=50),
        Field("line_volume_ml", "number", above=0, high=5),
        _CLOCK,
        Field("drug_age_limit_days", "whole number", low=1, high=400),
        _volume("felt_low_ml"),
        Field("model"),
        Field("serial"),
        Field("position"),
        Field("tip_level"),
        Field("implanted_on", "date"),
        Field("reading_error_ml", "number", low=0, high=5),
    ),
    "refill": (
        Field("filled_ml", "number", required=True, above=0, high=100),
        # The weakest a pump can be filled with: see `pocketpump.core.units.quantity.STRENGTH`.
        # Below a thousandth, as only a broken file has it, a flow is beyond all numbers.
        Field(
            "strength_mcg_per_ml", "number", required=True, low=0.001, high=20_000, written_low=1
        ),
        Field("drug"),
        _volume("expected_ml"),
        _volume("withdrawn_ml"),
        _volume("measured_after_ml"),
        Field("printed_alarm_on", "date"),
        Field("next_visit_on", "date"),
        Field("bridged", "yes or no"),
        _NOTE,
    ),
    # What was agreed with the clinic, by telephone or there; `pocketpump.record.facts.booked_visit`
    # tells how it and a refill's next visit make one answer.
    "visit": (
        Field("visit_on", "date", required=True),
        Field("visit_time", "time"),
        Field("place"),
        Field("cancelled", "yes or no"),
        _NOTE,
    ),
    "programme": (
        Field("programme", "programme", required=True),
        _CLOCK,
        Field("printed_alarm_on", "date"),
        _NOTE,
    ),
    "check-in": (
        _ten("stiffness", required=True),
        Field("spasms", "whole number", low=0, high=4),
        Field("severity", "whole number", low=1, high=3),
        _ten("pain"),
        _ten("sleep"),
        _ten("sleepiness"),
        Field("worries", "texts"),
        Field("sedatives", "yes or no"),
        Field("side_effects", "texts"),
        _ten("ease"),
        Field("tablets_as_planned", "yes or no"),
        _NOTE,
    ),
    "happening": (
        Field("what", required=True, longest=80),
        _NOTE,
        Field("follow_up_done", "yes or no"),
        Field("feels_different", "yes or no"),
    ),
    "measure": (
        Field("name", required=True),
        Field("value", "number", required=True, low=-1e9, high=1e9),
        Field("unit", required=True),
        Field("goal", "number", low=-1e9, high=1e9),
        Field("lower_is_better", "yes or no"),
        _NOTE,
    ),
    "contact": (
        Field("name", required=True),
        Field("role"),
        Field("phone"),
        Field("hours"),
        Field("emergency", "yes or no"),
        Field("on_card", "yes or no"),
    ),
    "plan": (
        Field("text", required=True, longest=LONG),
        Field("from_whom"),
        Field("given_on", "date"),
    ),
    "trip": (
        Field("place"),
        Field("zone", "zone", required=True),
        Field("leaves_on", "date", required=True),
        Field("returns_on", "date", required=True),
        # Further places in order, kept as {"stops": [{"from_on", "place", "zone"}, …]}.
        Field("stops", "stops"),
        Field("clinic"),
        Field("languages", "texts"),
        _NOTE,
    ),
    "care": (
        Field("name"),
        Field("born_on", "date", low=FIRST_BORN_YEAR),
        Field("surgeon"),
        Field("other_drugs"),
        Field("allergies", longest=LONG),
        Field("tablets", longest=LONG),
        Field("mri_notes", longest=LONG),
        Field("injury_t6_or_above", "yes or no"),
        Field("cannot_communicate", "yes or no"),
        Field("earlier_withdrawal", "yes or no"),
        Field("own_steps", longest=LONG),
        Field("diagnosis"),
        Field("blood_pressure"),
        Field("communication"),
        Field("other_implants"),
        Field("blood_thinners"),
        Field("weight_kg", "number", above=0, high=400),
    ),
    "device": (
        Field("months_left", "number", low=0, high=240),
        Field("notice_on", "date"),
        _NOTE,
    ),
    "attachment": (
        Field("name", required=True),
        Field("media_type", required=True),
        # base64 of at most 300 kB (300 × 1024 bytes).
        Field("data", "base64", required=True, longest=LARGEST_ATTACHMENT * 4 // 3),
        _NOTE,
    ),
    "clinic days": (
        Field("open_weekdays", "whole numbers", required=True, low=0, high=6, fewest=1),
        Field("closed_on", "dates"),
        Field("opened_on", "dates"),
        Field("rule", "clinic rule"),
        Field("lead_days", "whole number", low=0, high=60),
        Field("margin_days", "whole number", low=0, high=60),
    ),
    "question": (
        Field("text", required=True, longest=LONG),
        Field("answered", "yes or no"),
    ),
    "preference": (
        Field("name", required=True),
        Field("value", "single value", required=True, longest=LONG),
    ),
    # That a backup was made, and how many entries were in it: Today's reminder counts from here.
    "backup": (
        Field("entry_count", "whole number", required=True, low=0, high=10_000_000),
        Field("locked", "yes or no"),
    ),
    # "together" names the removal this one was written with, so one undo takes back both.
    REMOVAL: (Field("together"),),
}

IN_ORDER: Mapping[str, tuple[str, str]] = {
    "pump": ("alarm_volume_ml", "reservoir_ml"),
    "trip": ("leaves_on", "returns_on"),
}
"""Per kind, two fields of which the first may not be larger (later) than the second."""
