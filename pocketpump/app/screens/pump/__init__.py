"""The pump: ``pump``, its clock, its ``device_life`` and the ``clinic_days``; its dose settings:
``doses`` the list, ``dose`` the form (``dose_fields``, ``bolus_fields``, ``dose_texts``),
``tip_delivery`` and ``what_if``.
"""
