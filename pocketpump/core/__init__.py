"""The calculation: pure functions over frozen dataclasses.

No input or output, no clock (the instant is an argument), no screen, no store. Amounts inside are
always mL, mcg, mcg/mL, mcg/day or mcg/h, and the name says which. Read the rooms in this order;
each tells its own reading order:

``errors``        what is raised, and the problems that travel beside a result
``messages``      sentences that can be said in another language later
``units``         amounts, instants, days: as people write them, and as the core counts them
``statistics``    tests, intervals and lines, without any word of pumps
``pump``          from fills and settings to the forecast: alarm date, refill-by date, state
``refill_check``  one refill's numbers against each other, in the waiting room
``diary``         check-ins: after a dose change, drift, sudden changes, the hours
``safety``        warning signs, whom to call, the emergency card
``travel``        trips
"""
