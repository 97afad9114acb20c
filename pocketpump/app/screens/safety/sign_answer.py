"""The answer to the ticked signs: what to do, why, and what helps until help is there."""

from collections.abc import Sequence

import flet as ft

from pocketpump.app.look import theme
from pocketpump.app.parts import body, card, scroll_key, section
from pocketpump.app.screens.link import link
from pocketpump.app.screens.safety.calls import other_calls
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.messages import joined, message
from pocketpump.core.safety.sign_table import Sign, Urgency
from pocketpump.core.safety.signs import Advice
from pocketpump.record.facts.card_facts import care_of

ANSWER = "answer"
"""The scroll key of the answer."""


def answer(
    app: App[Services], advice: Advice, *, ticked: Sequence[ft.Control], pinned: frozenset[str]
) -> list[ft.Control]:
    """Draw the answer, under it what is ``ticked``, the steps until help is there and the calls.

    ``pinned`` are the ids of the contacts that are in sight already.
    """
    controls: list[ft.Control] = [_box(advice)]
    # The person's own steps come before the usual ones.
    if advice.urgency >= Urgency.TODAY:
        controls += written_plan(app)
    if advice.until_help:
        steps = [body(sentence) for sentence in advice.until_help]
        controls.append(card([section(message("Until help is there")), *steps]))
    controls += ticked
    controls += other_calls(app, pinned, emergency_first=advice.calls_emergency)
    controls.append(link(app, message("Show my card"), "/card", ft.Icons.BADGE_OUTLINED))
    controls.append(app.explain("signs", _sources(advice)))
    return controls


def written_plan(app: App[Services]) -> list[ft.Control]:
    """Draw the clinic's own written instructions; nothing when none are noted."""
    plan = care_of(app.services.record.alive, app.services.now()).plan
    if not plan:
        return []
    return [card([section(message("Your clinic's written plan")), body(plan)])]


def _box(advice: Advice) -> ft.Control:
    severe = advice.urgency >= Urgency.TODAY
    ground, ink = (
        (theme.ACCENT_WASH, theme.ON_ACCENT_WASH) if severe else (theme.WATER, theme.ON_WATER)
    )
    said = _sentences(advice)
    lines: list[ft.Control] = [
        ft.Text(advice.headline, theme_style=theme.HEADING, color=ink),
        *(ft.Text(sentence, theme_style=theme.BODY, color=ink) for sentence in said),
    ]
    spoken = ft.Semantics(
        # One name, so that the whole answer is spoken as one when it changes.
        label=joined(" ", [advice.headline, *said]),
        live_region=True,
        container=True,
        exclude_semantics=True,
        content=ft.Column(lines, spacing=8),
    )
    box = ft.Container(spoken, bgcolor=ground, border_radius=theme.RADIUS, padding=16, key="answer")
    return ft.Container(box, key=scroll_key(ANSWER))


def _sentences(advice: Advice) -> list[str]:
    """Return what stands under the headline, in order."""
    why = [advice.why_emergency, *advice.do, advice.unanswered, *advice.circumstances]
    if advice.raised:
        why.append(message("Because of that it is more urgent."))
    could_be = message("It could be {causes}.", causes=joined(message(" or "), advice.could_be))
    return [sentence for sentence in (*why, could_be) if sentence]


def _sources(advice: Advice) -> list[tuple[str, str]]:
    return [
        (
            # Note: signs that count more when they are there together.
            row.words if isinstance(row, Sign) else message("together"),
            message("Source: {source}.", source=row.source),
        )
        for row in advice.because
    ]
