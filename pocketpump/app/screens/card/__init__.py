"""The emergency card: ``card`` full screen, ``care`` its details, ``papers`` of the clinic.

``carer`` is the page for a school or a carer.
"""
