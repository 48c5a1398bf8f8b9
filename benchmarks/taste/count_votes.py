"""Count judges' votes on pairs that render_pairs.py rendered, and keep them in votes.csv.

    python benchmarks/taste/count_votes.py PAIRS --of new JUDGE=ANSWERS.csv ... [--keep ROUND]

PAIRS is the folder of the pairs, with its key; ANSWERS.csv has a line a pair: number, row that the judge would deliver
(1 or 2), how sure (1 to 3), the deciding fault. Prints how often the sets of ``--of`` are preferred to each other
maker's, all, threes and fives, with Wilson's interval (Journal of the American Statistical Association 1927, by SciPy),
and on how many of the pairs that two judges saw both agree. ``--keep`` adds the votes to votes.csv as a round of that
name.
"""

from __future__ import annotations

import argparse
import csv
from collections import defaultdict
from dataclasses import dataclass
from itertools import combinations
from pathlib import Path

from render_pairs import KEY
from scipy.stats import binomtest

VOTES = Path(__file__).with_name("votes.csv")
SURE = ("1", "2", "3")


@dataclass(frozen=True)
class Vote:
    """A judge's answer; chosen and over are makers."""

    pair: str
    judge: str
    shoot: str
    frames: int
    chosen: str
    over: str
    sure: str
    fault: str


def votes_of(judge: str, answers: Path, key: dict[str, dict[str, str]]) -> list[Vote]:
    """A judge's votes.

    Raises
    ------
    SystemExit
        Where an answer is no answer to a pair, or a pair is answered twice.
    """
    found: dict[str, Vote] = {}
    with answers.open(encoding="utf-8", newline="") as file:
        for line in csv.reader(file):
            pair, row, sure, *fault = (part.strip() for part in line)
            if pair not in key or row not in {"1", "2"} or sure not in SURE or pair in found:
                raise SystemExit(f"{answers}: {','.join(line)}: wanted a pair's number once, 1 or 2, 1 to 3, the fault")
            of, other = key[pair][f"row {row}"], key[pair][f"row {3 - int(row)}"]
            shoot, frames = key[pair]["shoot"], int(key[pair]["frames"])
            found[pair] = Vote(pair, judge, shoot, frames, of, other, sure, ",".join(fault))
    return list(found.values())


def share(won: int, of: int) -> str:
    """How many of how many, the share and its interval."""
    if not of:
        return ""
    low, high = binomtest(won, of).proportion_ci(method="wilson")
    return f"{won} of {of}, {won / of:.0%} ({100 * low:.0f} to {100 * high:.0f})"


def table(votes: list[Vote], of: str) -> list[str]:
    """Lines of Markdown: by rival, and by prints of a set."""
    rivals = sorted({vote.over if vote.chosen == of else vote.chosen for vote in votes})
    lines = [f"| {of} preferred | " + " | ".join(rivals) + " |", "| --- |" + " --- |" * len(rivals)]
    for name, sizes in (("all", {3, 5}), ("threes", {3}), ("fives", {5})):
        cells = []
        for rival in rivals:
            seen = [vote for vote in votes if vote.frames in sizes and rival in {vote.chosen, vote.over}]
            cells.append(share(sum(vote.chosen == of for vote in seen), len(seen)))
        lines.append(f"| {name} | " + " | ".join(cells) + " |")
    return lines


def agreed(votes: list[Vote]) -> tuple[int, int]:
    """On how many pairs of votes on one pair both choose the same row, and of how many."""
    by_pair = defaultdict(list)
    for vote in votes:
        by_pair[vote.pair].append(vote.chosen)
    twice = [one == other for chosen in by_pair.values() for one, other in combinations(chosen, 2)]
    return sum(twice), len(twice)


def keep(votes: list[Vote], name: str) -> None:
    """Add votes as a round.

    Raises
    ------
    SystemExit
        Where there is a round of that name already.
    """
    with VOTES.open(encoding="utf-8", newline="") as file:
        if name in {row["round"] for row in csv.DictReader(file)}:
            raise SystemExit(f"votes.csv has a round {name!r} already")
    with VOTES.open("a", encoding="utf-8", newline="") as file:
        csv.writer(file, lineterminator="\n").writerows(
            (name, one.pair, one.judge, one.shoot, one.frames, one.chosen, one.over, one.sure, one.fault)
            for one in votes
        )


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("pairs", type=Path)
    options.add_argument("answers", nargs="+", metavar="JUDGE=ANSWERS.csv")
    options.add_argument("--of", default="new")
    options.add_argument("--keep", metavar="ROUND")
    asked = options.parse_args()
    with (asked.pairs / KEY).open(encoding="utf-8", newline="") as file:
        key = {row["pair"]: row for row in csv.DictReader(file)}
    votes = []
    for one in asked.answers:
        judge, _, answers = one.rpartition("=")
        votes += votes_of(judge, Path(answers), key)
    print("\n".join(table(votes, asked.of)))
    same, seen = agreed(votes)
    twice = f"; two judges agree on {same} of {seen}" if seen else ""
    print(f"\n{len({vote.pair for vote in votes})} of {len(key)} pairs judged{twice}")
    if asked.keep:
        keep(votes, asked.keep)


if __name__ == "__main__":
    main()
