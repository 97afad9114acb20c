"""The local web server that shows the screens in the person's own browser.

``serve`` starts it, ``access_gate`` lets only this machine in, ``content_policy`` says what the
page may do, ``index_page`` is that page. ``flet_patch`` mends flet; ``file_picker`` and
``file_saving`` bring files in and out.
"""
