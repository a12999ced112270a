"""Rules for all properties: no time limit on a single example, since test machines are noisy, and the same
examples every time, so that a change is judged by what it changes."""

from hypothesis import settings

settings.register_profile("steady", deadline=None, max_examples=50, derandomize=True)
settings.load_profile("steady")
