"""The fields of entries in words: for the person, and as the header of a table's column."""

from collections.abc import Mapping

from pocketpump.core.messages import worded

_UNITS = {
    "_mcg_per_ml": " (mcg/mL)",
    "_ml": " (mL)",
    "_kg": " (kg)",
    "_percent": " (%)",
    "_minutes": " (minutes)",
    "_days": " (days)",
}


_WORDS: Mapping[str, str] = {
    # Note: the names of fields stand before a value or between quotation marks; this is a size.
    "reservoir_ml": worded("reservoir (mL)"),
    "alarm_volume_ml": worded("alarm volume (mL)"),
    "tolerance_percent": worded("tolerance (%)"),
    "line_volume_ml": worded("line volume (mL)"),
    "clock_offset_minutes": worded("clock offset (minutes)"),
    "drug_age_limit_days": worded("drug age limit (days)"),
    # Note: how much is left when the person feels that it runs low.
    "felt_low_ml": worded("felt low (mL)"),
    "model": worded("model"),
    # Note: the pump's serial number.
    "serial": worded("serial"),
    # Note: where the pump sits in the body.
    "position": worded("position"),
    "tip_level": worded("tip level"),
    "implanted_on": worded("implanted on"),
    "reading_error_ml": worded("reading error (mL)"),
    "filled_ml": worded("filled (mL)"),
    "strength_mcg_per_ml": worded("strength (mcg/mL)"),
    "drug": worded("drug"),
    "expected_ml": worded("expected (mL)"),
    "withdrawn_ml": worded("withdrawn (mL)"),
    "measured_after_ml": worded("measured after (mL)"),
    "printed_alarm_on": worded("printed alarm on"),
    "next_visit_on": worded("next visit on"),
    "visit_on": worded("visit on"),
    # Note: the time of day of a visit at the clinic.
    "visit_time": worded("visit time"),
    # Note: a visit at the clinic was cancelled.
    "cancelled": worded("cancelled"),
    # Note: a bridge bolus was given at the refill.
    "bridged": worded("bridged"),
    "note": worded("note"),
    "programme": worded("programme"),
    "stiffness": worded("stiffness"),
    "spasms": worded("spasms"),
    "severity": worded("severity"),
    "pain": worded("pain"),
    "sleep": worded("sleep"),
    "sleepiness": worded("sleepiness"),
    "worries": worded("worries"),
    # Note: alcohol, sedatives or sleeping pills were taken.
    "sedatives": worded("sedatives"),
    "side_effects": worded("side effects"),
    # Note: how easy walking or moving over was, a score.
    "ease": worded("ease"),
    "tablets_as_planned": worded("tablets as planned"),
    # Note: what happened.
    "what": worded("what"),
    "follow_up_done": worded("follow up done"),
    # Note: the pump feels different after a fall.
    "feels_different": worded("feels different"),
    "name": worded("name"),
    "value": worded("value"),
    "unit": worded("unit"),
    "goal": worded("goal"),
    "lower_is_better": worded("lower is better"),
    "role": worded("role"),
    "phone": worded("phone"),
    "hours": worded("hours"),
    "emergency": worded("emergency"),
    "on_card": worded("on card"),
    # Note: of a plan or a question.
    "text": worded("text"),
    # Note: who gave the plan.
    "from_whom": worded("from whom"),
    "given_on": worded("given on"),
    "place": worded("place"),
    "zone": worded("zone"),
    "leaves_on": worded("leaves on"),
    "returns_on": worded("returns on"),
    # Note: the further places of a trip.
    "stops": worded("stops"),
    "clinic": worded("clinic"),
    "languages": worded("languages"),
    "born_on": worded("born on"),
    "surgeon": worded("surgeon"),
    "other_drugs": worded("other drugs"),
    "allergies": worded("allergies"),
    "tablets": worded("tablets"),
    # Note: MRI, notes about scans.
    "mri_notes": worded("mri notes"),
    # Note: a spinal cord injury at T6 or above.
    "injury_t6_or_above": worded("injury t6 or above"),
    "cannot_communicate": worded("cannot communicate"),
    "earlier_withdrawal": worded("earlier withdrawal"),
    # Note: the person's own written steps for autonomic dysreflexia.
    "own_steps": worded("own steps"),
    "diagnosis": worded("diagnosis"),
    "blood_pressure": worded("blood pressure"),
    "communication": worded("communication"),
    "other_implants": worded("other implants"),
    "blood_thinners": worded("blood thinners"),
    "weight_kg": worded("weight (kg)"),
    "months_left": worded("months left"),
    # Note: the day of the pump's own notice that it is to be replaced.
    "notice_on": worded("notice on"),
    "media_type": worded("media type"),
    "data": worded("data"),
    "open_weekdays": worded("open weekdays"),
    "closed_on": worded("closed on"),
    "opened_on": worded("opened on"),
    # Note: the rule by which the clinic is open.
    "rule": worded("rule"),
    # Note: how many days before the refill the clinic is called.
    "lead_days": worded("lead (days)"),
    # Note: how many days before the last date the refill is to be.
    "margin_days": worded("margin (days)"),
    "answered": worded("answered"),
    "entry_count": worded("entry count"),
    "locked": worded("locked"),
    # Note: the removal that this one belongs to.
    "together": worded("together"),
}


def label(name: str) -> str:
    """Return the words for a field's name: ``"filled_ml"`` gives ``"filled (mL)"``."""
    return _WORDS.get(name) or column(name)


def column(name: str) -> str:
    """Return the header of a field's column in a table, which is the same in every language."""
    for ending, unit in _UNITS.items():
        if name.endswith(ending):
            return name.removesuffix(ending).replace("_", " ") + unit
    return name.replace("_", " ")
