"""From entries to what the core computes from, one module for each of its questions.

``situation``       the core's `Situation`: pump, fills, settings, the clinic's days
``pumps``           which pump is in the body since when; ``pump_correction`` another or the same
``last_refill``     the last refill, which may be noted in several entries
``booked_visit``    which visit is booked; the reminders with it
``away``            the trip that keeps from the next refill
``forecast``        the forecast from the entries
``state``           the core's state with the visit and a missed refill
``circumstances``   what makes warning signs worse now
``card_facts``      what the card, the pump's papers and the trips are made of
``diary``           check-ins, events, measures, contacts
``findings``        what the diary says, all at once
"""
