"""The page for a school or a carer: what of the person is on it, and the way to it."""

import flet as ft

from pocketpump.app.parts import big_button, body, check_boxes
from pocketpump.app.screens.draft import put
from pocketpump.app.screens.link import link
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.messages import message
from pocketpump.exchange.papers import carer_sheet
from pocketpump.record.facts.card_facts import care_of

_WORDS = {
    "name": message("Name"),
    "born": message("Birth date"),
    "position": message("Where the pump sits"),
    "allergies": message("Allergies"),
    "clinic": message("The pump clinic's numbers"),
    "people": message("The numbers of the people on the card"),
    "steps": message("First steps for a cord injury at T6 or above"),
    "plan": message("The clinic's written plan"),
    "dose": message("Daily dose"),
}


def carer(app: App[Services]) -> list[ft.Control]:
    """Draw what can be on the page, each with its tick."""
    services = app.services
    # Ticks are for one page: the dose must not be on the next one unasked.
    draft = app.screen_draft("carer")
    ticked: tuple[str, ...] = draft.get("shown", carer_sheet.USUAL_DETAILS)
    has_steps = care_of(services.record.alive, services.now()).injury_t6_or_above
    offered = [one for one in carer_sheet.DETAILS if one != "steps" or has_steps]

    def toggle(name: str) -> None:
        put(
            app,
            draft,
            "shown",
            tuple(d for d in carer_sheet.DETAILS if (d in ticked) is not (d == name)),
        )

    return [
        body(
            message(
                "A page for a school or a carer: what the pump is, which signs to look for, whom"
                " to call, what to do until help comes, and what never to do."
            )
        ),
        check_boxes(
            message("What of the person is on it"),
            [(name, _WORDS[name]) for name in offered],
            ticked,
            toggle,
        ),
        body(message("What is not ticked is not on the page."), soft=True),
        big_button(
            message("Show the page"),
            lambda: app.go(f"/pages?of=carer&show={','.join(ticked) or 'nothing'}"),
            icon=ft.Icons.PRINT_OUTLINED,
        ),
        link(app, message("Details on the card"), "/care", ft.Icons.EDIT_OUTLINED),
        link(app, message("Whom to call"), "/contacts", ft.Icons.CALL),
    ]
