"""The public names of a package, imported when they are asked for.

So a script pays for what it uses: a job that is only planned for no judge, a text that is only judged for no maker.
"""

from __future__ import annotations

import ast
import sys
from collections.abc import Callable
from importlib import import_module
from pathlib import Path


def names_on_demand(package: str, file: str) -> tuple[list[str], Callable[[str], object], Callable[[], list[str]]]:
    """What a package calls __all__, __getattr__ and __dir__.

    package, file : its __name__ and __file__. Beside the file stands its stub, .pyi, which says for each public name
        from where it is imported
    """
    stub = ast.parse(Path(file).with_suffix(".pyi").read_text())
    homes = {alias.name: node.module for node in stub.body if isinstance(node, ast.ImportFrom) for alias in node.names}
    known = vars(sys.modules[package])

    def named(name: str) -> object:
        home = homes.get(name)
        if home is None:
            raise AttributeError(f"module {package!r} has no attribute {name!r}")
        known[name] = value = getattr(import_module(home), name)
        return value

    return sorted(homes), named, lambda: sorted({*known, *homes})
