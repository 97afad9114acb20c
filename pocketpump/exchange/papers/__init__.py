"""What is made to be printed, shown or sent.

``sheet``         the clinic sheet, of ``sheet_parts``: ``sheet_changes``, ``sheet_diary`` and
                  ``sheet_tables``; ``sheet_html`` and ``sheet_pdf`` write it, ``sheet_setting``
                  sets pieces under each other and ``chart_drawing`` its charts
``travel_sheet``  one trip on one page, in the words of ``travel_words``; ``carer_sheet`` the page
                  for a school or a carer; both of ``pieces`` and ``numbers``
``card_phrases``  the card's fixed words in each language; ``card_words`` a card as blocks of words
``card_files``    the card by the ending of a name: ``card_text``, ``card_html``, ``card_pages`` and
                  ``wallet``, with ``card_title`` and ``qr_code``; ``tag`` is the large one, and
                  ``card_front`` what both say first
``letter``        for border and security staff, in the card's languages
``paper_size``    A4 and US Letter
``attachment``    a photo or scan on its way into the record
``drawing``       pages in millimetres, written as PDF, SVG or PNG
"""
