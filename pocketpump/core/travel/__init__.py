"""Trips: ``trip`` says whether the drug lasts, ``away`` whether the refill falls into one.

``week_there`` is a week of the pump by the clock there, ``trip_phrases`` are the words in
languages.
"""
