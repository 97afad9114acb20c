"""For every test: how long one takes is measured by the benchmarks, never a reason to fail."""

from hypothesis import settings

settings.register_profile("patient", deadline=None)
settings.load_profile("patient")
