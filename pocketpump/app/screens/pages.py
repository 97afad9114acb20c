"""A paper before it leaves: its pages as pictures, and the ways to print, keep and share it."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import flet as ft

from pocketpump.app.look import theme
from pocketpump.app.parts import big_button, body, notice, quiet_button
from pocketpump.app.server.file_saving import save_file
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


Make = Callable[[App[Services], Mapping[str, str]], Paper]
"""Makes a paper as things are now, from what the route asks ("language", …)."""


def pages_screen(makers: Mapping[str, Make]) -> Screen:
    """Return the screen for each of the papers: the route names one (``/pages?of=card``)."""

    def screen(app: App[Services]) -> list[ft.Control]:
        asked = app.query
        make = makers.get(asked.get("of", ""))
        if make is None:
            return [body(message("There is no such paper. Go back and choose it again."))]
        # Not kept for a form: pictures are made again when the app is loaded again.
        drawn = app.draft("pages")
        wanted = (tuple(sorted(asked.items())), len(app.services.record.entries))
        if drawn.get("wanted") != wanted:
            drawn.clear()
            drawn["wanted"] = wanted
            app.page.run_task(_draw, app, make, asked, drawn)
        if "failed" in drawn:
            return [notice(str(drawn["failed"]), needs_you=True)]
        if "pictures" not in drawn:
            return [body(message("The pages are being drawn."))]
        return _shown(app, drawn)

    return screen


async def _draw(
    app: App[Services], make: Make, asked: Mapping[str, str], drawn: dict[str, Any]
) -> None:
    try:
        paper = make(app, asked)
        pictures = [await app.services.png_of(page, _PIXELS_PER_MM) for page in paper.pages]
        drawn |= {"paper": paper, "pictures": pictures}
    except Exception as error:
        drawn["failed"] = sentence_of(error)
    app.refresh()


def _shown(app: App[Services], drawn: dict[str, Any]) -> list[ft.Control]:
    paper: Paper = drawn["paper"]

    def written() -> bytes:
        return pdf.to_pdf(paper.pages, paper.title, paper.language)

    async def saved() -> None:
        await save_file(app, f"{paper.name}.pdf", written())

    async def shared() -> None:
        name, data = f"{paper.name}.pdf", written()
        try:
            await ft.Share().share_files(
                [ft.ShareFile.from_bytes(data, mime_type="application/pdf", name=name)]
            )
        except RuntimeError:
            # flet says so where the browser has no sheet to share with.
            await save_file(app, name, data)

    def resized() -> None:
        drawn["large"] = not drawn.get("large")
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
    large = bool(drawn.get("large"))
    controls.append(
        quiet_button(message("Smaller pages") if large else message("Larger pages"), resized,
                     icon=ft.Icons.ZOOM_OUT if large else ft.Icons.ZOOM_IN, key="page size")
    )  # fmt: skip
    width = app.content_width * (_LARGE if large else 1.0)
    count = len(paper.pages)
    for number, (page, png) in enumerate(zip(paper.pages, drawn["pictures"], strict=True), 1):
        # Note: which page of how many, for somebody who cannot see the picture.
        which = message("Page {number} of {count}", number=number, count=count)
        label = joined(": ", (paper.title, which))
        picture = ft.Image(src=png, width=width, height=width * page.height / page.width,
                           semantics_label=label)  # fmt: skip
        framed = ft.Container(picture, border=ft.Border.all(1, theme.HAIRLINE))
        controls += [body(which, soft=True), ft.Row([framed], scroll=ft.ScrollMode.AUTO)]
    return controls
