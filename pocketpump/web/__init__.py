"""The static phone build of PocketPump: page, worker, service worker, snapshot, packing.

Two halves share this package. At build time :func:`.build.build` turns installed packages
into a folder that any file server can serve. In the browser the worker imports only
``start``, ``bridge`` and ``browser_files``; so nothing is imported here.
"""
