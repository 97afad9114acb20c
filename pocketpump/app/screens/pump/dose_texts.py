"""What stands under the fields of a dose setting: its sum, the change, and what to look at."""

from collections.abc import Iterable, Sequence
from datetime import datetime

import flet as ft

from pocketpump.app.parts import body, notice
from pocketpump.app.screens.undo import undo_of
from pocketpump.app.services import Services
from pocketpump.app.shared_texts import STOPPING
from pocketpump.app.shell.shell import App
from pocketpump.core.messages import joined, message
from pocketpump.core.pump.dose_steps import NO_CHANGE_PERCENT, dose_before, percent_text
from pocketpump.core.pump.programme import Programme
from pocketpump.core.pump.situation_problems import not_in_force
from pocketpump.core.refill_check.plausibility import Amounts, Odd, odd_amounts
from pocketpump.core.units.quantity import DOSE, entered_number, entered_quantity
from pocketpump.record.facts.situation import origin_of

_OF_THE_DOSE = ("dose", "step", "flow")


def odd_notices(odds: Iterable[Odd], *fields: str) -> list[ft.Control]:
    """Draw what is unusual about ``fields``, to stand under them while they are typed."""
    return [
        notice(odd.sentence, needs_you=True, key=f"odd:{odd.field}")
        for odd in odds
        if odd.field in fields
    ]


def question_of(odds: Iterable[Odd], kept: Iterable[Odd]) -> str:
    """Return what to ask before saving: what is odd, but not what ``kept`` values already were."""
    known = {odd.sentence for odd in kept}
    return joined(" ", (odd.sentence for odd in odds if odd.sentence not in known))


def dose_words(
    services: Services,
    programme: Programme | None,
    at: datetime,
    odds: Iterable[Odd],
    correcting: str = "",
) -> list[ft.Control]:
    """Draw what ``programme`` comes to, how far it is from the dose before ``at``, what is odd.

    ``correcting`` is the id of the setting being corrected, "" for a new one.
    """
    if programme is None:
        return []
    if programme.mode == "stopped":
        return stopping(programme)
    told = (_sum(programme), _change(services, programme, at, correcting))
    return [body(joined(" ", filter(None, told))), *odd_notices(odds, *_OF_THE_DOSE)]


def say_saved(app: App[Services], done: str, saved: Sequence[str], *, is_new: bool) -> None:
    """Say ``done`` of the ``saved`` ids, and when of them a dose setting is not what runs now."""
    situation, _ = app.services.situation()
    now = app.services.now()
    told = (not_in_force(situation, one, now) for one in saved) if situation else ()
    other = next(filter(None, told), "")
    app.say(
        joined(" ", filter(None, (done, other))),
        undo=undo_of(app, *saved),
        needs_you=bool(other) and is_new,
    )


def stopping(programme: Programme | None) -> list[ft.Control]:
    """Draw the caution that belongs to a pump that delivers nothing; nothing for any other."""
    if programme is None or programme.mode != "stopped":
        return []
    return [notice(STOPPING, needs_you=True, key="stopping")]


def dose_odds(
    services: Services, programme: Programme | None, at: datetime, correcting: str = ""
) -> tuple[Odd, ...]:
    """Return what is unusual about ``programme`` from ``at`` on, with the drug in the pump then."""
    if programme is None:
        return ()
    situation, _ = services.situation()
    fill = situation.fill_at(at) if situation else None
    amounts = Amounts(
        strength_mcg_per_ml=fill.strength_mcg_per_ml if fill else None,
        filled_ml=fill.volume_ml if fill else None,
        dose_mcg_per_day=programme.dose_mcg_per_day,
        dose_before_mcg_per_day=dose_before(situation.settings, at, correcting) if situation else 0,
        origin=origin_of(services.record.alive, services.now()),
    )
    return tuple(odd for odd in odd_amounts(amounts) if odd.field in _OF_THE_DOSE)


def kept_odds(services: Services, at: datetime, correcting: str) -> tuple[Odd, ...]:
    """Return what was odd about the setting that is being corrected, as it was saved."""
    situation, _ = services.situation()
    settings = (*situation.settings, *situation.settings_ahead) if situation else ()
    kept = next((s.programme for s in settings if correcting and s.id == correcting), None)
    return dose_odds(services, kept, at, correcting)


def _sum(programme: Programme) -> str:
    dose = entered_number(programme.dose_mcg_per_day)
    if programme.requested:
        return message("That is {dose} mcg a day, with every requested bolus.", dose=dose)
    return message("That is {dose} mcg a day.", dose=dose)


def _change(services: Services, programme: Programme, at: datetime, correcting: str) -> str:
    situation, _ = services.situation()
    before = dose_before(situation.settings, at, correcting) if situation else 0.0
    if before <= 0:
        return ""
    percent = (programme.dose_mcg_per_day - before) / before * 100
    if abs(percent) < NO_CHANGE_PERCENT:
        return message("The dose before was the same.")
    was = entered_quantity(before, DOSE)
    return message(
        "It is {percent} against the {dose} before.", percent=percent_text(percent), dose=was
    )
