"""Refills: ``refills`` the list, ``refill`` the form (``refill_fields``, ``refill_saving``), the
``visit`` that is booked, the ``clinic_sheet``.
"""
