"""Pages of text and lines in millimetres, written as PDF, SVG or PNG; pure Python.

Read in this order: ``fonts`` (which font has which letter), ``lending`` (letters that the device
lends: ``borrowable``, ``device_fonts``, ``traced``, ``borrowed``), ``writing`` (letters in the
order in which they stand on paper), ``page`` (what is drawn, and breaking lines), ``flow`` (rows
and blocks of text down as many pages as needed), then ``pdf``, ``svg`` and ``png``.
"""
