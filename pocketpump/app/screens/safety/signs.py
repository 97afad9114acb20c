"""Warning signs: tick what is there; what to do and whom to call stands at the top at once.

The most dangerous are asked first; the rest is folded away by subject. The emergency number and
the clinic's stay in sight from the start.
"""

from collections.abc import Callable

import flet as ft

from pocketpump.app.forms.form import Form
from pocketpump.app.look import theme
from pocketpump.app.parts import body, check_boxes, column, expander, notice, section
from pocketpump.app.screens.link import link
from pocketpump.app.screens.safety.calls import other_calls, pinned_calls
from pocketpump.app.screens.safety.sign_answer import ANSWER, answer, written_plan
from pocketpump.app.screens.safety.ticked_signs import (
    DRAFT,
    FIELD,
    SEDATIVES,
    asks_for_sedatives,
    clear_button,
    question,
    sedatives_tick,
    toggle,
    with_sedatives,
)
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.messages import joined, message, plural_message
from pocketpump.core.pump.state import NOW_STATES
from pocketpump.core.safety.sign_table import (
    FIRST_ASKED,
    SIGNS,
    SUBJECTS,
    WHY_EMERGENCY_FIRST,
    Sign,
)
from pocketpump.core.safety.signs import Advice, assess
from pocketpump.record.facts.circumstances import clinic_open_of, present_of
from pocketpump.record.facts.state import state_by

_BY_ID = {sign.id: sign for sign in SIGNS}
_FOLDS, _OPEN = "signs", "open"


def signs(app: App[Services]) -> list[ft.Control]:
    """Draw the answer to what is ticked, then the signs."""
    services = app.services
    form = Form(app, DRAFT, {FIELD: {}, SEDATIVES: ""})
    now = services.now()
    entries = services.record.alive
    present = present_of(entries, services.forecast()[0], now)
    is_open = clinic_open_of(entries, now)

    def advised() -> Advice | None:
        ticked = list(form.value(FIELD))
        taken = form.text(SEDATIVES) == "yes"
        return assess(ticked, with_sedatives(present, ticked, taken=taken), clinic_open=is_open)

    advice = advised()

    def tick(sign: str) -> None:
        toggle(form, sign, services.now())
        after = advised()
        # Far down the list another answer would come up out of sight, and what lay under the
        # finger would be another row.
        if after is not None and (advice is None or after.headline != advice.headline):
            app.reveal(ANSWER)

    bar, pinned = pinned_calls(app, advice)
    asked = question(form, services.now)
    controls: list[ft.Control] = [*asked]
    if advice is None:
        controls += _before_a_tick(app)
        if theme.roomy():
            controls += other_calls(app, pinned, emergency_first=True)
    else:
        controls += answer(app, advice, ticked=_ticked_rows(form), pinned=pinned)
        if not asked:
            controls.append(clear_button(form))
    controls += _asked(form, Form(app, _FOLDS, {_OPEN: []}), tick)
    if advice is not None:
        controls.append(
            link(app, message("Save this with a check-in"), "/check-in", ft.Icons.CHECK)
        )
    return [*controls, bar]


def open_subject(app: App[Services], sign: str) -> None:
    """Unfold the subject of ``sign``."""
    draft = app.draft(_FOLDS)
    draft[_OPEN] = sorted({*draft.get(_OPEN, ()), _BY_ID[sign].subject})


def _before_a_tick(app: App[Services]) -> list[ft.Control]:
    told: list[ft.Control] = [
        body(message("Tick what is there now. What to do comes up here at the top."))
    ]
    services = app.services
    forecast = services.forecast()[0]
    state = state_by(services.record.alive, forecast) if forecast else None
    if state is not None and state.is_grave:
        also = message("Do so even without any of these signs.")
        is_open = clinic_open_of(services.record.alive, services.now())
        closed = state.word in NOW_STATES and is_open is False
        why = [WHY_EMERGENCY_FIRST] if closed else []
        text = joined(" ", (state.sentence, *why, also))
        told.append(notice(text, needs_you=True, key="without a sign"))
        told += written_plan(app)
    return told


def _ticked_rows(form: Form) -> list[ft.Control]:
    """What is ticked, wherever it was; and what adds to it."""
    ticked = dict(form.value(FIELD))

    def take_away(sign: str) -> None:
        form.put(FIELD, {one: at for one, at in ticked.items() if one != sign})

    rows = [(one, _BY_ID[one].words) for one in ticked if one in _BY_ID]
    drawn = [check_boxes(message("You ticked (a tap takes it away)"), rows, ticked, take_away)]
    return [*drawn, sedatives_tick(form)] if asks_for_sedatives(ticked) else drawn


def _asked(form: Form, folds: Form, tick: Callable[[str], None]) -> list[ft.Control]:
    """The signs: the first asked in the open, the others folded away by subject."""
    ticked = list(form.value(FIELD))

    def rows(label: str, asked: list[Sign]) -> ft.Control:
        return check_boxes(label, [(sign.id, sign.words) for sign in asked], ticked, tick)

    subjects: list[ft.Control] = []
    for key, title in SUBJECTS:
        asked = [sign for sign in SIGNS if sign.subject == key and sign.id not in FIRST_ASKED]
        count = sum(sign.id in ticked for sign in asked)
        note = plural_message("{count} ticked", "{count} ticked", count) if count else ""
        subjects.append(
            _subject(folds, key, title, note, rows(message("Tick what is there"), asked))
        )
    return [
        rows(message("Any of these?"), [_BY_ID[one] for one in FIRST_ASKED]),
        column([section(message("Or any of these?")), *subjects]),
    ]


def _subject(folds: Form, key: str, title: str, note: str, rows: ft.Control) -> ft.Control:
    unfolded = list(folds.value(_OPEN))
    is_open = key in unfolded

    def turn() -> None:
        others = [one for one in unfolded if one != key]
        folds.put(_OPEN, others if is_open else [*others, key])

    return expander(title, note, [rows], is_open=is_open, on_toggle=turn, key=f"subject:{key}")
