"""The papers that pages are made for; width and height in mm."""

A4 = (210.0, 297.0)
"""ISO 216."""
LETTER = (215.9, 279.4)
"""8.5 × 11 inches."""

Size = tuple[float, float]
PAPERS: dict[str, Size] = {"a4": A4, "letter": LETTER}
"""By the name that is given on the command line."""
