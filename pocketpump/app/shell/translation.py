"""Says a drawn screen in another language: the last step before it is sent to the client."""

from __future__ import annotations

import re

import flet as ft

from pocketpump.app.parts.control_tree import values
from pocketpump.app.parts.fields import SteadyField
from pocketpump.core.messages import LazyText, Locale, text_in

_THOUSAND = re.compile(r"\d{1,3},\d{3}")
"""A decimal comma that reads like a thousand: in a box one more zero makes it one only.

Only for a number of ours: what the person typed is never reworded, and asked about when saved.
"""


def translate(control: ft.BaseControl, locale: Locale | None) -> None:
    """Put every said text of ``control``, and of all it holds, into ``locale`` (None: English).

    What the person typed is no said text and stays.
    """
    if locale is None:
        return
    for one, name, value in values(control):
        if not isinstance(value, LazyText):
            continue
        words = text_in(value, locale)
        if isinstance(one, SteadyField):
            if _THOUSAND.fullmatch(words):
                words += "0"
            if name == "value":
                one.asked_for(words)
        setattr(one, name, words)
