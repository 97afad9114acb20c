"""Today, and the first run that leads to it.

``today`` puts it together: ``state_box``, ``diary_box``, ``problem_boxes``, ``upcoming``.
"""
