"""The screens: functions from the app to the controls that show it, in rooms by subject.

``today``, ``diary``, ``refills``, ``card`` and ``more`` are places of the bar. ``safety`` holds the
warning signs and the calls, ``pump`` the pump and its dose settings, ``whole_record`` the backup
and what else is done with the record as a whole. ``routes`` says at which address each screen
stands. Beside them is what several rooms share: ``editing`` the form of an entry, ``undo``,
``link``, ``draft``, ``error_screen``, ``list_row``, and ``saved_files``: how files are called.
"""
