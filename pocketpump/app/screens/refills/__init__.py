"""Refills: the ``refill_list``, the ``refill_form`` (``refill_fields``, ``refill_saving``), the
``visit`` that is booked, the ``clinic_sheet``.
"""
