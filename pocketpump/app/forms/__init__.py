"""Typed text on its way to values.

``fields`` describes each kind of answer once: how it is asked, read and kept; ``form`` draws and
reads the fields of one screen and says what is wrong with them.
"""
