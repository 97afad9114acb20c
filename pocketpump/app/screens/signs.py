"""Warning signs: tick what is there; what to do and whom to call stands at the top at once."""

from collections.abc import Sequence

import flet as ft

from pocketpump.app import theme
from pocketpump.app.forms import Form
from pocketpump.app.notebook import Notebook
from pocketpump.app.parts import Pinned, big_button, body, call_button, card, quiet_button, ticks
from pocketpump.app.screens.check_in import DRAFT
from pocketpump.app.screens.ticked import FIELD, clear_button, question, toggle
from pocketpump.app.shell import App
from pocketpump.core.contacts import EMERGENCY_ROLE, Contact, call_order, dial_text
from pocketpump.core.sign_table import SIGNS, SUBJECTS, Sign, Urgency
from pocketpump.core.signs import Advice, assess
from pocketpump.core.wording import joined, worded
from pocketpump.record.danger import clinic_open_of, present_of
from pocketpump.record.diary import contacts_of


def signs(app: App[Notebook]) -> list[ft.Control]:
    """Draw the answer to what is ticked, then the signs."""
    form = Form(app, DRAFT, {FIELD: {}})
    ticked = list(form.value(FIELD))
    advice = advice_on(app.services, ticked)

    now = app.services.now()
    asked = question(form, now)
    controls: list[ft.Control] = [*asked]
    if advice is None:
        controls.append(
            body(worded("Tick what is there now. What to do comes up here at the top."))
        )
    else:
        controls += _answer(app, advice)
        if not asked:
            controls.append(clear_button(form))
    for subject, title in SUBJECTS:
        rows = [(sign.id, sign.words) for sign in SIGNS if sign.subject == subject]
        controls.append(ticks(title, rows, ticked, lambda sign: toggle(form, sign, now)))
    controls.append(
        big_button(
            worded("Back to the check-in"), lambda: app.go("/check-in"), icon=ft.Icons.ARROW_BACK
        )
    )
    if advice is not None:
        controls.append(_in_sight(app, advice))
    return controls


def advice_on(notebook: Notebook, ticked: Sequence[str]) -> Advice | None:
    """Return the advice on the signs ``ticked`` as things are now; None when there are none."""
    now, entries = notebook.now(), notebook.record.alive
    present = present_of(entries, notebook.outlook()[0], now)
    return assess(ticked, present, clinic_open=clinic_open_of(entries, now))


def _in_sight(app: App[Notebook], advice: Advice) -> ft.Control:
    """The headline and the first call, in sight however far down the list the tick was."""
    able = _able(app, advice)
    lines: list[ft.Control] = [
        ft.Semantics(
            exclude_semantics=True, content=ft.Text(advice.headline, theme_style=theme.STRONG)
        )
    ]
    if able:
        first = able[0]
        lines.append(
            call_button(first.name, first.phone, dial_text(first.phone), first=True, key="first")
        )
    return Pinned(
        ft.Column(lines, spacing=8, tight=True, horizontal_alignment=ft.CrossAxisAlignment.STRETCH),
        bgcolor=theme.SHELL,
        padding=ft.Padding.symmetric(vertical=12, horizontal=20),
        border=ft.Border.only(top=ft.BorderSide(1, theme.HAIRLINE)),
        key="in sight",
    )


def _able(app: App[Notebook], advice: Advice) -> tuple[Contact, ...]:
    contacts = contacts_of(app.services.record.alive)
    return call_order(contacts, emergency_first=advice.calls_emergency)


def _answer(app: App[Notebook], advice: Advice) -> list[ft.Control]:
    severe = advice.urgency >= Urgency.TODAY
    ground, ink = (
        (theme.ACCENT_WASH, theme.ON_ACCENT_WASH) if severe else (theme.WATER, theme.ON_WATER)
    )
    lines: list[ft.Control] = [
        ft.Text(advice.headline, theme_style=theme.HEADING, color=ink),
        *(
            ft.Text(sentence, theme_style=theme.BODY, color=ink)
            for sentence in (*advice.do, *advice.until_help, *advice.circumstances)
        ),
    ]
    if advice.raised:
        lines.append(
            ft.Text(worded("Because of that it is more urgent."), theme_style=theme.BODY, color=ink)
        )
    could_be = worded("It could be {causes}.", causes=joined(worded(" or "), advice.could_be))
    lines.append(ft.Text(could_be, theme_style=theme.BODY, color=ink))
    spoken = ft.Semantics(
        # One name, so that the whole answer is spoken as one when it changes.
        label=joined(" ", [advice.headline, *advice.do, *advice.circumstances, could_be]),
        live_region=True,
        container=True,
        exclude_semantics=True,
        content=ft.Column(lines, spacing=8),
    )
    box = ft.Container(spoken, bgcolor=ground, border_radius=theme.RADIUS, padding=16, key="answer")
    return [box, *_calls(app, advice), app.explain("signs", _sources(advice))]


def _calls(app: App[Notebook], advice: Advice) -> list[ft.Control]:
    able = _able(app, advice)
    controls: list[ft.Control] = []
    missing = _missing(able, advice)
    if missing:
        controls.append(body(missing))
    controls += [
        call_button(c.name, c.phone, dial_text(c.phone), first=i == 0, key=f"call:{c.id}")
        for i, c in enumerate(able)
    ]
    if app.has("/card"):
        controls.append(
            quiet_button(
                worded("Show my card"), lambda: app.go("/card"), icon=ft.Icons.BADGE_OUTLINED
            )
        )
    if len(able) < 2:
        controls.append(
            quiet_button(
                worded("Set numbers to call"), lambda: app.go("/contacts"), icon=ft.Icons.CONTACTS
            )
        )
    return [card(controls)]


def _missing(able: Sequence[Contact], advice: Advice) -> str:
    """Say which number is not set, the one that the answer asks for."""
    if advice.calls_emergency and not any(c.role == EMERGENCY_ROLE for c in able):
        return worded("Your local emergency number is not set here. Dial it yourself.")
    if not advice.calls_emergency and not any(c.is_clinic for c in able):
        return worded("Your clinic's number is not set here. Take it from the clinic's printout.")
    return ""


def _sources(advice: Advice) -> list[tuple[str, str]]:
    return [
        (
            # Note: signs that count more when they are there together.
            row.words if isinstance(row, Sign) else worded("together"),
            worded("Source: {source}.", source=row.source),
        )
        for row in advice.because
    ]
