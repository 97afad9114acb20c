"""Sentences that stand on more than one screen."""

from pocketpump.core.sign_table import EMERGENCY_SIGNS as EMERGENCY_SIGNS

CAUTION = (
    "PocketPump is a notebook with arithmetic. It is no medical device and does not talk to"
    " your pump. Your clinic's instructions and your local emergency services come first."
)

STOPPING = (
    "Never stop the pump yourself: only your clinic does that. If your clinic did not stop it,"
    f" call now. {EMERGENCY_SIGNS}"
)
"""What stands wherever "stopped" can be chosen."""

DEMO = "This is the record of an invented person. Nothing you enter here is kept."

STATE_SENTENCES = {
    "empty": "By these numbers the pump is empty. Call the clinic now.",
    "alarm": "The alarm date has come. Call the clinic now.",
    "overdue": "The refill-by date is past. Call the clinic today.",
    "window": "The alarm may come any day now. Call the clinic if the refill is not booked.",
    "due": "The refill is due today. Call the clinic if it is not booked.",
    "call": "Time to call the clinic and book the refill.",
    "stopped": "The pump is noted as stopped. If your clinic did not stop it, call now.",
}
"""What each state of the outlook but "calm" asks for."""

SERIOUS_STATES = ("empty", "alarm", "overdue", "stopped")
"""States that are told together with the emergency signs."""
