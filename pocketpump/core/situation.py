"""Everything an outlook is computed from: the pump, its fills and settings, how people plan."""

from dataclasses import dataclass, field
from datetime import date, datetime

from pocketpump.core.clinic import ClinicDays
from pocketpump.core.timeline import Fill, Setting

# Own default, to be replaced by the clinic's figure. Measured over 80 implants, the mean was
# +2.5 % a refill: Wesemann 2014, Reg Anesth Pain Med.
USUAL_TOLERANCE_PERCENT = 14.5
# 180 days: in-vivo stability study, Neuromodulation 2023 (abstract). The clinic's own wins.
USUAL_DRUG_AGE_LIMIT_DAYS = 180
# Leaflets of one children's hospital ask for 7-10 days (newer) or 3-5 days (older).
USUAL_MARGIN_DAYS = 7
# Half a mark of a 20 mL syringe (own default, no source; editable).
USUAL_READING_ERROR_ML = 0.5
# When to telephone before the refill-by date (own default, no source; editable).
USUAL_LEAD_DAYS = 14


@dataclass(frozen=True, slots=True)
class Pump:
    """What stays the same about the pump between refills; volumes in mL.

    ``felt_low_ml`` is the volume at which this person has felt the pump run low before
    its alarm; ``reading_error_ml`` how far the filled volume may be off as read.
    """

    alarm_volume_ml: float
    reservoir_ml: float | None = None
    tolerance_percent: float = USUAL_TOLERANCE_PERCENT
    drug_age_limit_days: int = USUAL_DRUG_AGE_LIMIT_DAYS
    line_volume_ml: float | None = None
    felt_low_ml: float | None = None
    reading_error_ml: float = 0.0


@dataclass(frozen=True, slots=True)
class Habits:
    """How the person and the clinic plan: margin and lead in days, open days."""

    margin_days: int = USUAL_MARGIN_DAYS
    lead_days: int = USUAL_LEAD_DAYS
    clinic_days: ClinicDays = field(default_factory=ClinicDays)


@dataclass(frozen=True, slots=True)
class Situation:
    """Everything the outlook is computed from, besides the instant.

    ``printed_alarm_on`` is the alarm date on the clinic's newest printout since the last
    fill, ``printed_at`` when that was handed out.
    """

    pump: Pump
    fills: tuple[Fill, ...]
    settings: tuple[Setting, ...]
    habits: Habits = field(default_factory=Habits)
    printed_alarm_on: date | None = None
    printed_at: datetime | None = None
