"""The fields of entries in words: for the person, and as the header of a table's column."""

from collections.abc import Mapping

from pocketpump.core.messages import message

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
    "reservoir_ml": message("reservoir (mL)"),
    "alarm_volume_ml": message("alarm volume (mL)"),
    "tolerance_percent": message("tolerance (%)"),
    "line_volume_ml": message("line volume (mL)"),
    "clock_offset_minutes": message("clock offset (minutes)"),
    "drug_age_limit_days": message("drug age limit (days)"),
    # Note: how much is left when the person feels that it runs low.
    "felt_low_ml": message("felt low (mL)"),
    "model": message("model"),
    # Note: the pump's serial number.
    "serial": message("serial"),
    # Note: where the pump sits in the body.
    "position": message("position"),
    "tip_level": message("tip level"),
    "implanted_on": message("implanted on"),
    "reading_error_ml": message("reading error (mL)"),
    "filled_ml": message("filled (mL)"),
    "strength_mcg_per_ml": message("strength (mcg/mL)"),
    "drug": message("drug"),
    "expected_ml": message("expected (mL)"),
    "withdrawn_ml": message("withdrawn (mL)"),
    "measured_after_ml": message("measured after (mL)"),
    "printed_alarm_on": message("printed alarm on"),
    "next_visit_on": message("next visit on"),
    "visit_on": message("visit on"),
    # Note: the time of day of a visit at the clinic.
    "visit_time": message("visit time"),
    # Note: a visit at the clinic was cancelled.
    "cancelled": message("cancelled"),
    # Note: a bridge bolus was given at the refill.
    "bridged": message("bridged"),
    "note": message("note"),
    "programme": message("programme"),
    "stiffness": message("stiffness"),
    "spasms": message("spasms"),
    "severity": message("severity"),
    "pain": message("pain"),
    "sleep": message("sleep"),
    "sleepiness": message("sleepiness"),
    "worries": message("worries"),
    # Note: alcohol, sedatives or sleeping pills were taken.
    "sedatives": message("sedatives"),
    "side_effects": message("side effects"),
    # Note: how easy walking or moving over was, a score.
    "ease": message("ease"),
    "tablets_as_planned": message("tablets as planned"),
    # Note: what happened.
    "what": message("what"),
    "follow_up_done": message("follow up done"),
    # Note: the pump feels different after a fall.
    "feels_different": message("feels different"),
    "name": message("name"),
    "value": message("value"),
    "unit": message("unit"),
    "goal": message("goal"),
    "lower_is_better": message("lower is better"),
    "role": message("role"),
    "phone": message("phone"),
    "hours": message("hours"),
    "emergency": message("emergency"),
    "on_card": message("on card"),
    # Note: of a plan or a question.
    "text": message("text"),
    # Note: who gave the plan.
    "from_whom": message("from whom"),
    "given_on": message("given on"),
    "place": message("place"),
    "zone": message("zone"),
    "leaves_on": message("leaves on"),
    "returns_on": message("returns on"),
    # Note: the further places of a trip.
    "stops": message("stops"),
    "clinic": message("clinic"),
    "languages": message("languages"),
    "born_on": message("born on"),
    "surgeon": message("surgeon"),
    "other_drugs": message("other drugs"),
    "allergies": message("allergies"),
    "tablets": message("tablets"),
    # Note: MRI, notes about scans.
    "mri_notes": message("mri notes"),
    # Note: a spinal cord injury at T6 or above.
    "injury_t6_or_above": message("injury t6 or above"),
    "cannot_communicate": message("cannot communicate"),
    "earlier_withdrawal": message("earlier withdrawal"),
    # Note: the person's own written steps for autonomic dysreflexia.
    "own_steps": message("own steps"),
    "diagnosis": message("diagnosis"),
    "blood_pressure": message("blood pressure"),
    "communication": message("communication"),
    "other_implants": message("other implants"),
    "blood_thinners": message("blood thinners"),
    "weight_kg": message("weight (kg)"),
    "months_left": message("months left"),
    # Note: the day of the pump's own notice that it is to be replaced.
    "notice_on": message("notice on"),
    "media_type": message("media type"),
    "data": message("data"),
    "open_weekdays": message("open weekdays"),
    "closed_on": message("closed on"),
    "opened_on": message("opened on"),
    # Note: the rule by which the clinic is open.
    "rule": message("rule"),
    # Note: how many days before the refill the clinic is called.
    "lead_days": message("lead (days)"),
    # Note: how many days before the last date the refill is to be.
    "margin_days": message("margin (days)"),
    "answered": message("answered"),
    "entry_count": message("entry count"),
    "locked": message("locked"),
    # Note: the removal that this one belongs to.
    "together": message("together"),
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
