"""Warning signs: ``signs``, those ``ticked_signs`` keeps, the ``sign_answer``; whom to call.

``calls`` are the buttons that dial, ``contacts`` the numbers, ``alerts`` what Today keeps in sight.
"""
