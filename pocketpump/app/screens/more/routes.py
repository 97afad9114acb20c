"""Where the screens of this room stand: what is not needed every day."""

from pocketpump.app.screens.more.about_you import about_you
from pocketpump.app.screens.more.more import about, look, more
from pocketpump.app.screens.more.questions import questions
from pocketpump.app.screens.more.trip import trip, trip_form, trips
from pocketpump.app.shell.routes import ScreenRoute
from pocketpump.core.messages import message

ROUTES = {
    "/questions": ScreenRoute(questions, message("Questions for the clinic"), "/more", up="/more"),
    "/about-you": ScreenRoute(about_you, message("About you"), "/more", up="/more"),
    "/trips": ScreenRoute(trips, message("Trips"), "/more", up="/more"),
    "/trip": ScreenRoute(trip, message("A trip"), "/more", up="/trips"),
    "/trip-form": ScreenRoute(
        trip_form,
        message("Plan a trip"),
        "/more",
        up="/trips",
        correcting=message("Correct a trip"),
    ),
    "/look": ScreenRoute(look, message("Text size and colours"), "/more", up="/more"),
    "/about": ScreenRoute(about, message("About and cautions"), "/more", up="/more"),
    "/more": ScreenRoute(more, message("More"), "/more"),
}
