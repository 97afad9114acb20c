"""What check-ins show.

Read in this order:

``check_ins``      check-ins as readings: scores at instants, medians of days and weeks
``events``         what happened besides, with its follow-up; ``measures`` and goals of one's own
``stratified``     scores of the same hours and the same part of the week set beside each other
``comparison``     two stretches of days: one shift, and an interval that holds what may explain it
``verdict``        whether lower or higher may be claimed, or neither
``response``       what came after each change of the dose
``response_text``  that in words, with ``response_sentences`` and ``response_explanation``
``baseline``       what is usual for this person at an hour
``drift``          a slow drift; ``sudden_change`` today against the usual
``hours``          stiffness by the hour beside the rate by the hour; ``hours_text``, ``hour_spans``
"""
