"""What Today shows of the diary: the way to a check-in, what stands out, what is open."""

from datetime import timedelta

import flet as ft

from pocketpump.app.parts import big_button, notice, quiet_button
from pocketpump.app.screens.safety.alerts import is_offered
from pocketpump.app.services import Notebook
from pocketpump.app.shell.shell import App
from pocketpump.core.diary.check_ins import STIFFNESS, readings
from pocketpump.core.diary.events import happening_words, known_happening, open_follow_ups
from pocketpump.core.diary.sudden_change import LOOK_BACK_DAYS, sudden_change
from pocketpump.core.messages import joined, worded
from pocketpump.core.units.instants import date_text
from pocketpump.record.facts.diary import check_ins_of, happenings_of, since

WHAT_THEN = worded(
    "This can be chance. Look at the warning signs: they say what to do and whom to call. If"
    " something feels wrong to you, call the clinic and do not wait."
)
"""What to do when a score lies far from the usual one."""


def how_is_it(app: App[Notebook]) -> list[ft.Control]:
    """Draw the big button; under it a sudden change and the questions still open."""
    notebook = app.services
    entries = notebook.record.alive
    controls: list[ft.Control] = [
        big_button(
            worded("How is it now?"), lambda: app.go("/check-in"), icon=ft.Icons.FAVORITE_OUTLINE
        )
    ]
    now = notebook.now()
    lately = since(entries, now - timedelta(days=LOOK_BACK_DAYS))
    sudden = sudden_change(readings(check_ins_of(lately), STIFFNESS), now.date())
    # A score far above the usual is offered as a sign already.
    if sudden.verdict == "below" or (sudden.verdict == "above" and not is_offered(app)):
        # Calm to look at, since it can be chance; what is alarming are the signs themselves.
        controls += [
            notice(joined(" ", (sudden.sentence, WHAT_THEN)), key="sudden",
                   below=[quiet_button(worded("Look at the warning signs"),
                                       lambda: app.go("/signs"), icon=ft.Icons.HEARING)]),
        ]  # fmt: skip
    for happening, question in open_follow_ups(happenings_of(entries)):
        asked = worded(
            "{what}, {day}: {question}",
            what=happening_words(happening.what).capitalize(),
            day=date_text(happening.at.date()),
            question=question,
        )
        told = known_happening(happening.what).told
        text = joined(" ", (asked, told)) if told else asked
        below = [_answer(app, happening.id)]
        controls.append(notice(text, key=f"open:{happening.id}", below=below))
    return controls


def _answer(app: App[Notebook], entry_id: str) -> ft.Control:
    return quiet_button(worded("Answer this"), lambda: app.go(f"/happening?id={entry_id}"),
                        icon=ft.Icons.EDIT_OUTLINED, key=f"answer:{entry_id}")  # fmt: skip
