"""Diary: how it went, on one time axis with the dose, and what can be said about it."""

from collections import Counter
from datetime import date, timedelta
from functools import partial

import flet as ft

from pocketpump.app.parts import (
    big_button,
    body,
    card,
    chart_picture,
    choice,
    fact_row,
    section,
)
from pocketpump.app.screens.draft import put
from pocketpump.app.screens.link import link
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.diary.check_ins import side_effect_words
from pocketpump.core.diary.hours import Hours
from pocketpump.core.diary.response_text import NOT_THE_CAUSE
from pocketpump.core.messages import message, plural_message
from pocketpump.exchange.charts.days import diary_chart
from pocketpump.exchange.charts.hours import hours_chart
from pocketpump.record.facts.findings import Findings, findings_of

_SPANS = (
    ("28", message("4 weeks")),
    ("91", message("3 months")),
    ("365", message("1 year")),
    # Note: all of the time there is.
    ("all", message("All")),
)


def diary(app: App[Services]) -> list[ft.Control]:
    """Draw the diary."""
    services = app.services
    situation, _ = services.situation()
    now = services.now()
    found = findings_of(services.record.alive, situation, now)
    draft = app.draft("diary")
    span = draft.setdefault("span", "91")

    controls: list[ft.Control] = [
        big_button(message("How is it now?"), lambda: app.go("/check-in"), icon=ft.Icons.ADD),
        link(app, message("Note something that happened"), "/happening", ft.Icons.EDIT_NOTE),
    ]
    if not found.check_ins:
        controls.append(body(message("No check-in yet. The first takes three taps.")))
    else:
        first = _first_day(span, found, now.date())
        show = diary_chart(found, situation, first, now.date())
        controls += [
            choice(message("How far back?"), _SPANS, span, partial(put, app, draft, "span"),
                   in_row=True),
            chart_picture(show, width=app.content_width, height=280, scale=app.scale),
            body(show.key, soft=True),
            *_sentences(app, found),
            *_side_effects(found, first),
        ]  # fmt: skip
        if found.hours is not None:
            controls += _hours(app, found.hours)
    controls += [
        section(message("More of the diary")),
        link(app, message("After each dose change"), "/changes", ft.Icons.COMPARE),
        link(app, message("Measures and goals"), "/measures", ft.Icons.FLAG_OUTLINED),
        link(app, message("All check-ins and notes"), "/log", ft.Icons.LIST),
    ]
    return controls


def _first_day(span: str, found: Findings, today: date) -> date:
    oldest = min(c.at.date() for c in found.check_ins)
    if span == "all":
        return min(oldest, today - timedelta(days=27))
    return today - timedelta(days=int(span) - 1)


def _sentences(app: App[Services], found: Findings) -> list[ft.Control]:
    rows: list[ft.Control] = [section(message("What it says"))]
    parts = [("today", [found.sudden.sentence], found.sudden.lines)]
    if found.responses:
        last = found.responses[-1]
        beside = filter(None, (*last.cautions, last.also))
        parts.append(("last change", [last.sentence, *beside, NOT_THE_CAUSE], last.lines))
    parts.append(("drift", [found.drift.sentence], found.drift.lines))
    for name, sentences, lines in parts:
        rows += map(body, sentences)
        if lines:
            rows.append(app.explain(name, [("", line) for line in lines]))
    if found.sudden.verdict in ("above", "below"):
        rows.append(link(app, message("Look at the warning signs"), "/signs", ft.Icons.HEARING))
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
        fact_row(
            side_effect_words(effect).capitalize(),
            plural_message("{count} day", "{count} days", count),
        )
        for effect, count in days.most_common()
    ]
    return [card([section(message("Side effects in this time")), *rows])]


def _hours(app: App[Services], hours: Hours) -> list[ft.Control]:
    return [
        card(
            [
                section(message("Hours of the day")),
                chart_picture(hours_chart(hours), width=app.content_width - 40, height=180,
                              scale=app.scale),
                body(hours.sentence),
                app.explain("hours", [("", line) for line in hours.lines]),
            ]
        )
    ]  # fmt: skip
