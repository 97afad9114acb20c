"""What stands under the fields of a dose setting: its sum, the change, and what to look at."""

from datetime import datetime
from math import isclose

import flet as ft

from pocketpump.app.notebook import Notebook
from pocketpump.app.parts import body, notice
from pocketpump.app.words import STOPPING
from pocketpump.core.pattern import Programme
from pocketpump.core.quantity import DOSE, format_number, format_quantity
from pocketpump.core.steps import NO_CHANGE_PERCENT, dose_before, look_again, percent_text
from pocketpump.core.wording import joined, worded
from pocketpump.record.situation import origin_of

# The fields hold six decimals of an amount.
_ROUNDED = 1e-6


def dose_words(
    notebook: Notebook, programme: Programme | None, at: datetime, correcting: str = ""
) -> list[ft.Control]:
    """Draw what ``programme`` comes to and how far it is from the dose before ``at``.

    ``correcting`` is the id of the setting being corrected, "" for a new one.
    """
    if programme is None:
        return []
    if programme.mode == "stopped":
        return stopping(programme)
    question = dose_question(notebook, programme, at, correcting)
    told = (_sum(programme), _change(notebook, programme, at, correcting))
    words: list[ft.Control] = [body(joined(" ", filter(None, told)))]
    return [*words, notice(question, needs_you=True, key="look again")] if question else words


def stopping(programme: Programme | None) -> list[ft.Control]:
    """Draw the caution that belongs to a pump that delivers nothing; nothing for any other."""
    if programme is None or programme.mode != "stopped":
        return []
    return [notice(STOPPING, needs_you=True, key="stopping")]


def dose_question(
    notebook: Notebook, programme: Programme | None, at: datetime, correcting: str = ""
) -> str:
    """Return what to look at again before ``programme`` is saved; "" for nothing."""
    if programme is None:
        return ""
    dose = programme.dose_mcg_per_day
    situation, _ = notebook.situation()
    settings = situation.settings if situation else ()
    kept = next((s.programme for s in settings if correcting and s.id == correcting), None)
    if kept is not None and isclose(kept.dose_mcg_per_day, dose, rel_tol=_ROUNDED):
        # It was saved like this before; only something else is being corrected.
        return ""
    return look_again(dose_before(settings, at, correcting), dose, origin_of(notebook.record.alive))


def _sum(programme: Programme) -> str:
    dose = format_number(programme.dose_mcg_per_day, 1)
    if programme.requested:
        return worded("That is {dose} mcg a day, with every requested bolus.", dose=dose)
    return worded("That is {dose} mcg a day.", dose=dose)


def _change(notebook: Notebook, programme: Programme, at: datetime, correcting: str) -> str:
    situation, _ = notebook.situation()
    before = dose_before(situation.settings, at, correcting) if situation else 0.0
    if before <= 0:
        return ""
    percent = (programme.dose_mcg_per_day - before) / before * 100
    if abs(percent) < NO_CHANGE_PERCENT:
        return worded("The dose before was the same.")
    was = format_quantity(before, DOSE)
    return worded(
        "It is {percent} against the {dose} before.", percent=percent_text(percent), dose=was
    )
