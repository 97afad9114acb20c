"""What an entry is, and what may stand in one. Pure.

``frozen``        dictionaries and lists that refuse to change
``kinds``         the one table of what each kind may hold; ``field_labels`` its fields in words
``bounds``        how deep and large a payload may be
``checks``        whether values may be written as an entry of a kind
``entries``       the entry itself, and as a document
``readable``      what of the entries that count can be read
"""
