"""The append-only file in which the record is kept.

From the inside out:

``lines``           the bytes of one line with its two checksums; pure
``file_names``      what the files are called, each device writing under names of its own
``files``           the :class:`Files` protocol, the only door to a medium; one in memory
``disk_files``      one folder, one process; ``slots`` a fixed row of handles, as a
                    browser has; ``slot`` one of them
``marks``           what is known of the record outside of its folder
``migrations``      documents of older records to the current schema
``problems``        what may be found when the journal is opened, in sentences
``append``          append, sync, look whether it is there
``other_files``     what other devices wrote, read and never touched
``journal``         opening (torn ends are cut off and kept), appending, folding
``filing``          all files at once: what is in each, moving aside and back, erasing
``tinydb_storage``  TinyDB's storage on the journal; ``drafts`` half-filled forms in it
"""
