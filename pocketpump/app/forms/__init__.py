"""Typed text on its way to values: ``form`` reads the fields and says what is wrong with them."""
