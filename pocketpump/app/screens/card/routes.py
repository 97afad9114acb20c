"""Where the screens of this room stand: the card."""

from pocketpump.app.screens.card.card import emergency_card
from pocketpump.app.screens.card.care import care
from pocketpump.app.screens.card.papers import papers
from pocketpump.app.shell.routes import ScreenRoute
from pocketpump.core.messages import message

ROUTES = {
    "/card": ScreenRoute(
        emergency_card, message("Emergency card"), "/card", up="/today", bare=True, awake=True
    ),
    "/care": ScreenRoute(care, message("Details on the card"), "/card", up="/card"),
    "/papers": ScreenRoute(papers, message("The clinic's papers"), "/card", up="/care"),
}
