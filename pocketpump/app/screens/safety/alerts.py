"""What was noted lately and still asks for a call, kept in sight on Today after it is saved."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta

import flet as ft

from pocketpump.app.parts import notice, quiet_button
from pocketpump.app.screens.link import link
from pocketpump.app.screens.safety.calls import first_calls as first_calls
from pocketpump.app.screens.safety.ticked_signs import SEDATIVES, open_signs, with_sedatives
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.diary.check_ins import STIFFNESS, readings
from pocketpump.core.diary.events import signs_of_event
from pocketpump.core.messages import joined, message
from pocketpump.core.safety.check_in_signs import BEFORE_DAYS, signs_of, usual_stiffness
from pocketpump.core.safety.sign_table import SIGNS, Urgency
from pocketpump.core.safety.signs import Advice, assess, sign_words
from pocketpump.record import Entry
from pocketpump.record.facts.circumstances import clinic_open_of, present_of
from pocketpump.record.facts.diary import check_ins_of, diary_events_of, since
from pocketpump.record.facts.situation import newest

# Long enough for the clinic to have answered (own choice, no source).
_STILL = timedelta(hours=48)
_OFFERED = timedelta(hours=12)
"""Signs of withdrawal may begin within 12 hours (label; Coffey 2002; Saulino 2016)."""
_KNOWN = frozenset(sign.id for sign in SIGNS)


@dataclass(frozen=True, slots=True)
class Noted:
    """What was noted of two days: signs, each with when.

    ``signs`` count; ``offered`` may be signs, by the scores and side effects of the newest
    check-in, whose id is ``check_in``; of them ``compared`` only because a score lies far above
    what is usual, which can be chance. ``sedatives`` says that something was taken that adds.
    """

    signs: Mapping[str, datetime] = field(default_factory=dict)
    offered: Mapping[str, datetime] = field(default_factory=dict)
    sedatives: bool = False
    check_in: str = ""
    compared: frozenset[str] = frozenset()


def noted_lately(services: Services) -> Noted:
    """Return what the newest check-in and the unanswered diary events of two days amount to.

    A later check-in takes the place of the one before; answering an event closes it.
    """
    now = services.now()
    lately = since(services.record.alive, now - _STILL)
    found: dict[str, datetime] = {}
    for diary_event in diary_events_of(services.record.alive):
        # A pump that feels different does so until somebody looked at it.
        if diary_event.feels_different or now - diary_event.at <= _STILL:
            found |= dict.fromkeys(signs_of_event(diary_event), diary_event.at)
    check_in = newest(lately, "check-in", now)
    if check_in is None:
        return Noted(_known(found))
    worries = check_in.payload.get("worries")
    if isinstance(worries, list | tuple):
        found |= {str(one): check_in.at for one in worries}
    is_new = now - check_in.at <= _OFFERED
    offered, compared = _offered(services, check_in) if is_new else ((), frozenset[str]())
    return Noted(
        _known(found),
        {sign: check_in.at for sign in offered if sign not in found},
        bool(check_in.payload.get(SEDATIVES)),
        check_in.id,
        compared,
    )


def noted_advice(services: Services) -> Advice | None:
    """Return what was noted lately asks for; None when for no call today or sooner."""
    noted = noted_lately(services)
    return _call_for(services, noted, noted.signs)


def is_offered(app: App[Services]) -> bool:
    """Return whether the warning signs are offered now for what a check-in said."""
    noted = noted_lately(app.services)
    return bool(noted.offered) and app.draft("offer").get("closed") != noted.check_in


def alerts(app: App[Services]) -> list[ft.Control]:
    """Draw the call that what was noted lately asks for, or the offer to look at the signs."""
    noted = noted_lately(app.services)
    every = {**noted.signs, **noted.offered}
    see = quiet_button(message("See what to do"), lambda: open_signs(app, every),
                       icon=ft.Icons.HEARING)  # fmt: skip
    advice = _call_for(app.services, noted, noted.signs)
    if advice is None:
        return [_offer(app, noted, every, see)] if is_offered(app) else []
    told = message("You noted: {signs}.", signs=sign_words(noted.signs))
    text = joined(" ", filter(None, (told, advice.why_emergency, *advice.do, advice.unanswered)))
    return [
        notice(text, needs_you=True, key="heed", heading=advice.headline),
        *first_calls(app, emergency_first=advice.calls_emergency, key="heed"),
        see,
        link(app, message("It is better: check in again"), "/check-in", ft.Icons.FAVORITE_OUTLINE),
    ]


def _offer(
    app: App[Services], noted: Noted, every: Mapping[str, datetime], see: ft.Control
) -> ft.Control:
    def close() -> None:
        app.draft("offer")["closed"] = noted.check_in
        app.refresh()

    text = message(
        "What you noted may be a warning sign: {signs}. See what to do. What does not fit you can"
        " take away there.",
        signs=sign_words(noted.offered),
    )
    return notice(text, close=close, needs_you=_is_urgent(app.services, noted, every), key="offer",
                  below=[see])  # fmt: skip


def _is_urgent(services: Services, noted: Noted, every: Mapping[str, datetime]) -> bool:
    """Return whether the offer asks for a call, and not only by a comparison with what is usual.

    In whatever makes a call more urgent than today (a low pump, a refill just made …) it does.
    """
    advice = _call_for(services, noted, every)
    if advice is None or advice.urgency > Urgency.TODAY:
        return advice is not None
    sure = {sign: at for sign, at in every.items() if sign not in noted.compared}
    return _call_for(services, noted, sure) is not None


def _call_for(services: Services, noted: Noted, signs: Mapping[str, datetime]) -> Advice | None:
    """Return the advice on ``signs`` if it is to call today or sooner."""
    if not signs:  # most days: then nothing has to be worked out
        return None
    entries, now = services.record.alive, services.now()
    present = present_of(entries, services.forecast()[0], now)
    present = with_sedatives(present, tuple(signs), taken=noted.sedatives)
    advice = assess(tuple(signs), present, clinic_open=clinic_open_of(entries, now))
    return advice if advice is not None and advice.urgency >= Urgency.TODAY else None


def _known(found: Mapping[str, datetime]) -> dict[str, datetime]:
    return {sign: at for sign, at in found.items() if sign in _KNOWN}


def _offered(services: Services, entry: Entry) -> tuple[tuple[str, ...], frozenset[str]]:
    """Return the signs that the check-in ``entry`` may be, and which only by comparison."""
    read = check_ins_of([entry])
    if not read:
        return (), frozenset()
    before = since(services.record.alive, entry.at - timedelta(days=BEFORE_DAYS + 2))
    usual = usual_stiffness(readings(check_ins_of(before), STIFFNESS), entry.at)
    offered = signs_of(read[0], usual)
    return offered, frozenset(offered) - frozenset(signs_of(read[0]))
