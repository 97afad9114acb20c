"""Says a drawn screen in another language: the last step before it is sent to the client."""

from __future__ import annotations

import re
from dataclasses import fields

import flet as ft

from pocketpump.app.parts.fields import SteadyField
from pocketpump.core.messages import LazyText, Locale, text_in

_THOUSAND = re.compile(r"\d{1,3},\d{3}")
"""A decimal comma that reads like a thousand: in a box one more zero makes it one only.

Only for a number of ours: what the person typed is never reworded, and asked about when saved.
"""


def translate(control: ft.BaseControl, locale: Locale | None) -> None:
    """Put every said text of ``control``, and of all it holds, into ``locale`` (None: English).

    What the person typed is no said text and stays. Whole trees are gone through, and not
    each part by itself, so that no part can be forgotten.
    """
    if locale is None:
        return
    for field in fields(control):
        if field.name.startswith("_") or field.name in ("key", "data"):
            continue
        value = getattr(control, field.name)
        if isinstance(value, LazyText):
            words = text_in(value, locale)
            if isinstance(control, SteadyField) and _THOUSAND.fullmatch(words):
                words += "0"
            setattr(control, field.name, words)
        elif isinstance(value, ft.BaseControl):
            translate(value, locale)
        elif isinstance(value, list):
            for inner in value:
                if isinstance(inner, ft.BaseControl):
                    translate(inner, locale)
    if isinstance(control, SteadyField):
        control.asked_for(control.value)
