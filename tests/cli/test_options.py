"""Options that many commands share: what they take, what they refuse, and what they are where nobody says."""

import click
import pytest
from click.testing import CliRunner

from setsolver.cli.options import effort_options_of


@click.command
@effort_options_of(12.5)
def told(time_limit, seed, workers):
    click.echo(f"{time_limit} {seed} {workers}")


def run(*words):
    result = CliRunner().invoke(told, words)
    return result.exit_code, result.output


def test_where_nobody_says_the_command_s_own_time_the_first_seed_and_all_cores_hold():
    assert run() == (0, "12.5 0 None\n")


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--seed", "2147483647"), "12.5 2147483647 None\n"),  # the largest that CP-SAT takes: an int32 of its protocol
        (("--workers", "1", "--time-limit", "0.1"), "0.1 0 1\n"),
    ],
)
def test_the_ends_of_what_is_taken(words, says):
    assert run(*words) == (0, says)


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--seed", "2147483648"), "0<=x<=2147483647"),
        (("--seed", "-1"), "0<=x<=2147483647"),
        (("--workers", "0"), "x>=1"),
        (("--time-limit", "0.09"), "x>=0.1"),
    ],
)
def test_what_lies_beyond_is_refused_with_its_range(words, says):
    code, output = run(*words)
    assert code == 2
    assert f"{words[1]} is not in the range {says}" in output
