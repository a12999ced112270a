"""What pytest is told to keep the programs at hand as golden ones: the plug-in adds it, failures name it."""

from __future__ import annotations

# By itself, since the plug-in loads nothing that assertions need.
RENEW_OPTION = "--renew-golden"
