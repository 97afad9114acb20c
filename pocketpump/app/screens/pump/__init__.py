"""The pump: ``pump``, its clock, its ``device_life`` and the ``clinic_days``; its dose settings:
the ``dose_list``, the ``dose_form`` (``dose_fields``, ``bolus_fields``, ``dose_texts``),
``tip_delivery`` and ``what_if``.
"""
