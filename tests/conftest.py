"""One rule for all properties: no time limit on a single example, since test machines are noisy."""

from hypothesis import settings

settings.register_profile("steady", deadline=None, max_examples=50)
settings.load_profile("steady")
