"""The whole record as one file, and back.

``backup``               one JSON file that proves itself whole
``encrypted``            the same file under a passphrase
``passphrase_strength``  how strong a passphrase is, as a low estimate
``cipher``               the protocol; ``cipher_desktop`` and ``cipher_browser`` do the work
``import_preview``       what a copy would add here, and the conflicts in words; nothing written
``backup_due``           when the next backup is due
``record_check``         is the record whole; the support file without health content
``raw_files``            the record's files as they are
"""
