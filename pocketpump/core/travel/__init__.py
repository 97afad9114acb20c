"""Trips: ``trip`` says whether the drug lasts; ``trip_phrases`` are its words in languages."""
