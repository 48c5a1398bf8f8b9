"""Terms of every kind, made up here, through the whole assembly: what they give is weighed last and explained."""

import sys

import numpy as np
import pytest

from setsolver.rules import AxisTerm, GainTerm, Term, assemble, ledger, registry
from setsolver.solver import solve
from tests.rules.brute import paths_of, valid_sets
from tests.rules.builders import make_brief, make_frame, make_snapshot


class Hue(AxisTerm):
    """Two columns with all the reach there is: frames may lie apart, at a price."""

    name = "hue"
    key = "weights.hue"

    def apply(self, draft):
        """Give it."""
        for column, name in enumerate(("hue a", "hue b")):
            draft.agree(self, name, draft.by_frame(f.shot.rating * (column + 1) for f in draft.frames), slack=1.0)


class Late(Term):
    """Takes frames out after others have given all they give."""

    name = "late"
    key = "weights.late"
    rank = 99

    def apply(self, draft):
        """Give it."""
        odd = draft.by_frame(f.id % 2 for f in draft.frames) == 1
        draft.rule_out(self, odd, lambda n: f"{n} odd", lambda _: "it is odd")


class Kinds(Term):
    """Labels and pairs."""

    name = "kinds"
    key = "weights.kinds"

    def apply(self, draft):
        """Give it."""
        draft.cap(draft.labels(f.id % 2 for f in draft.frames), 1, "kind", "at most 1 frame of one kind")


class Loud(GainTerm):
    """Pays by role."""

    name = "loud"
    key = "weights.loud"

    def apply(self, draft):
        """Give it."""
        draft.pay(self, np.array([[1.0, 0.5, 0.0]] * len(draft.table.frame)))

    def says(self, member):
        """Return the words."""
        return f"loud as {member.slot.name}"


@pytest.fixture
def terms(monkeypatch):
    """Return what puts terms beside those of the package."""

    def beside(*kinds):
        known = registry.terms()
        found = tuple(sorted((*known, *(kind() for kind in kinds)), key=lambda term: (term.rank, term.name)))
        for module in ("registry", "assemble"):
            monkeypatch.setattr(sys.modules[f"setsolver.rules.{module}"], "terms", lambda: found)

    return beside


def shoot(count=4):
    return make_snapshot(*(make_frame(i, rating=i) for i in range(count)))


def lines_of(assembly, rule):
    best = solve(assembly.problem).best
    found = ledger(assembly, best.chosen, best.roles, best.look)
    assert sum(line.points for line in found) == pytest.approx(best.score, abs=1e-6)
    return [line for line in found if line.rule == rule]


def test_an_axis_term_of_two_columns_and_endless_reach_costs_what_lies_beyond_its_slack(terms):
    terms(Hue)
    assembly = assemble(shoot(), make_brief(size=4, weights={"hue": 2}))
    assert [axis.name for axis in assembly.axes][-2:] in (["hue a", "hue b"], ["cast_a", "cast_b"])
    lines = lines_of(assembly, "hue")
    # ratings 0 to 3 about 1.5: 0.5 beyond at both ends; doubled 0 to 6 about 3: 2 at both ends, none for 2 and 4
    assert [line.points for line in lines] == pytest.approx([-2 * 1.0, -2 * 4.0])
    assert len(paths_of(assembly)) == 1


def test_its_columns_leave_the_problem_with_its_weight_and_nothing_else_does(terms):
    terms(Hue)
    assembly = assemble(shoot(), make_brief(size=4, weights={"hue": 2}))
    without = assembly.reweighed(assembly.brief.weights.model_copy(update={"hue": 0.0}))
    assert assembly.problem.tone.shape[1] == without.problem.tone.shape[1] + 2
    best = solve(without.problem).best
    assert without.chosen_set(best.chosen, best.roles, best.look).phi["hue"] == pytest.approx(-(1.0 + 4.0))


def test_what_others_gave_goes_with_the_rows_that_a_late_term_takes_out(terms):
    terms(Hue, Late, Loud)
    assembly = assemble(shoot(6), make_brief(weights={"hue": 1, "loud": 1}))
    rows = len(assembly.renditions)
    assert {rendition.frame.id for rendition in assembly.renditions} == {0, 2, 4}
    assert assembly.parts.gains["loud"].shape == (rows, 3)
    assert [axis.value.tolist() for axis in assembly.parts.axes if axis.name == "hue b"] == [
        [2.0 * rendition.frame.id for rendition in assembly.renditions]
    ]
    assert assembly.problem.group.shape[1] == assembly.problem.place.shape[0] == rows
    assert assembly.reasons[1] == "it is odd"


def test_a_cap_of_ones_own_holds_in_every_set_and_has_its_words(terms):
    terms(Kinds)
    assembly = assemble(shoot(), make_brief(size=2))
    for chosen, _, _ in valid_sets(assembly):
        assert {assembly.renditions[row].frame.id % 2 for row in chosen} == {0, 1}
    assert "at most 1 frame of one kind" in assembly.words.values()
    assert "kind" in [cap.one for cap in assembly.caps]


def test_a_gain_by_role_is_explained_for_the_role_that_is_played(terms):
    terms(Loud)
    lines = lines_of(assemble(shoot(), make_brief(size=1, weights={"loud": 1000})), "loud")
    assert [(line.points, line.says) for line in lines] == [(500.0, "loud as medium")]


@pytest.mark.parametrize(("away", "says"), [(2.5, "2.5 above it"), (-2.5, "2.5 below it")])
def test_an_axis_without_words_of_its_own_says_above_and_below(away, says):
    assert Hue().away(None, away) == says
