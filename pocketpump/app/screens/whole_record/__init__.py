"""The whole record: ``my_record``, ``backup``, ``merge`` of a copy, ``tables``, ``end_record``."""
