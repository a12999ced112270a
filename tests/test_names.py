"""The names of the tests are the same in every process, so that processes can share the tests out."""

from __future__ import annotations

import pytest


def test_no_test_is_named_by_an_address_or_a_set(request: pytest.FixtureRequest) -> None:
    """An address differs from process to process, and so does the order in which a set is written."""
    names = [item.nodeid for item in request.session.items]

    assert request.node.nodeid in names
    assert not [name for name in names if " at 0x" in name or "frozenset(" in name]
