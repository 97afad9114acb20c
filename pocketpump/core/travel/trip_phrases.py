"""What to pack, what to ask and what to beware of on a trip; each with where it comes from."""

from pocketpump.core.messages import message

PACKING = (
    # Printout, card and prescribed tablets in hand luggage: a children's hospital's travel leaflet.
    message("The newest printout of the clinic, in the hand luggage"),
    message("The emergency card on paper and on the phone, in the hand luggage"),
    message("Prescribed tablets for the whole trip and some days more, in the hand luggage"),
    # Common practice, no source.
    message("A letter of the clinic about the pump, for security gates"),
    message("The 24-hour number of the clinic at home, written down with + and the country code"),
    message("Insurance papers that cover the pump"),
)

QUESTIONS = (
    # Know a clinic there: a children's hospital's travel leaflet.
    message("Which clinic at the place can look after my pump and refill it?"),
    # The pump's clock follows neither daylight saving nor travel.
    message("Should the pump's hours stay as they are while I am away?"),
    message("What should I do if the alarm sounds on the way?"),
    # Flow changes with pressure, heat and height: ask first (own rule, no source).
    message(
        "I plan diving, a pressure chamber, a sauna or great heights: what applies to my pump?"
    ),
    message("Which tablets should I carry, and when should I take them? Please write it down."),
)

CAUTIONS = (
    message(
        "Depth: not deeper than 10 m under water (Draulans 2013; Schiavo 2023); ask the clinic"
        " before any dive."
    ),
    # Own rule, no source.
    message("Pressure: no pressure chamber before the clinic has agreed."),
    # 39 °C is our own default, no source.
    message(
        "Heat: the flow can change above 39 °C, as in a sauna, a hot tub or a fever (own default);"
        " ask the clinic first."
    ),
    message(
        "Height: great heights without cabin pressure can change the flow; ask the clinic first."
    ),
    # Common practice, no source.
    message(
        "Security gates: show the card, ask for a hand search, and do not stand still in the gate."
    ),
    # De Andres 2011: the motor may stop in the field and restart with delay; the drug's label.
    message(
        "MRI: the pump team must agree before any scan, and the pump must be checked after it"
        " (De Andres 2011; label)."
    ),
)
