"""Every array that is wrong is named with its key and index; what is missing means "no such rule"."""

from dataclasses import fields

import numpy as np
import pytest

from setsolver.domain.problem import Problem
from setsolver.errors import BadProblem

GOOD = {
    "size": 2,
    "frame": [0, 1, 1],
    "gain": [[1.0, np.nan], [2.0, 3.0], [4.0, 5.0]],
    "role_min": [1, 0],
    "role_max": [2, 2],
    "tone": [[1.0], [2.0], [3.0]],
    "tone_weight": [1.0],
    "tone_slack": [0.0],
    "tone_reach": [np.inf],
    "place": [[0.0, 1.0], [1.0, 0.0], [0.0, 0.0]],
    "variety_weight": 2.0,
    "variety_kind": "euclidean",
    "group": [[0, 0, -1]],
    "group_cap": [1],
    "conflict": [[0, 1]],
    "include": [0],
    "exclude": [],
}


def test_a_good_problem_passes_and_survives_the_file_format():
    problem = Problem.from_arrays(GOOD)
    assert (problem.size, problem.renditions, problem.variety_kind) == (2, 3, "euclidean")
    again = Problem.from_arrays(problem.to_arrays())
    for key in GOOD:
        np.testing.assert_array_equal(getattr(again, key), getattr(problem, key))


def test_missing_keys_mean_no_such_rule():
    problem = Problem.from_arrays({"size": 1, "gain": [[1.0, 2.0], [3.0, np.nan]]})
    assert problem.frame.tolist() == [0, 1]
    assert problem.role_min.tolist() == [0, 0]
    assert problem.role_max.tolist() == [1, 1]
    assert problem.tone.shape == (2, 0)
    assert problem.place.shape == (2, 0)
    assert problem.group.shape == (0, 2)
    assert problem.conflict.shape == (0, 2)
    assert problem.variety_weight == 0


def test_an_empty_list_of_conflicts_or_groups_is_no_rule():
    problem = Problem.from_arrays({**GOOD, "conflict": [], "group": np.array([]), "group_cap": []})
    assert problem.conflict.shape == (0, 2)
    assert problem.group.shape == (0, problem.renditions)


def test_a_tone_without_its_rules_costs_nothing_and_forbids_nothing():
    problem = Problem.from_arrays({"size": 1, "gain": [[1.0]], "tone": [[5.0, 6.0]]})
    assert problem.tone_weight.tolist() == [0, 0]
    assert np.isinf(problem.tone_reach).all()


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"size": 0}, "size: 0; at least 1"),
        ({"size": 1.5}, "size: 1.5; a whole number"),
        ({"size": [1]}, "size: shape (1,)"),
        ({"size": 3, "include": []}, "size: 3 wanted but only 2 frames are left"),
        ({"size": 2, "exclude": [1], "include": []}, "size: 2 wanted but only 1 frames are left"),
        ({"gain": [[1.0, np.inf], [1.0, 1.0], [1.0, 1.0]]}, "gain[0, 1]: inf"),
        ({"gain": [[1.0, 1e13], [1.0, 1.0], [1.0, 1.0]]}, "gain[0, 1]: 1e+13; at most 1e+12"),
        ({"gain": [[1.0, -1.1e12], [1.0, 1.0], [1.0, 1.0]]}, "gain[0, 1]: -1.1e+12; at most 1e+12"),
        ({"gain": [[1.0], [2.0, 3.0]]}, "gain: not an array"),
        ({"gain": [["a"], ["b"], ["c"]]}, "gain: holds <U1 and not numbers"),
        ({"gain": np.zeros((0, 2))}, "an empty problem has no set"),
        ({"gain": np.zeros((3, 0))}, "an empty problem has no set"),
        ({"frame": [0, 1]}, "frame: shape (2,), wanted (3)"),
        ({"frame": [0, -1, 1]}, "frame[1]: -1; at least 0"),
        ({"role_min": [1]}, "role_min: shape (1,), wanted (2)"),
        ({"role_max": [1, -1]}, "role_max[1]: -1"),
        ({"tone": [[1.0], [np.nan], [3.0]]}, "tone[1, 0]: nan"),
        ({"tone_weight": [-1.0]}, "tone_weight[0]: -1"),
        ({"tone_weight": [np.inf]}, "tone_weight[0]: inf"),
        ({"tone_slack": [-0.5]}, "tone_slack[0]: -0.5"),
        ({"tone_reach": [-np.inf]}, "tone_reach[0]: -inf"),
        ({"tone_reach": [np.nan]}, "tone_reach[0]: nan"),
        ({"place": [[0.0], [np.inf], [1.0]]}, "place[1, 0]: inf"),
        ({"variety_weight": -1.0}, "variety_weight: -1"),
        ({"variety_kind": "cosine"}, "variety_kind: 'cosine'"),
        ({"group": [[0, -2, 0]]}, "group[0, 1]: -2; at least -1"),
        ({"group_cap": [-1]}, "group_cap[0]: -1"),
        ({"group_cap": [1, 1]}, "group_cap: shape (2,), wanted (1)"),
        ({"conflict": [[1, 1]]}, "conflict[0]: frame 1 conflicts with itself"),
        ({"conflict": [[0, 1, 2]]}, "conflict: shape (1, 3)"),
        ({"include": [7]}, "include: frame 7 has no rendition"),
        ({"include": [0], "exclude": [0]}, "include: frame 0 is also in exclude"),
        ({"size": 1, "include": [0, 1]}, "include: 2 frames for a set of size 1"),
        ({"colour": [1]}, "'colour' is not a key"),
    ],
)
def test_what_is_wrong_is_named(change, says):
    with pytest.raises(BadProblem) as caught:
        Problem.from_arrays({**GOOD, **change})
    assert says in str(caught.value)


@pytest.mark.parametrize("key", ["size", "gain", "group_cap"])
def test_what_must_be_there_is_asked_for(key):
    with pytest.raises(BadProblem, match=f"{key} is missing"):
        Problem.from_arrays({k: v for k, v in GOOD.items() if k != key})


def test_a_changed_copy_is_checked_too():
    problem = Problem.from_arrays(GOOD)
    assert problem.replaced(size=1).size == 1
    assert problem.size == 2
    with pytest.raises(BadProblem, match="'sizes' is not a key"):
        problem.replaced(sizes=1)
    with pytest.raises(BadProblem, match="size: 0"):
        problem.replaced(size=0)


@pytest.mark.parametrize(
    ("include", "exclude"), [([], []), ([1, 0, 1], []), ([], [7]), ([0], [0]), ([7], []), ([], [1]), ([-1], [])]
)
def test_other_wishes_are_what_a_problem_of_them_has_and_refused_alike(include, exclude):
    problem, wished = Problem.from_arrays(GOOD), {"include": np.array(include), "exclude": np.array(exclude)}
    assert _told(lambda: problem.wished(**wished)) == _told(lambda: problem.replaced(**wished))


def test_frames_that_are_out_anyway_take_no_place_of_those_that_are_left():
    size = GOOD["size"]
    assert Problem.from_arrays(GOOD | {"exclude": [7, 8, 9]}).exclude.tolist() == [7, 8, 9]
    assert Problem.from_arrays(GOOD).wished(np.zeros(0, np.int64), np.array([7, 8, 9])).size == size


def _told(make):
    try:
        return {key: array.tolist() for key, array in make().to_arrays().items() if key != "gain"}
    except BadProblem as error:
        return str(error)


def test_keys_are_the_fields_of_the_record():
    assert Problem.keys() == tuple(field.name for field in fields(Problem))


def test_taken_renditions_keep_their_arrays_and_lose_what_speaks_of_others():
    part = Problem.from_arrays(GOOD).take(np.array([2, 1]), size=1)
    assert part.frame.tolist() == [1, 1]
    assert part.gain.tolist() == [[4.0, 5.0], [2.0, 3.0]]
    assert part.tone.tolist() == [[3.0], [2.0]]
    assert part.group.tolist() == [[-1, 0]]
    assert part.include.tolist() == []
    assert part.conflict.shape == (0, 2)


def test_too_few_frames_cannot_be_taken():
    with pytest.raises(BadProblem, match="size: 2 wanted but only 1 frames are left"):
        Problem.from_arrays(GOOD).take(np.array([1]))


def test_appended_renditions_are_frames_of_their_own_in_no_group():
    more = Problem.from_arrays(GOOD).append(np.array([[7.0, np.nan]]), np.array([[4.0]]), np.array([[1.0, 1.0]]))
    assert more.frame.tolist() == [0, 1, 1, 2]
    assert more.group.tolist() == [[0, 0, -1, -1]]
    assert more.gain[3, 0] == 7.0
    assert more.take(np.arange(3)).to_arrays().keys() == more.to_arrays().keys()
    again = more.take(np.arange(3))
    for key, array in Problem.from_arrays(GOOD).to_arrays().items():
        np.testing.assert_array_equal(getattr(again, key), array)


def test_append_takes_frames_and_other_arrays_with_it():
    changed = Problem.from_arrays(GOOD).append(
        np.ones((1, 2)), np.ones((1, 1)), np.ones((1, 2)), frame=np.array([0]), group_cap=[2], size=1
    )
    assert (changed.frame.tolist(), changed.group_cap.tolist(), changed.size) == ([0, 1, 1, 0], [2], 1)
