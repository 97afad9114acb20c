"""The card as it is drawn on a screen: black on white, the first screen as dense as can be read."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import groupby

import flet as ft

from pocketpump.app.look import theme
from pocketpump.app.look.fonts import families
from pocketpump.app.parts import column, dialling
from pocketpump.core.messages import message, text_in
from pocketpump.core.safety.card import Card
from pocketpump.core.safety.contacts import can_be_dialled, dial_text
from pocketpump.exchange.papers.card_phrases import ORIGINAL, phrases
from pocketpump.exchange.papers.card_words import CALLS, DANGER, FACTS, RISKS, WHO, Words
from pocketpump.exchange.papers.qr_code import code_svg

_BLACK, _WHITE = "#000000", "#FFFFFF"
_FIRST = (DANGER, WHO, FACTS, RISKS, CALLS)
_SIZES = {"title": 24, "alarm": 17, "strong": 17, "fact": 22, "plain": 17}
_SMALL, _ORIGINAL = 14, 12
_WIDE_FACT = 14
"""Facts with more letters stand one under the other: a word cut in two is not read in a look."""
_TIGHT = 14
"""The size of risks and numbers on a translated card, which says everything twice."""
_CODE_SIDE = 300


def first_screen(items: Sequence[Words], language: str, scale: float) -> ft.Control:
    """Return what a stranger must find without scrolling, from the danger to the numbers."""
    # The title already stands at the head of the screen.
    told = [w for w in items if w.part in _FIRST and w.weight != "title"]
    rows: list[ft.Control] = []
    for part, group in groupby(told, key=lambda item: item.part):
        found = list(group)
        if part == DANGER:
            rows.append(_dark([_row(w, language, scale, _WHITE) for w in _sentences(found)]))
        elif part == FACTS:
            rows.append(_facts(found, language, scale))
        elif part == WHO:
            rows += [_row(w, language, scale, _BLACK) for w in found]
        elif part == RISKS:
            flags = [w for w in found if w.weight == "alarm"]
            if flags:
                rows.append(_dark([_row(_joined(flags), language, scale, _WHITE)]))
            own = [_quoted(w) for w in found if w.weight != "alarm"]
            rows += [_row(w, language, scale, _BLACK) for w in own]
        else:
            calls = [_row(w, language, scale, _BLACK) for w in found]
            rows.append(column(calls))
    return _paper(rows, "sheet", spacing=4)


def rest_of_card(items: Sequence[Words], made: Card, language: str, scale: float) -> ft.Control:
    """Return the person, the signs, the lines for staff, everything else, and the code."""
    rows = [_row(w, language, scale, _BLACK) for w in items if w.part not in _FIRST]
    rows.append(
        ft.Container(
            ft.Image(src=code_svg(made).encode(), width=_CODE_SIDE, height=_CODE_SIDE,
                     semantics_label=message("Code to scan: holds the main facts as text")),
            alignment=ft.Alignment.CENTER,
        )
    )  # fmt: skip
    rows.append(_text(phrases(language)["code"], language, 18 * scale, _BLACK))
    return _paper(rows, "rest", spacing=theme.GAP)


def _paper(rows: list[ft.Control], key: str, *, spacing: float) -> ft.Control:
    return ft.Container(
        column(rows, spacing),
        bgcolor=_WHITE, border_radius=theme.RADIUS, padding=8, key=key,
        border=ft.Border.all(2, _BLACK),
    )  # fmt: skip


def _sentences(items: Sequence[Words]) -> list[Words]:
    """Return sentences that follow each other as one, so that they take fewer lines."""
    joined: list[Words] = []
    for item in items:
        last = joined[-1] if joined else None
        if last and not last.label and not item.label and last.weight == item.weight == "strong":
            text, original = f"{last.text} {item.text}", f"{last.original} {item.original}".strip()
            joined[-1] = replace(last, text=text, original=original)
        else:
            joined.append(item)
    return joined


def _quoted(item: Words) -> Words:
    """Return the person's own words in quotation marks, which take less room than a remark."""
    return replace(item, text=f"“{item.text}”", own=False) if item.own else item


def _joined(flags: Sequence[Words]) -> Words:
    originals = " · ".join(w.original for w in flags if w.original)
    text = " · ".join(w.text for w in flags)
    return Words("risks", "", text, originals, "alarm", part=RISKS)


def _facts(items: Sequence[Words], language: str, scale: float) -> ft.Control:
    """Return the facts two by two, a long one alone; under each what belongs to it."""
    rows: list[ft.Control] = []
    waiting: list[ft.Control] = []
    under: list[ft.Control] = []
    places = 0

    def end_row() -> None:
        if waiting:
            pair: list[ft.Control] = [ft.Container(fact, expand=True) for fact in waiting]
            rows.append(ft.Row(pair, spacing=8, vertical_alignment=ft.CrossAxisAlignment.START))
        rows.extend(under)
        waiting.clear()
        under.clear()

    for item in items:
        if item.weight != "fact":
            under.append(_under(item, language, scale))
            continue
        wanted = 2 if len(item.text) > _WIDE_FACT else 1
        if places + wanted > 2:
            end_row()
            places = 0
        waiting.append(_fact(item, language, scale))
        places += wanted
    end_row()
    return _framed(rows)


def _framed(rows: list[ft.Control]) -> ft.Control:
    return ft.Container(
        column(rows, 2),
        border=ft.Border.symmetric(vertical=ft.BorderSide(2, _BLACK)),
        padding=ft.Padding.symmetric(vertical=4),
    )


def _under(item: Words, language: str, scale: float) -> ft.Control:
    """Return what belongs to the fact above it; that the pump is stopped is a warning."""
    is_alarm = item.weight == "alarm"
    row = _row(item, language, scale, _WHITE if is_alarm else _BLACK)
    return _dark([row]) if is_alarm else row


def _fact(item: Words, language: str, scale: float) -> ft.Control:
    label = f"{item.label} ({item.original})" if item.original else item.label
    size = _ORIGINAL if item.original else _SMALL
    lines = [
        _text(label, language, size * scale, _BLACK),
        _text(item.text, language, _SIZES["fact"] * scale, _BLACK, bold=True),
    ]
    return ft.MergeSemantics(content=ft.Column(lines, spacing=0))


def _row(item: Words, language: str, scale: float, ink: str) -> ft.Control:
    size = _SIZES[item.weight] * scale
    if language != ORIGINAL and (item.part in (CALLS, RISKS) or item.key == "mode"):
        size = _TIGHT * scale
    pieces: list[ft.Control] = []
    mark = f" ({phrases(language)['own_words']})" if item.own else ""
    original = item.original
    if item.label and not mark:
        label = f"{item.label} ({original})" if original and ": " not in original else item.label
        original = "" if label != item.label else original
        pieces.append(_text(f"{label}: {item.text}", language, size, ink,
                            bold=item.weight != "plain"))  # fmt: skip
    else:
        if item.label:
            pieces.append(_text(item.label + mark, language, _SMALL * scale, ink))
        pieces.append(_text(item.text, language, size, ink, bold=item.weight != "plain"))
    if original:
        pieces.append(_text(original, ORIGINAL, _ORIGINAL * scale, ink))
    lines = column(pieces, 0)
    if item.phone and can_be_dialled(item.phone):
        return _dialling(item, lines, scale)
    return ft.MergeSemantics(content=lines)


def _dark(rows: list[ft.Control]) -> ft.Control:
    lines = column(rows, 4)
    return ft.Container(lines, bgcolor=_BLACK, padding=6, border_radius=6)


def _dialling(item: Words, lines: ft.Control, scale: float) -> ft.Control:
    """Return a contact as a button that dials."""
    return dialling(
        ft.Container(lines, expand=True),
        dial_text(item.phone),
        ink=_BLACK,
        ground=_WHITE,
        edge=_BLACK,
        icon_size=26 * scale,
        key=f"call:{item.phone}:{item.text}",
        padding=(10, 8),
    )


def _text(words: str, language: str, size: float, ink: str, *, bold: bool = False) -> ft.Control:
    return ft.Text(
        # The card speaks its own languages, whatever the app does.
        text_in(words, None),
        size=size,
        color=ink,
        weight=ft.FontWeight.W_700 if bold else ft.FontWeight.W_400,
        font_family_fallback=families(language),
        rtl=phrases(language).direction == "rtl",
        text_align=ft.TextAlign.START,
    )
