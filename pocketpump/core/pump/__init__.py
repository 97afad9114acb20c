"""From what is known of the pump to the forecast.

Read in this order:

``programme``           a `Programme` covers every delivery mode; its `Curve` is one week, exact
``programme_text``      programmes as written and as read; ``programme_payload`` as kept
``timeline``            segments: volume, flow, what reaches the body
``timeline_builder``    fills + settings -> timeline; the line as a queue
``same_refill``         which notes are of one refill
``setting_changes``     which dose settings change what is delivered
``situation``           all a forecast is computed from; which note of a refill counts
``duplicates``          the sentences about what was noted twice
``delivery_ratio``      what refills taught of this pump, and the window that follows
``clinic_days``         the clinic's open days
``refill_by``           from the dates at which something runs out to the refill-by date
``situation_problems``  what has to be entered first, or looked at again
``forecast``            one frozen answer at one instant; every output reads this and nothing else
``state``               where the person stands and the next step, in one sentence
``forecast_explanation``  how each number of the forecast was worked out, in words
``reminders``           what is coming: the forecast's dates as a list
``tip_delivery``        what reaches the body: old drug in the line, the pattern on the wall clock
``what_if``             the forecast with other numbers, beside the one there is
``dose_steps``          a dose change in percent, beside the step ranges of the label
``device_life``         the pump's age and the end of its battery
"""
