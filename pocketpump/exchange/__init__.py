"""What leaves and enters: files, pages, codes. Functions from plain values to text or bytes.

The card: ``phrases`` (the fixed words in each language), ``card_words`` (a card as blocks of
words), ``code`` (the essentials to scan), and the faces ``card_text``, ``card_html``,
``card_pages`` with ``card_files``. ``drawing`` puts pages on paper or into a picture.
"""
