"""What leaves and enters: files that other programs, other devices and other people read.

``backup``       the whole record as one JSON file that proves itself
``locked``       the same file under a passphrase
``strength``     how strong a passphrase is, as a low estimate
``cipher``       the protocol for it; ``cipher_desktop`` and ``cipher_browser`` do the work
``bringing``     what a copy would add here, and the conflicts in words; nothing written
``reminder``     when the next backup is due
``tables``       CSV with units in the headers, out and in
``cells``        one cell of such a table
``spreadsheet``  past refills from someone else's table, column by column
``fhir``         a FHIR R4 bundle
``checkup``      is the record whole; and the support file without health content
``calendar_file``  the reminders as an iCalendar file
``sheet``          the clinic sheet: what stands on it, made of ``sheet_parts``
``sheet_html``     the clinic sheet as a page for print
``sheet_pdf``      the clinic sheet as PDF
``pdf``            lines, tables and pages on paper
``tongues``        the languages the app speaks; ``spoken`` names the one a file is in

The card: ``phrases`` (the fixed words in each language), ``card_words`` (a card as blocks of
words), ``code`` (the essentials to scan), and the faces ``card_text``, ``card_html``,
``card_pages`` and ``wallet`` with ``card_files``. ``drawing`` puts pages on paper or into a
picture.

Everything here turns values into bytes or bytes into values; the faces save and pick files.
"""
