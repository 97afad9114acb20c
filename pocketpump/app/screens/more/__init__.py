"""What is not needed every day: ``more``, ``trip`` and ``trip_form``, ``questions``, ``about_you``,
``language``, ``remind`` and ``home_screen`` (both ask by ``device_asking``).
"""
