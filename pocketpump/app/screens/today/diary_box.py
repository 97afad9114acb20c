"""What Today shows of the diary: the way to a check-in, what stands out, what is open."""

from datetime import timedelta

import flet as ft

from pocketpump.app.parts import big_button, notice
from pocketpump.app.screens.link import link
from pocketpump.app.screens.safety.alerts import is_offered
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.diary.check_ins import STIFFNESS, readings
from pocketpump.core.diary.events import event_words, known_event, open_follow_ups
from pocketpump.core.diary.sudden_change import LOOK_BACK_DAYS, sudden_change
from pocketpump.core.messages import joined, message
from pocketpump.core.units.instants import date_text
from pocketpump.record.facts.diary import check_ins_of, diary_events_of, since

WHAT_THEN = message(
    "This can be chance. Look at the warning signs: they say what to do and whom to call. If"
    " something feels wrong to you, call the clinic and do not wait."
)
"""What to do when a score lies far from the usual one."""


def how_is_it(app: App[Services]) -> list[ft.Control]:
    """Draw the big button; under it a sudden change and the questions still open."""
    services = app.services
    entries = services.record.alive
    controls: list[ft.Control] = [
        big_button(
            message("How is it now?"), lambda: app.go("/check-in"), icon=ft.Icons.FAVORITE_OUTLINE
        )
    ]
    now = services.now()
    lately = since(entries, now - timedelta(days=LOOK_BACK_DAYS))
    sudden = sudden_change(readings(check_ins_of(lately), STIFFNESS), now.date())
    # A score far above the usual is offered as a sign already.
    if sudden.verdict == "below" or (sudden.verdict == "above" and not is_offered(app)):
        # Calm to look at, since it can be chance; what is alarming are the signs themselves.
        controls += [
            notice(joined(" ", (sudden.sentence, WHAT_THEN)), key="sudden",
                   below=[link(app, message("Look at the warning signs"), "/signs",
                               ft.Icons.HEARING)]),
        ]  # fmt: skip
    for diary_event, question in open_follow_ups(diary_events_of(entries)):
        asked = message(
            "{what}, {day}: {question}",
            what=event_words(diary_event.what).capitalize(),
            day=date_text(diary_event.at.date()),
            question=question,
        )
        told = known_event(diary_event.what).told
        text = joined(" ", (asked, told)) if told else asked
        below = [_answer(app, diary_event.id)]
        controls.append(notice(text, key=f"open:{diary_event.id}", below=below))
    return controls


def _answer(app: App[Services], entry_id: str) -> ft.Control:
    return link(app, message("Answer this"), f"/happening?id={entry_id}",
                ft.Icons.EDIT_OUTLINED, key=f"answer:{entry_id}")  # fmt: skip
