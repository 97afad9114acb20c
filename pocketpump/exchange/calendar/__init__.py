"""The reminders as a calendar file: ``ics`` writes it, ``record_calendar`` asks the record."""
