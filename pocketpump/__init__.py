"""PocketPump: a private, offline notebook with arithmetic for an implanted baclofen pump.

Imports run one way: the views (``cli``, ``app``, ``web``) use ``exchange``, which uses
``record``, which uses ``core``; the core uses nothing of ours.
"""

__version__ = "0.1.0"
