"""What can be done on the page before the app is there, as HTML: the check-in, the five places.

The scores, their bounds and their words are those of the app's own check-in. The words stand in
the elements in English; the page puts them into the person's language by their ``data-say``.
"""

from __future__ import annotations

import html
from collections.abc import Mapping

from pocketpump.app.forms.fields import Score
from pocketpump.app.main import PLACES
from pocketpump.app.screens.diary.check_in import SPASMS_NOW, STIFFNESS_NOW


def check_in_form(words: Mapping[str, str]) -> str:
    """Return the fields of a check-in; ``words`` are those of the page, by name."""
    dash = (
        '<label hidden><input type="radio" name="spasms" value="">'
        f'<span aria-hidden="true">–</span><span class="unseen" data-say="no_answer_spasms">'
        f"{html.escape(words['no_answer_spasms'])}</span></label>"
    )
    return _score(STIFFNESS_NOW, words) + _score(SPASMS_NOW, words, dash)


def _score(score: Score, words: Mapping[str, str], last: str = "") -> str:
    numbers = "".join(
        f'<label><input type="radio" name="{score.name}" value="{number}">'
        f"<span>{number}</span></label>"
        for number in range(score.most + 1)
    )
    return (
        f'<fieldset class="across-{score.columns}" aria-describedby="{score.name}-helper">'
        f'<legend data-say="{score.name}">{html.escape(words[score.name])}</legend>'
        f'<div class="numbers">{numbers}{last}</div>'
        f'<p class="helper" id="{score.name}-helper" data-say="{score.name}_helper">'
        f"{html.escape(words[f'{score.name}_helper'])}</p></fieldset>"
    )


def place_links(words: Mapping[str, str], outlines: Mapping[str, str]) -> str:
    """Return the links of the bar; ``outlines`` are the paths of their icons by route.

    A path is in a square of 24 units, down being positive, as SVG has it.
    """
    return "".join(
        f'<a href="#{place.route}">{_icon(outlines.get(place.route, ""))}'
        f'<span data-say="place_{place.route[1:]}">'
        f"{html.escape(words[f'place_{place.route[1:]}'])}</span></a>"
        for place in PLACES
    )


def _icon(outline: str) -> str:
    if not outline:
        return ""
    return f'<svg viewBox="0 0 24 24" aria-hidden="true"><path d="{html.escape(outline)}"/></svg>'
