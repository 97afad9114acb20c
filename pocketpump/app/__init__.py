"""The screens: one place for what the person sees and touches.

``main``      what flet calls for a tab; ``services`` is what the screens work on
``draft_keeping``  half-filled forms outlive the tab; ``shared_texts`` stand on several screens
``screens``   the screens, a room for each place of the bar and each subject
``parts``     the controls every screen is made of
``forms``     typed text on its way to values
``shell``     the frame around every screen: where one is, what was said, what a tap does
``look``      colours, sizes, fonts
``server``    the local web server that shows the screens in the person's own browser
"""
