"""The emergency card, full screen: black on white at any time of day, kept awake."""

from datetime import datetime
from itertools import groupby

import flet as ft

from pocketpump.app import theme
from pocketpump.app.fonts import families
from pocketpump.app.notebook import Notebook
from pocketpump.app.parts import big_button, body, choice, dialling, notice, quiet_button
from pocketpump.app.saving import save_file
from pocketpump.app.screens.language import language_of
from pocketpump.app.shell import App
from pocketpump.core.card import Card, build_card
from pocketpump.core.contacts import can_be_dialled, dial_text
from pocketpump.core.wording import said_in, worded
from pocketpump.exchange.card_files import card_file, card_problems
from pocketpump.exchange.card_html import code_svg
from pocketpump.exchange.card_text import card_text
from pocketpump.exchange.card_words import Words, card_words
from pocketpump.exchange.phrases import ENGLISH_NAMES, LANGUAGES, ORIGINAL, phrases
from pocketpump.record.care import care_of

_BLACK, _WHITE = "#000000", "#FFFFFF"
_SIZES = {"title": 30, "alarm": 20, "strong": 20, "plain": 19}
_SMALL = 15
_CODE_SIDE = 300


def card_of(notebook: Notebook, now: datetime) -> Card:
    """Return the card of this record at ``now``."""
    return build_card(care_of(notebook.record.alive, now), notebook.outlook()[0], now)


def emergency_card(app: App[Notebook]) -> list[ft.Control]:
    """Draw the card, then what can be done with it."""
    now = app.services.now()
    made = card_of(app.services, now)
    draft = app.draft("card")
    language = str(draft.get("language", language_of(app.services)))

    def change(name: str, value: object) -> None:
        draft[name] = value
        app.refresh()

    def chosen(code: str) -> None:
        draft["language"] = code
        change("choosing", False)

    choosing = bool(draft.get("choosing"))
    controls: list[ft.Control] = [
        quiet_button(worded("Language: {language}", language=_named(language)),
                     lambda: change("choosing", not choosing),
                     icon=ft.Icons.TRANSLATE, key="language")
    ]  # fmt: skip
    if choosing:
        options = [(code, _named(code)) for code in LANGUAGES]
        controls.append(choice(worded("Language of the card"), options, language, chosen))
    if not made.name and not made.clinics:
        controls.append(
            notice(
                worded("The card does not know your name or your clinic yet: fill in its details.")
            )
        )
    controls.append(_sheet(card_words(made, language, now.date()), made, language, app.scale))
    controls += _actions(app, made, language, now)
    return controls


def _named(code: str) -> str:
    # A script the client's own font lacks is named in English, so nobody sees gaps.
    return ENGLISH_NAMES[code] if code in ("ar", "zh", "ja") else phrases(code).name


def _sheet(items: tuple[Words, ...], made: Card, language: str, scale: float) -> ft.Control:
    own = phrases(language)["own_words"]
    # In English the title already stands at the head of the screen.
    told = [item for item in items if language != ORIGINAL or item.weight != "title"]
    rows: list[ft.Control] = []
    for is_alarm, group in groupby(told, key=lambda item: item.weight == "alarm"):
        found = [_row(item, language, own, scale) for item in group]
        # Warnings that follow each other share one dark field: room on a phone is short.
        rows += [_dark(found)] if is_alarm else found
    rows.append(
        ft.Container(
            ft.Image(src=code_svg(made).encode(), width=_CODE_SIDE, height=_CODE_SIDE,
                     semantics_label=worded("Code to scan: holds the main facts as text")),
            alignment=ft.Alignment.CENTER,
        )
    )  # fmt: skip
    rows.append(_text(phrases(language)["code"], language, 18 * scale, _BLACK))
    return ft.Container(
        ft.Column(rows, spacing=theme.GAP, horizontal_alignment=ft.CrossAxisAlignment.STRETCH),
        bgcolor=_WHITE, border_radius=theme.RADIUS, padding=12, key="sheet",
        border=ft.Border.all(2, _BLACK),
    )  # fmt: skip


def _row(item: Words, language: str, own: str, scale: float) -> ft.Control:
    ink = _WHITE if item.weight in ("title", "alarm") else _BLACK
    size = _SIZES[item.weight] * scale
    pieces: list[ft.Control] = []
    mark = f" ({own})" if item.own else ""
    if item.label and item.weight == "plain" and not item.own:
        pieces.append(_text(f"{item.label}: {item.text}", language, size, ink))
    else:
        if item.label:
            pieces.append(_text(item.label + mark, language, _SMALL * scale, ink))
        pieces.append(_text(item.text, language, size, ink, bold=item.weight != "plain"))
    if item.original:
        pieces.append(_text(item.original, ORIGINAL, _SMALL * scale, ink))
    lines = ft.Column(pieces, spacing=0, horizontal_alignment=ft.CrossAxisAlignment.STRETCH)
    if item.phone and can_be_dialled(item.phone):
        return _dialling(item, lines, scale)
    told = ft.MergeSemantics(content=lines)
    return _dark([told]) if item.weight == "title" else told


def _dark(rows: list[ft.Control]) -> ft.Control:
    lines = ft.Column(rows, spacing=6, horizontal_alignment=ft.CrossAxisAlignment.STRETCH)
    return ft.Container(lines, bgcolor=_BLACK, padding=8, border_radius=6)


def _dialling(item: Words, lines: ft.Control, scale: float) -> ft.Control:
    """Return a contact as a button that dials."""
    return dialling(
        ft.Container(lines, expand=True),
        dial_text(item.phone),
        ink=_BLACK,
        ground=_WHITE,
        edge=_BLACK,
        icon_size=28 * scale,
        key=f"call:{item.phone}:{item.text}",
    )


def _text(words: str, language: str, size: float, ink: str, *, bold: bool = False) -> ft.Control:
    return ft.Text(
        # The card speaks its own languages, whatever the app does.
        said_in(words, None),
        size=size,
        color=ink,
        weight=ft.FontWeight.W_700 if bold else ft.FontWeight.W_400,
        font_family_fallback=families(language),
        rtl=phrases(language).direction == "rtl",
        text_align=ft.TextAlign.START,
    )


def _actions(app: App[Notebook], made: Card, language: str, now: datetime) -> list[ft.Control]:
    today = now.date()

    async def save(ending: str) -> None:
        await save_file(app, f"card-{language}.{ending}", card_file(made, ending, language, today))

    async def printed() -> None:
        await save("pdf")

    async def shared() -> None:
        data = card_file(made, "png", language, today)
        name = f"card-{language}.png"
        try:
            await ft.Share().share_files(
                [ft.ShareFile.from_bytes(data, mime_type="image/png", name=name)]
            )
        except RuntimeError:
            # flet says so where the browser has no sheet to share with.
            await save_file(app, name, data)

    async def page() -> None:
        await save("html")

    async def copied() -> None:
        await ft.Clipboard().set(card_text(made, language, today))
        app.say(worded("The card's text is copied. Paste it where you want it."))

    controls = [
        big_button(worded("Print (PDF with wallet card)"), printed, icon=ft.Icons.PRINT_OUTLINED),
        quiet_button(worded("Share as a picture"), shared, icon=ft.Icons.SHARE_OUTLINED),
        quiet_button(worded("Save as a page"), page, icon=ft.Icons.SAVE_ALT),
        quiet_button(worded("Copy as text"), copied, icon=ft.Icons.COPY_OUTLINED),
        quiet_button(
            worded("Details on the card"), lambda: app.go("/care"), icon=ft.Icons.EDIT_OUTLINED
        ),
    ]
    lost = card_problems(made, "pdf")
    controls += [body(problem.sentence, soft=True) for problem in lost]
    return controls
