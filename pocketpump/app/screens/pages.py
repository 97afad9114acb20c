"""A paper before it leaves: its pages as pictures, and the ways to print, keep and share it."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta

import flet as ft

from pocketpump.app.look import theme
from pocketpump.app.parts import big_button, body, notice, quiet_button
from pocketpump.app.server.file_saving import save_file, share_file
from pocketpump.app.services import Services
from pocketpump.app.shell.event_handling import sentence_of
from pocketpump.app.shell.screen_route import Screen
from pocketpump.app.shell.shell import App
from pocketpump.core.errors import Problem
from pocketpump.core.messages import joined, message
from pocketpump.exchange.papers.drawing import pdf, svg
from pocketpump.exchange.papers.drawing.page import Page

_PIXELS_PER_MM = 6.0
"""Of the pictures: an A4 page has 1,260 pixels across, which can still be read twice as wide."""
_LARGE = 2.0
_STALE = timedelta(minutes=10)
"""A paper tells how things are now: one that was made earlier is made anew."""
_MOST_PICTURES = 12


@dataclass(frozen=True)
class Paper:
    """Pages to be printed: ``name`` is the file's without its ending, ``language`` a code.

    ``problems`` tell what of the person's own words the pages cannot show.
    """

    title: str
    name: str
    pages: tuple[Page, ...]
    language: str
    problems: tuple[Problem, ...] = ()


@dataclass
class _Drawn:
    """What became of the paper that was ``wanted`` at an instant; each wish has its own.

    So a slow paper of which one has gone away cannot come up in the place of another.
    """

    wanted: object
    at: datetime
    paper: Paper | None = None
    pictures: list[bytes] = field(default_factory=list)
    failed: str = ""
    is_large: bool = False


Make = Callable[[App[Services], Mapping[str, str]], Paper]
"""Makes a paper as things are now, from what the route asks ("language", …)."""


def pages_screen(makers: Mapping[str, Make]) -> Screen:
    """Return the screen for each of the papers: the route names one (``/pages?of=card``)."""

    def screen(app: App[Services]) -> list[ft.Control]:
        asked = app.query
        make = makers.get(asked.get("of", ""))
        if make is None:
            return [body(message("There is no such paper. Go back and choose it again."))]
        now = app.services.now()
        wanted = (tuple(sorted(asked.items())), len(app.services.record.entries))
        # Not kept for a form: pictures are made again when the app is loaded again.
        kept = app.draft("pages")
        drawn = kept.get("drawn")
        if drawn is None or drawn.wanted != wanted or now - drawn.at > _STALE:
            kept["drawn"] = drawn = _Drawn(wanted, now)
            app.page.run_task(_draw, app, make, asked, drawn)
        if drawn.failed:
            return [
                notice(drawn.failed, needs_you=True),
                quiet_button(message("Try again"), lambda: _again(app), icon=ft.Icons.REFRESH,
                             key="try again"),
            ]  # fmt: skip
        if drawn.paper is None:
            return [body(message("The pages are being drawn."))]
        return _shown(app, drawn, drawn.paper)

    return screen


async def _draw(app: App[Services], make: Make, asked: Mapping[str, str], drawn: _Drawn) -> None:
    try:
        paper = make(app, asked)
        pages = paper.pages[:_MOST_PICTURES]
        drawn.pictures = [await app.services.png_of(page, _PIXELS_PER_MM) for page in pages]
        drawn.paper = paper
    except Exception as error:
        drawn.failed = sentence_of(error)
    app.refresh()


def _again(app: App[Services]) -> None:
    app.draft("pages").clear()
    app.refresh()


def _shown(app: App[Services], drawn: _Drawn, paper: Paper) -> list[ft.Control]:
    def written() -> bytes:
        return pdf.to_pdf(paper.pages, paper.title, paper.language)

    async def saved() -> None:
        await save_file(app, f"{paper.name}.pdf", written())

    async def shared() -> None:
        await share_file(app, f"{paper.name}.pdf", written(), "application/pdf")

    def resized() -> None:
        drawn.is_large = not drawn.is_large
        app.refresh()

    printer = app.services.print_pages
    controls: list[ft.Control] = []
    if printer is None:
        controls.append(big_button(message("Save as PDF"), saved, icon=ft.Icons.SAVE_ALT))
    else:

        def printed() -> None:
            printer([svg.to_svg(page, paper.title) for page in paper.pages], paper.title)

        controls += [
            big_button(message("Print"), printed, icon=ft.Icons.PRINT_OUTLINED),
            quiet_button(message("Save as PDF"), saved, icon=ft.Icons.SAVE_ALT),
        ]
    controls.append(quiet_button(message("Share"), shared, icon=ft.Icons.SHARE_OUTLINED))
    controls += [notice(problem.sentence) for problem in paper.problems]
    large = drawn.is_large
    controls.append(
        quiet_button(message("Smaller pages") if large else message("Larger pages"), resized,
                     icon=ft.Icons.ZOOM_OUT if large else ft.Icons.ZOOM_IN, key="page size")
    )  # fmt: skip
    width = app.content_width * (_LARGE if large else 1.0)
    count = len(paper.pages)
    if count > _MOST_PICTURES:
        first = message(
            "The first {shown} of {count} pages are shown here; all of them are printed and kept.",
            shown=_MOST_PICTURES,
            count=count,
        )
        controls.append(body(first))
    for number, (page, png) in enumerate(zip(paper.pages, drawn.pictures, strict=False), 1):
        # Note: which page of how many, for somebody who cannot see the picture.
        which = message("Page {number} of {count}", number=number, count=count)
        label = joined(": ", (paper.title, which))
        picture = ft.Image(src=png, width=width, height=width * page.height / page.width,
                           semantics_label=label)  # fmt: skip
        framed = ft.Container(picture, border=ft.Border.all(1, theme.HAIRLINE))
        controls += [body(which, soft=True), ft.Row([framed], scroll=ft.ScrollMode.AUTO)]
    return controls
