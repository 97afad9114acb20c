"""Warning signs: ``signs``, ``sign_answer``; ``calls`` and ``contacts``; ``alerts`` on Today."""
