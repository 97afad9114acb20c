"""Where the screens of this room stand: the diary."""

from pocketpump.app.screens.diary.changes import changes
from pocketpump.app.screens.diary.check_in import check_in
from pocketpump.app.screens.diary.diary import diary
from pocketpump.app.screens.diary.event import diary_event
from pocketpump.app.screens.diary.log import log
from pocketpump.app.screens.diary.measures import measure, measures
from pocketpump.app.shell.routes import ScreenRoute
from pocketpump.core.messages import message

ROUTES = {
    "/check-in": ScreenRoute(
        check_in,
        message("How is it now?"),
        "/diary",
        up="/today",
        correcting=message("Correct a check-in"),
    ),
    "/diary": ScreenRoute(diary, message("Diary"), "/diary"),
    "/happening": ScreenRoute(
        diary_event,
        message("Something happened"),
        "/diary",
        up="/diary",
        correcting=message("Correct what happened"),
    ),
    "/changes": ScreenRoute(changes, message("After each dose change"), "/diary", up="/diary"),
    "/log": ScreenRoute(log, message("All check-ins and notes"), "/diary", up="/diary"),
    "/measures": ScreenRoute(measures, message("Measures and goals"), "/diary", up="/diary"),
    "/measure": ScreenRoute(
        measure,
        message("A new measure"),
        "/diary",
        up="/measures",
        correcting=message("Correct a measure"),
    ),
}
