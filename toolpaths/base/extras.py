"""Libraries that only some of the work needs: imported when it is done, and asked for with their install line."""

from __future__ import annotations

from importlib import import_module
from typing import Any

from toolpaths.base.errors import InputError


def extra_library(module: str, extra: str, need: str) -> Any:
    """A module of a library that an extra of this package installs.

    need : what the work needs, as the error begins where it is not installed
    """
    try:
        return import_module(module)
    except ImportError:
        raise InputError(f"{need}: pip install 'toolpaths[{extra}]'") from None
