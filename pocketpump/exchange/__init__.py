"""What leaves and enters: files that other programs, other devices and other people read.

``calendar_file``  the reminders as an iCalendar file
``sheet``          the clinic sheet: what stands on it, and as a page for print
``sheet_pdf``      the clinic sheet as PDF
``pdf``            lines, tables and pages on paper

Everything here turns values into bytes or bytes into values; the faces save and pick files.
"""
