"""Groups of work say at once what cannot be."""

from __future__ import annotations

import pickle

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pathcheck import DRILL3, FRONT, MIDDLE

import toolpaths as tp

A, B, C = (tp.drill([MIDDLE], DRILL3, depth=depth, name=name) for depth, name in ((1, "a"), (2, "b"), (3, "c")))
SWEEP = tp.stop("Sweep")


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: tp.any_order(), "holds no work"),
        (lambda: tp.any_order(A, "b"), "not a str"),
        (lambda: tp.any_order([A, B]), "write any_order"),
        (lambda: tp.any_order(A, tp.any_order(B)), "inside"),
        (lambda: tp.any_order(A, B, A), "a is listed twice"),
        (lambda: tp.any_order(A, B, keeping=[(A, C)]), "keeping names c, which"),
        (lambda: tp.any_order(A, B, keeping=[(A, "b")]), "keeping names 'b'"),
        (lambda: tp.any_order(A, B, keeping=(A, B)), "rows of work"),
        (lambda: tp.any_order(A, B, keeping=[(A,)]), "rows of work"),
        (lambda: tp.any_order(A, B, keeping=[{A, B}]), "rows of work"),
        (lambda: tp.any_order(A, B, keeping=A), "rows of work"),
        (lambda: tp.any_order(A, B, keeping=None), "rows of work"),
        (lambda: tp.any_order(A, B, keeping=[(A, A)]), r"a \(number 1\), then a \(number 1\)"),
        (lambda: tp.any_order(A, B, C, keeping=[(A, B, C), (C, A)]), r"a \(number 1\), then b .*, then c .*, then a "),
        (lambda: tp.any_order(A, SWEEP, keeping=[(A, SWEEP), (SWEEP, A)]), "then stop 'Sweep'"),
    ],
)
def test_what_is_no_group_is_refused_in_words(make, words):
    with pytest.raises(tp.InputError, match=words):
        make()


def test_work_made_alike_is_the_same_work():
    """Listed once, and named in `keeping` by another one like it."""
    again = tp.drill([MIDDLE], DRILL3, depth=1, name="a")
    with pytest.raises(tp.InputError, match="a is listed twice"):
        tp.any_order(A, again)
    with pytest.raises(tp.InputError, match="stop 'Sweep' is listed twice"):
        tp.any_order(SWEEP, A, tp.stop("Sweep"))

    group = tp.any_order(A, B, keeping=[(B, again)])
    assert group == tp.any_order(A, B, keeping=[(B, A)]) and hash(group) == hash(
        tp.any_order(again, B, keeping=[(B, A)])
    )
    assert group != tp.any_order(A, B) and pickle.loads(pickle.dumps(group)) == group


@given(st.lists(st.tuples(st.integers(0, 5), st.integers(0, 5)), max_size=8))
def test_a_ring_is_found_exactly_where_there_is_one(pairs):
    """Against taking away, again and again, what nothing comes before (Kahn 1962)."""
    work = [tp.drill([MIDDLE], DRILL3, depth=1, name=f"w{k}") for k in range(6)]
    left = set(pairs)
    while first := {a for a, _ in left} - {b for _, b in left}:
        left = {(a, b) for a, b in left if a not in first}
    rows = [(work[a], work[b]) for a, b in pairs]
    if not left:
        assert len(tp.any_order(*work, keeping=rows).work) == 6
        return
    with pytest.raises(tp.InputError, match="ring") as caught:
        tp.any_order(*work, keeping=rows)
    ring = [
        int(word[1:]) for word in str(caught.value).replace(":", "").split() if word[0] == "w" and word[1:].isdigit()
    ]
    assert ring[0] == ring[-1] and set(zip(ring, ring[1:])) <= set(pairs)


def test_a_setup_takes_a_list_even_of_one_group():
    with pytest.raises(tp.InputError, match="must be a list"):
        tp.Setup(FRONT, tp.any_order(A, B))
