"""The two profiles of properties, and which of them holds unless `--hypothesis-profile whole` asks for the other."""

from hypothesis import settings
from samples import SAMPLE, WHOLE

settings.register_profile("whole", WHOLE)
settings.register_profile("sample", SAMPLE)
settings.load_profile("sample")
