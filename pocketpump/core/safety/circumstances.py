"""What about now makes warning signs worse: from the forecast, the person and what happened.

`sign_rules` says what each circumstance does; here it is found, with the sentence that says it.
Where the computed and the clinic's printed alarm date differ, the earlier one counts.
"""

from collections.abc import Collection, Mapping

from pocketpump.core.messages import message, plural_message
from pocketpump.core.pump.forecast import Forecast
from pocketpump.core.units.instants import date_text, to_seconds
from pocketpump.core.units.quantity import format_number

HIGH_RISK_HOURS = 72
"""Coffey 2002; emergency-medicine review 2018 (page): the time of highest risk."""
NEAR_ALARM_DAYS = 7
"""Rigoli 2004: withdrawal signs 1-7 days before the alarm, at 2.1-3.8 mL left."""
FELT_ABOVE_ALARM_ML = 2.0
AFTER_SURGERY_DAYS = 56
"""Eight weeks: infections come mostly in the first two months (hospital leaflets)."""

_WITHIN_72_HOURS: Mapping[str, str] = {
    "scan": message("You had a scan less than 72 hours ago."),
    "surgery": message("You had surgery less than 72 hours ago."),
}
_SINCE_THE_REFILL: Mapping[str, str] = {
    "missed refill": message("A refill was missed, and none is noted since."),
    "urgent alarm": message("The pump gave an urgent alarm."),
    "soft alarm": message("The pump gave a soft alarm."),
    "catheter problem": message("Trouble with the catheter is noted."),
}
_RISKS: Mapping[str, str] = {
    "T6": message("Your injury is at T6 or above."),
    "earlier withdrawal": message("You have been through baclofen withdrawal once."),
    "cannot speak": message("You cannot speak or be understood well."),
}


def circumstances(
    forecast: Forecast | None,
    *,
    hours_since: Mapping[str, float],
    since_refill: Collection[str] = (),
    risks: Collection[str] = (),
    days_since_implant: int | None = None,
) -> dict[str, str]:
    """Return the circumstances that hold, id of `CIRCUMSTANCES` to the sentence to say.

    ``hours_since`` maps "scan" and "surgery" to the hours since the last one. ``since_refill``
    names what happened since the last refill and holds until the next: "missed refill", "urgent
    alarm", "soft alarm", "catheter problem". ``risks`` are "T6", "earlier withdrawal", "cannot
    speak". ``days_since_implant`` is None when the day is not known.
    """
    found = {what: said for what, said in _SINCE_THE_REFILL.items() if what in since_refill}
    for what, said in _WITHIN_72_HOURS.items():
        if 0 <= hours_since.get(what, -1) <= HIGH_RISK_HOURS:
            found[what] = said
    found |= {risk: said for risk, said in _RISKS.items() if risk in risks}
    if 0 <= hours_since.get("surgery", -1) <= AFTER_SURGERY_DAYS * 24:
        found["recent surgery"] = message("You had surgery less than eight weeks ago.")
    elif days_since_implant is not None and 0 <= days_since_implant <= AFTER_SURGERY_DAYS:
        found["recent surgery"] = message("The pump was put in less than eight weeks ago.")
    if forecast is not None:
        found |= {**_of_the_fill(forecast), **_of_the_dates(forecast)}
    return found


def _of_the_fill(forecast: Forecast) -> dict[str, str]:
    found: dict[str, str] = {}
    # Of a refill noted twice the danger is counted from the last note, as the dates are from any.
    filled_at = max((one.at for one in forecast.situation.notes_of(forecast.fill)), key=to_seconds)
    since = forecast.now - filled_at
    if since.total_seconds() <= HIGH_RISK_HOURS * 3_600:
        found["refill"] = message("The last refill was less than 72 hours ago.")
    elif forecast.today > forecast.drug_age_limit_at.date():
        found["old drug"] = message(
            "The last refill was {days} days ago, past its limit.", days=since.days
        )
    if forecast.days_to_refill_by < 0 and forecast.programme.mode != "stopped":
        found["overdue"] = message("The refill-by date is past.")
    if _raised_lately(forecast):
        found["raised dose"] = message("The dose was raised less than 72 hours ago.")
    if forecast.programme.mode == "stopped":
        found["stopped"] = message("The pump is noted as stopped.")
    pump = forecast.situation.pump
    if forecast.volume_now_ml <= 0:
        found["empty"] = message("By these numbers the pump is empty.")
    elif forecast.empty_earliest is not None and forecast.now >= forecast.empty_earliest:
        found["empty"] = message("By these numbers the pump may be empty.")
    elif forecast.volume_now_ml <= max(
        pump.alarm_volume_ml + FELT_ABOVE_ALARM_ML, pump.felt_low_ml or 0.0
    ):
        found["low volume"] = message(
            "The pump is low: about {volume} mL left.",
            volume=format_number(forecast.volume_now_ml, 1),
        )
    return found


def _of_the_dates(forecast: Forecast) -> dict[str, str]:
    printed_on, alarm_at = forecast.printed_in_force, forecast.alarm_at
    if alarm_at is not None and forecast.now >= alarm_at:
        return {"alarm past": message("The alarm date is past by these numbers.")}
    if printed_on is not None and forecast.today >= printed_on:
        said = message("The clinic's alarm date was {day}.", day=date_text(printed_on))
        return {"alarm past": said}
    if forecast.alarm_earliest is not None and forecast.now >= forecast.alarm_earliest:
        return {"alarm window": message("The alarm may come any day now.")}
    first = forecast.earlier_alarm_on
    days = None if first is None else (first - forecast.today).days
    if days is None or days > NEAR_ALARM_DAYS:
        return {}
    if days == 0:
        return {"alarm near": message("The alarm date is today.")}
    said = plural_message(
        "The alarm date is near: {count} day left.", "The alarm date is near: {count} days left.",
        days,
    )  # fmt: skip
    return {"alarm near": said}


def _raised_lately(forecast: Forecast) -> bool:
    """Whether any setting of the last 72 hours gave more a day than the one before it."""
    since_s = to_seconds(forecast.now) - HIGH_RISK_HOURS * 3_600
    changes = forecast.situation.changes()
    return any(change.is_raise and to_seconds(change.at) >= since_s for change in changes)
