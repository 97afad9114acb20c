"""Warning signs, whom to call, and the emergency card.

Read in this order:

``sign_table``       the warning signs as data
``sign_rules``       what is worse together or now
``circumstances``    what of now makes them worse, found in the forecast and the record
``signs``            the worst of all, and what to do
``check_in_signs``   which signs a check-in's scores and side effects may be
``opening_hours``    when the clinic's telephone is answered
``contacts``         whom to call
``card``             what the card says; ``card_dose_lines`` the dose and its dates
``card_essentials``  the card in a few lines, small enough for a code to scan
"""
