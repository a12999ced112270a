"""Every argument of everything public, replaced by values of every kind: a documented error, or a result that holds.

The calls stand in argument_calls.py, the values in argument_values.py, what holds means in argument_outcomes.py. All of
it by hand, with counts: `python tests/argument_outcomes.py`.
"""

from __future__ import annotations

import inspect
from collections import defaultdict
from random import Random

import argument_calls
import pytest
from argument_calls import CALLS, Call
from argument_outcomes import outcome
from argument_values import VALUES

import toolpaths as tp
from toolpaths import testing

# What only the library makes, from its own values: the judgement, what a head is read to, what woods there are.
MADE_HERE = {
    "AcceptedFinding", "Advice", "Circle", "Drawing", "DrawingCurve", "Estimate", "Figure", "Finding", "Gap", "GoesIn",
    "HoldDown", "InlayFit", "JobReport", "Joined", "Layout", "Outcome",
    "Measures", "Note", "Picture", "Program", "Progress", "ProposedDowels", "ProposedScrews", "Repaired", "Replay",
    "Report", "Restart", "ScrewedIn", "ShapeFault",
    "SideFinding", "SideOff", "Species", "Study", "Symmetrised", "Traced", "TurningClip", "Wood",
}  # fmt: skip
# What every operation and every feature answers, called by the rooms that make and that judge, with values that only
# they have (Site, Slack, Track, columns of numbers).
BETWEEN_ROOMS = {
    "Cutter": {"body_radii", "body_radius"},
    "Feature": {"cut_here", "floor", "goes_through", "highest", "lowest", "tabs_meant", "taken", "thicker", "walls"},
    "Fixture": {"place", "seen_from_front", "spoilboard_limits", "within_hole"},
    "Operation": {"depths", "features", "floor", "parts", "toolpath"},
    "Profile": {"height", "radii", "radius_at", "text"},
    "Section": {"heights", "slopes"},
    "Setup": {"highest_wood", "touch_off_z"},
    "Tabs": {"half_length", "half_zone", "number_on", "slope_run"},
    "Template": {"footprint", "work"},
}
CASES = [(call, argument, value) for call in CALLS for argument in call.arguments for value in VALUES]
# Cases, by lot, that are tried with the README's command; by .ci/run; and in one test of those. All of them, some
# 75,000, take ten minutes by hand.
SAMPLE, LONG, AT_ONCE = 500, 10_500, 1_000
ORDER = Random("arguments").sample(range(len(CASES)), len(CASES))


def public() -> dict[str, object]:
    """Everything that a user calls, by its name: functions, classes, and their methods that take an argument."""
    found: dict[str, object] = {
        f"testing.{name}": getattr(testing, name) for name in testing.__all__ if name != "SimulatedJob"
    }
    for name in tp.__all__:
        thing = getattr(tp, name)
        if not callable(thing) or (inspect.isclass(thing) and issubclass(thing, Exception)):
            continue
        if not inspect.isabstract(thing) and name not in MADE_HERE:
            found[name] = thing
        if inspect.isclass(thing):
            base = next((b for b in ("Operation", "Feature") if issubclass(thing, getattr(tp, b))), name)
            # Of a class method the class is given already.
            made = inspect.getmembers(thing, inspect.ismethod)
            found |= {f"{base}.{method}": function for method, function in made if not method.startswith("_")}
            for method, function in inspect.getmembers(thing, inspect.isfunction):
                takes = len(inspect.signature(function).parameters) > 1
                if not method.startswith("_") and takes and method not in BETWEEN_ROOMS.get(base, ()):
                    found[f"{base}.{method}"] = function
    return found


def test_every_argument_of_everything_public_is_given_in_a_call():
    given = defaultdict(set)
    for call in CALLS:
        given[call.name] |= set(call.arguments)
    for name, function in public().items():
        wanted = {
            parameter.name
            for parameter in inspect.signature(function).parameters.values()
            if parameter.name != "self" and parameter.kind is not parameter.VAR_KEYWORD
        }
        assert wanted <= given[name], f"{name}: {wanted - given[name]} is not in argument_calls.py"
    assert set(given) == set(public())


@pytest.mark.parametrize("call", CALLS, ids=lambda call: call.name)
def test_the_calls_are_sound_as_they_are(call):
    call.with_("", None)


def assert_sound(cases: list[tuple[Call, str, str]]) -> None:
    wrong = {}
    for call, argument, value in cases:
        found = outcome(call, argument, value)
        if found not in ("refused", "holds"):
            wrong[f"{call.name}({argument}={value})"] = found
    assert wrong == {}


def test_a_sample_of_bad_arguments():
    assert_sound([CASES[n] for n in ORDER[:SAMPLE]])


@pytest.mark.sample(0, long=2)
@pytest.mark.parametrize("first", range(SAMPLE, LONG, AT_ONCE))
def test_more_bad_arguments(first):
    assert_sound([CASES[n] for n in ORDER[first : first + AT_ONCE]])


def test_what_is_wrong_would_be_found():
    """A call that lets an error of another library out, one that takes too long, and results that do not hold."""

    class NeverEqual:
        def __eq__(self, other: object) -> bool:
            return False

        __hash__ = None

    def call(function: object) -> str:
        return outcome(Call("made up", function, {"value": 1}), "value", "2")

    assert call(lambda value: [][value]).startswith("IndexError")
    assert call(lambda value: float("inf")) == "does not hold: inf is no number"
    assert call(lambda value: float("nan")) == "does not hold: another process holds something else"
    assert call(lambda value: (yield)).startswith("TypeError")  # a generator cannot be pickled
    assert call(lambda value: lambda: value).startswith(("AttributeError", "PicklingError"))
    assert "cannot be shown" in call(lambda value: (_ for _ in ()).throw(tp.InputError("x" * 10_000)))
    assert call(lambda value: value) == "holds"
    assert argument_calls.CALLS == CALLS
