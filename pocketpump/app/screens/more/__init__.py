"""What is not needed every day: ``more``, ``trip``, ``questions``, ``about_you``, ``language``."""
