"""What the page says of its own, and what the service worker reminds of, by name.

Written in English here and translated at the build; the facts of a record bring the words of
its person's language along (`pocketpump.web.glance`).
"""

from collections.abc import Mapping
from typing import Final

from pocketpump.app.main import PLACES
from pocketpump.app.screens.diary.check_in import SPASMS_NOW, STIFFNESS_NOW
from pocketpump.app.shared_texts import EMERGENCY_SIGNS
from pocketpump.core.diary.check_ins import SPASM_WORDS
from pocketpump.core.messages import message, plural_message

_CHECK_IN: Final[Mapping[str, str]] = {
    "how_is_it": message("How is it now?"),
    "stiffness": STIFFNESS_NOW.label,
    "stiffness_helper": STIFFNESS_NOW.helper,
    "stiffness_needed": STIFFNESS_NOW.needed,
    "spasms": SPASMS_NOW.label,
    "spasms_helper": SPASMS_NOW.helper,
    **{f"spasms_{number}": words for number, words in enumerate(SPASM_WORDS)},
    # Note: read aloud for the dash that takes an answer away.
    "no_answer_spasms": message("No answer: {question}", question=SPASMS_NOW.label),
    "save": message("Save"),
    "add_more": message("Add more"),
    "check_in_saved": message("The check-in is saved."),
    "undo": message("Undo"),
    "taken_back": message("That was taken back."),
    "check_in_not_saved": message(
        "The check-in could not be kept on this device, so it is not saved. Free some space and"
        " tap Save again."
    ),
    "check_in_slow": message("Saving takes longer than usual. Wait a little."),
    "undo_not_kept": message("That could not be taken back now. Try again."),
    "worries": message("Something worries me"),
    "emergency_signs": EMERGENCY_SIGNS,
    "no_numbers": message("No numbers are noted here yet. Use those on your clinic's papers."),
    "signs": message("Warning signs"),
    "log_refill": message("Log a refill"),
    "show_card": message("Show my card"),
    "all_of_today": message("All of Today"),
    "back": message("Back"),
    # Note: {place} is one of the names in the bar.
    "opening_place": message("Opening {place}…"),
    "places": message("Places"),
    **{f"place_{place.route[1:]}": place.label for place in PLACES},
}

PAGE_WORDS: Final[Mapping[str, str]] = {
    **_CHECK_IN,
    "opening": message("Opening…"),
    "could_not_load": message(
        "A part of the app did not come. Check the connection. If you use a content blocker or a"
        " filter, let this page through. Then load the page again."
    ),
    "could_not_start": message(
        "The app could not start. Load the page again. If it does not start then, close other"
        " apps and windows first: the device may be short of memory."
    ),
    "takes_long": message(
        "Opening takes longer than usual. Wait a little more, or load the page again."
    ),
    "takes_long_first": message(
        "The first start takes long: the whole app has to come over the connection. Leave this"
        " page open. If nothing changes for some minutes, load the page again."
    ),
    "stopped_working": message(
        "PocketPump has stopped working. What was called saved is kept; what you typed after that"
        " may be lost. Load the page again to go on."
    ),
    "no_answer": message(
        "PocketPump does not answer. Wait a little: it may still be at work. If nothing changes,"
        " load the page again; what was called saved is kept."
    ),
    "used_elsewhere": message(
        "PocketPump is open in another window. Days and card stand here too, and a check-in can be"
        " noted. For all else use the other window, or go on here."
    ),
    "use_here": message("Use it here"),
    "as_saved": message("What is shown here is as it was last saved."),
    "left_out": message(
        "Some of what is kept for this page cannot be read and is left out here. The record"
        " itself is not touched. Open the app to see all of it."
    ),
    "load_again": message("Load the page again"),
    "save_files": message("Save the record's files"),
    "files_saved": message(
        "The record's files are in {file}, where your browser keeps downloads. Anybody with it can"
        " read it. PocketPump brings it in like a backup, on this device or another."
    ),
    "files_not_saved": message(
        "The record's files could not be saved. Close all windows of the browser, open this page"
        " again and try once more. Nothing in the record was touched."
    ),
    "could_not_keep": message(
        "What you entered last could not be kept on this device. Free some space, load the page"
        " again, and look at what is there."
    ),
    "storage_gone": message(
        "What you entered last was not saved: the browser has cleared PocketPump's files while it"
        " was open. Load the page again and bring in your last backup."
    ),
    "new_version": message("A new version is ready."),
    "use_now": message("Use it now"),
    "use_later": message("Later"),
    "old": message("This was last worked out {count} days ago. Open the app and check it."),
    "stopped": message("the pump is stopped"),
    # Note: stands under the number of days, in large letters.
    "day_to": plural_message("day to refill-by", "days to refill-by", 1),
    "days_to": plural_message("day to refill-by", "days to refill-by", 2),
    # Note: stands under a large 0.
    "due": message("refill-by is today"),
    # Note: stands under the number of days, in large letters.
    "day_past": plural_message("day past refill-by", "days past refill-by", 1),
    "days_past": plural_message("day past refill-by", "days past refill-by", 2),
    "window": message("may come from {first} to {last}"),
    "alarm": message("Alarm date"),
    "clinic_alarm": message("Clinic's alarm date"),
    "no_alarm": message("none while stopped"),
    "call": message("Call the clinic by"),
    "empty": message("Empty date"),
    # Note: a label; beside it stands the day on which the dates were computed.
    "worked_out": message("Worked out on"),
}
"""What the page says of its own, by the names its scripts know."""

# The count and the day are left for the service worker to put in.
_COUNT: Final = "{count}"
_DAY: Final = "{day}"
REMINDER_WORDS: Final[Mapping[str, str]] = {
    "remind_day": plural_message(
        "{count} day to refill-by.", "{count} days to refill-by.", 1, count=_COUNT
    ),
    "remind_days": plural_message(
        "{count} day to refill-by.", "{count} days to refill-by.", 2, count=_COUNT
    ),
    "remind_due": message("Today is the refill-by date."),
    "remind_past": message("The refill-by date has passed. Call your clinic."),
    "remind_visit": message("Your refill is booked for {day}.", day=_DAY),
    "remind_visit_today": message("Your refill is booked for today."),
    "remind_visit_past": message(
        "The day of your visit is past and no refill is noted. Open PocketPump."
    ),
    # Note: stands on a locked screen, where others may read it: no word of health.
    "remind_near": message("A day you noted is near."),
    # Note: stands on a locked screen, where others may read it: no word of health.
    "remind_now": message("A day you noted is today."),
    # Note: stands on a locked screen, where others may read it: no word of health.
    "remind_gone": message("A day you noted is past. Please look."),
}
"""What the service worker reminds of; the last three give nothing away."""
