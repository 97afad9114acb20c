"""Sentences and phrases that stand on more than one screen."""

from pocketpump.core.messages import joined, message
from pocketpump.core.safety.sign_table import EMERGENCY_SIGNS as EMERGENCY_SIGNS

CAUTION = message(
    "PocketPump is a notebook with arithmetic. It is no medical device and does not talk to"
    " your pump. Your clinic's instructions and your local emergency services come first."
)

STOPPING = joined(
    " ",
    (
        message(
            "Never stop the pump yourself: only your clinic does that. If your clinic did not stop"
            " it, call now."
        ),
        EMERGENCY_SIGNS,
    ),
)
"""What stands wherever "stopped" can be chosen."""

DEMO = message("This is the record of an invented person. Nothing you enter here is kept.")

YES_NO = (("yes", message("Yes")), ("no", message("No")))
NO_YES = YES_NO[::-1]
"""The answers to a question, the usual one first."""
