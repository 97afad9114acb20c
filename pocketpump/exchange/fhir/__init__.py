"""The record as a FHIR R4 ``bundle``, of ``pump`` and ``person``, made of small ``values``."""
