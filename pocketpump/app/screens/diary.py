"""Diary: how it went, on one time axis with the dose, and what can be said about it."""

from collections import Counter
from datetime import date, timedelta

import flet as ft

from pocketpump.app.notebook import Notebook
from pocketpump.app.parts import big_button, body, card, choice, fact_row, quiet_button, section
from pocketpump.app.parts.diary_chart import DiaryPicture, diary_chart
from pocketpump.app.parts.hours_chart import hours_chart
from pocketpump.app.shell import App
from pocketpump.core.diary import SPASMS, STIFFNESS, daily_medians, readings
from pocketpump.core.hours import SPAN_HOURS, Hours
from pocketpump.core.instants import date_text
from pocketpump.core.outlook import Situation
from pocketpump.core.quantity import format_number
from pocketpump.record.findings import Findings, findings_of

_SPANS = (("28", "4 weeks"), ("91", "3 months"), ("365", "1 year"), ("all", "All"))


def diary(app: App[Notebook]) -> list[ft.Control]:
    """Draw the diary."""
    notebook = app.services
    situation, _ = notebook.situation()
    now = notebook.now()
    found = findings_of(notebook.record.alive, situation, now)
    draft = app.draft("diary")
    span = draft.setdefault("span", "91")

    def choose(value: str) -> None:
        draft["span"] = value
        app.refresh()

    controls: list[ft.Control] = [
        big_button("How is it now?", lambda: app.go("/check-in"), icon=ft.Icons.ADD),
        quiet_button("Note something that happened", lambda: app.go("/happening"),
                     icon=ft.Icons.EDIT_NOTE),
    ]  # fmt: skip
    if not found.check_ins:
        controls.append(body("No check-in yet. The first takes three taps."))
    else:
        first = _first_day(span, found, now.date())
        show = _picture(found, situation, first, now.date())
        controls += [
            choice("How far back?", _SPANS, span, choose, in_row=True),
            diary_chart(show, width=app.room, scale=app.scale, said=_said(show)),
            body("Dashed lines: the dose setting changed. Drops: refills. Diamonds: something"
                 " happened.", soft=True),
            *_sentences(app, found),
            *_side_effects(found, first),
        ]  # fmt: skip
        if found.hours is not None:
            controls += _hours(app, found.hours)
    controls += [
        section("More of the diary"),
        quiet_button("What each change did", lambda: app.go("/changes"), icon=ft.Icons.COMPARE),
        quiet_button(
            "Measures and goals", lambda: app.go("/measures"), icon=ft.Icons.FLAG_OUTLINED
        ),
        quiet_button("All check-ins and notes", lambda: app.go("/log"), icon=ft.Icons.LIST),
    ]
    return controls


def _first_day(span: str, found: Findings, today: date) -> date:
    oldest = min(c.at.date() for c in found.check_ins)
    if span == "all":
        return min(oldest, today - timedelta(days=27))
    return today - timedelta(days=int(span) - 1)


def _picture(
    found: Findings, situation: Situation | None, first: date, today: date
) -> DiaryPicture:
    settings = sorted(situation.settings, key=lambda s: s.at) if situation else []
    # Only what is shown is turned into days: ten years must not slow down four weeks.
    shown = [c for c in found.check_ins if c.at.date() >= first]
    return DiaryPicture(
        first=first,
        last=today,
        stiffness=daily_medians(readings(shown, STIFFNESS)),
        spasms=daily_medians(readings(shown, SPASMS)),
        doses=[(s.at, s.programme.dose_mcg_per_day) for s in settings if s.at.date() <= today],
        refills=[fill.at for fill in situation.fills] if situation else [],
        happenings=[h.at for h in found.happenings],
    )


def _said(show: DiaryPicture) -> str:
    if not show.stiffness:
        return "Chart: no check-in in this time."
    values = list(show.stiffness.values())
    return (
        f"Chart from {date_text(show.first)} to {date_text(show.last)}: stiffness from"
        f" {format_number(min(values), 1)} to {format_number(max(values), 1)}, on"
        f" {len(values)} days."
    )


def _sentences(app: App[Notebook], found: Findings) -> list[ft.Control]:
    rows: list[ft.Control] = [section("What it says")]
    parts = [("today", found.sudden.sentence, found.sudden.lines)]
    if found.responses:
        last = found.responses[-1]
        parts.append(("last change", last.sentence, last.lines))
    parts.append(("drift", found.drift.sentence, found.drift.lines))
    for name, sentence, lines in parts:
        rows.append(body(sentence))
        if lines:
            rows.append(app.explain(name, [("", line) for line in lines]))
    if found.sudden.verdict in ("above", "below"):
        rows.append(
            quiet_button("Look at the warning signs", lambda: app.go("/signs"),
                         icon=ft.Icons.HEARING)
        )  # fmt: skip
    return [card(rows)]


def _side_effects(found: Findings, first: date) -> list[ft.Control]:
    days: Counter[str] = Counter()
    for effect, _day in {
        (effect, c.at.date())
        for c in found.check_ins
        if c.side_effects and c.at.date() >= first
        for effect in c.side_effects
    }:
        days[effect] += 1
    if not days:
        return []
    rows = [
        fact_row(effect.capitalize(), f"{count} day{'' if count == 1 else 's'}")
        for effect, count in days.most_common()
    ]
    return [card([section("Side effects in this time"), *rows])]


def _hours(app: App[Notebook], hours: Hours) -> list[ft.Control]:
    standing_out = [one.span for one in hours.disagree]
    spans = [
        (span.start_hour, SPAN_HOURS, span.middle, span in standing_out) for span in hours.spans
    ]
    said = "; ".join(hours.lines[: len(spans)])
    return [
        card(
            [
                section("Hours of the day"),
                hours_chart(spans, hours.rate_by_hour_mcg_per_h, width=app.room - 40,
                            scale=app.scale, said=said),
                body(hours.sentence),
                app.explain("hours", [("", line) for line in hours.lines]),
            ]
        )
    ]  # fmt: skip
