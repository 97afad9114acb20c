"""What is not needed every day: ``more``, ``trip`` and ``trip_form``, ``questions``, ``about_you``,
``language``, ``remind``, ``home_screen``.
"""
