"""Putting the built app on a host, and looking whether a host serves it right.

Reading order: ``rules`` (what each file must be sent with), ``snippets`` (the same as settings of
nginx, Caddy, Apache and as a header file) and ``beside`` (which writes them beside a build); then
``address``, ``fetch`` (one file from a host that may be hostile), ``visit`` (what a host answers,
as facts), ``listed`` (what is read out of page and service worker), ``findings`` (what is wrong
with the facts, pure functions), ``change`` (which line to change) and ``told`` (as text and JSON).
``certificate`` is for trying the app over https in the own network.
"""
