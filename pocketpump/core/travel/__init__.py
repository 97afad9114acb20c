"""Trips: ``trip`` says whether the drug lasts, ``away`` whether the refill falls into one.

``trip_phrases`` are the words in languages.
"""
