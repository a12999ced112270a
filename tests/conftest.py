"""Rules for all properties: no time limit on a single example, since test machines are noisy, and the same
examples every time, so that a change is judged by what it changes."""

from hypothesis import settings

settings.register_profile("whole", deadline=None, max_examples=50, derandomize=True, database=None)
settings.register_profile("sample", settings.get_profile("whole"), max_examples=10)
settings.load_profile("sample")
