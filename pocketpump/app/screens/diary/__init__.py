"""The diary: ``check_in``, ``log``, ``event``, ``measures``, the ``changes`` of the dose."""
