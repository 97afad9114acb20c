"""What about now makes warning signs worse: from the outlook, the person and what happened.

`sign_rules` says what each circumstance does; here it is found, with the sentence that says it.
Where the computed and the clinic's printed alarm date differ, the earlier one counts.
"""

from collections.abc import Collection, Mapping

from pocketpump.core.messages import worded, worded_count
from pocketpump.core.pump.forecast import Outlook
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
    "scan": worded("You had a scan less than 72 hours ago."),
    "surgery": worded("You had surgery less than 72 hours ago."),
}
_SINCE_THE_REFILL: Mapping[str, str] = {
    "missed refill": worded("A refill was missed, and none is noted since."),
    "urgent alarm": worded("The pump gave an urgent alarm."),
    "soft alarm": worded("The pump gave a soft alarm."),
    "catheter problem": worded("Trouble with the catheter is noted."),
}
_RISKS: Mapping[str, str] = {
    "T6": worded("Your injury is at T6 or above."),
    "earlier withdrawal": worded("You have been through baclofen withdrawal once."),
    "cannot speak": worded("You cannot speak or be understood well."),
}


def circumstances(
    outlook: Outlook | None,
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
        found["recent surgery"] = worded("You had surgery less than eight weeks ago.")
    elif days_since_implant is not None and 0 <= days_since_implant <= AFTER_SURGERY_DAYS:
        found["recent surgery"] = worded("The pump was put in less than eight weeks ago.")
    if outlook is not None:
        found |= {**_of_the_fill(outlook), **_of_the_dates(outlook)}
    return found


def _of_the_fill(outlook: Outlook) -> dict[str, str]:
    found: dict[str, str] = {}
    # Of a refill noted twice the danger is counted from the last note, as the dates are from any.
    filled_at = max((one.at for one in outlook.situation.notes_of(outlook.fill)), key=to_seconds)
    since = outlook.now - filled_at
    if since.total_seconds() <= HIGH_RISK_HOURS * 3_600:
        found["refill"] = worded("The last refill was less than 72 hours ago.")
    elif outlook.today > outlook.drug_age_limit_at.date():
        found["old drug"] = worded(
            "The last refill was {days} days ago, past its limit.", days=since.days
        )
    if outlook.days_to_refill_by < 0 and outlook.programme.mode != "stopped":
        found["overdue"] = worded("The refill-by date is past.")
    if _raised_lately(outlook):
        found["raised dose"] = worded("The dose was raised less than 72 hours ago.")
    if outlook.programme.mode == "stopped":
        found["stopped"] = worded("The pump is noted as stopped.")
    pump = outlook.situation.pump
    if outlook.volume_now_ml <= 0:
        found["empty"] = worded("By these numbers the pump is empty.")
    elif outlook.empty_earliest is not None and outlook.now >= outlook.empty_earliest:
        found["empty"] = worded("By these numbers the pump may be empty.")
    elif outlook.volume_now_ml <= max(
        pump.alarm_volume_ml + FELT_ABOVE_ALARM_ML, pump.felt_low_ml or 0.0
    ):
        found["low volume"] = worded(
            "The pump is low: about {volume} mL left.",
            volume=format_number(outlook.volume_now_ml, 1),
        )
    return found


def _of_the_dates(outlook: Outlook) -> dict[str, str]:
    printed_on, alarm_at = outlook.printed_in_force, outlook.alarm_at
    if alarm_at is not None and outlook.now >= alarm_at:
        return {"alarm past": worded("The alarm date is past by these numbers.")}
    if printed_on is not None and outlook.today >= printed_on:
        said = worded("The clinic's alarm date was {day}.", day=date_text(printed_on))
        return {"alarm past": said}
    if outlook.alarm_earliest is not None and outlook.now >= outlook.alarm_earliest:
        return {"alarm window": worded("The alarm may come any day now.")}
    first = outlook.earlier_alarm_on
    days = None if first is None else (first - outlook.today).days
    if days is None or days > NEAR_ALARM_DAYS:
        return {}
    if days == 0:
        return {"alarm near": worded("The alarm date is today.")}
    said = worded_count(
        "The alarm date is near: {count} day left.", "The alarm date is near: {count} days left.",
        days,
    )  # fmt: skip
    return {"alarm near": said}


def _raised_lately(outlook: Outlook) -> bool:
    """Whether any setting of the last 72 hours gave more a day than the one before it."""
    since_s = to_seconds(outlook.now) - HIGH_RISK_HOURS * 3_600
    changes = outlook.situation.changes()
    return any(change.is_raise and to_seconds(change.at) >= since_s for change in changes)
