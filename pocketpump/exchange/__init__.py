"""What leaves and enters: files that other programs, other devices and other people read.

``backup``    the whole record as one file, plain or encrypted; what a copy would bring; the check
``tables``    CSV with units in the headers, out and in; someone else's list of refills
``fhir``      a FHIR R4 bundle
``calendar``  the reminders as an iCalendar file
``papers``    clinic sheet, travel sheet and card: as pages, pictures, text
``language``  the languages the app speaks, from gettext catalogues

Everything here turns values into bytes or bytes into values; the outputs are saved and the inputs
picked elsewhere.
"""
