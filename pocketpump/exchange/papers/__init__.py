"""What is made to be printed, shown or sent.

``drawing``       rows down pages in millimetres, written as PDF, SVG or PNG
``paper_size``    A4 and US Letter
``pieces``        what a page is made of: paragraphs, points, facts, tables, lines to write on
``sheet``         the clinic sheet, of ``sheet_parts``: ``sheet_changes``, ``sheet_diary`` and
                  ``sheet_tables``; ``sheet_html`` and ``sheet_pdf`` write it, the latter of
                  ``pieces`` and, for its charts, of ``chart_drawing``
``travel_sheet``  one trip on one page, in the words of ``travel_words`` and
                  ``travel_week_words``; ``carer_sheet`` the page
                  for a school or a carer; both of ``pieces`` and ``numbers``
``card_phrases``  the card's fixed words in each language; ``card_words`` a card as blocks of words
``card_files``    the card by the ending of a name: ``card_text``, ``card_html``, ``card_pages`` and
                  ``wallet``, with ``card_title`` and ``qr_code``; ``tag`` is the large one, and
                  ``card_front`` what both say first
``letter``        for border and security staff, in the card's languages
``attachment``    a photo or scan on its way into the record
"""
