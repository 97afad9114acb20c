"""Amounts, instants and days, as people write them and as the core counts them.

``quantity``     amounts as written -> floats in canonical units (Pint at the edge), and back
``instants``     seconds, zones, local dates
``typed_dates``  days and times of day as people type or say them
``blank_text``   letters that show nothing
"""
