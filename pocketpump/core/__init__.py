"""The calculation: pure functions over frozen dataclasses.

No input or output, no clock (the instant is an argument), no screen, no store. Read the
modules in this order:

``errors``          sentences for the person; problems that travel beside a result
``quantity``        amounts as written -> floats in canonical units (Pint at the edge)
``instants``        seconds, zones, local dates
``days``            days and times as people write them
``pattern``         a `Programme` covers every delivery mode; its `Curve` is one week, exact
``programme_text``  programmes as written and as read; ``programme_payload`` as kept
``timeline``        segments: volume, flow, what reaches the body
``timeline_walk``   fills + settings -> timeline; the line as a queue
``clinic``          the clinic's open days
``one_refill``      which notes are of one refill, and what counts of them
``situation``       all an outlook is computed from, besides the instant
``outlook``         one frozen answer at one instant; every face reads this and nothing else
``state``           where the person stands and the next step, in one sentence
``working``         how each number of the outlook was worked out, in words
``booking``         what is coming: the outlook's dates as reminders
``reach``           what reaches the body: old drug in the line, the pattern on the wall clock
``what_if``         the outlook with other numbers, beside the one there is
``steps``           a dose change in percent, beside the step ranges of the label
``refill``          checks on what was left over and what went in
``twins``           what was noted twice, told
``claim``           one refill as entered; ``misreadings`` what may be wrong in it
``slips``           which single wrong number would explain a printed alarm date

Of the diary, beside all this:

``statistics``      rank statistics in plain Python, inflated for days that are alike
``diary``           check-ins as readings; medians of days and weeks
``verdict``         lower, higher or not clear, from the days before and after
``response``        what a change of the setting was followed by; ``response_text`` in words
``drift``           a slow drift; today against the usual range
``hours``           stiffness by the hour beside the rate by the hour
``sign_table``      the warning signs as data; ``sign_rules`` what is worse together or now
``circumstances``   what of now makes them worse; ``signs`` takes the worst of all
``opening_hours``   when the clinic's telephone is answered
``bad_moments``     which signs a check-in's scores and side effects may be
``happenings``, ``measures``, ``contacts``   what happened, goals, whom to call

Amounts inside are always mL, mcg, mcg/mL, mcg/day or mcg/h, and the name says which.
"""
