"""Sentences that stand on more than one screen."""

CAUTION = (
    "PocketPump is a notebook with arithmetic. It is no medical device and does not talk to"
    " your pump. Your clinic's instructions and your local emergency services come first."
)

# Sudden withdrawal: drug label; Coffey 2002; Saulino 2016.
EMERGENCY_SIGNS = (
    "If stiffness comes back fast together with fever, confusion or a racing pulse, it could"
    " be too little drug: call your local emergency number."
)

DEMO = "This is the record of an invented person. Nothing you enter here is kept."
