"""A campaign of faults, by seed: damaged pictures, damaged documents, and runs killed at random instants.

Prints what became of them as Markdown rows, and ends with an error at the first thing that is not kept.

``python benchmarks/faults/campaign.py --pictures 2000 --documents 4000 --kills 40 --seed 0``
"""

from __future__ import annotations

import argparse
import json
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
from PIL import Image

sys.path[:0] = [str(Path(__file__).parent), str(Path(__file__).parents[2])]

from documents import run_documents  # noqa: E402 - the folder of this script is on the path now
from kills import run_kills  # noqa: E402
from pictures import run_pictures  # noqa: E402
from verbs import Ground  # noqa: E402

from setsolver.catalog.place import index_file  # noqa: E402
from setsolver.catalog.store import Store  # noqa: E402
from setsolver.rules import assemble  # noqa: E402
from setsolver.usecases.briefs import load_brief  # noqa: E402
from setsolver.usecases.problem_file import save  # noqa: E402
from setsolver.usecases.scan import scan  # noqa: E402
from setsolver.usecases.sets import write_set  # noqa: E402
from setsolver.usecases.snapshot import snapshot  # noqa: E402
from setsolver.usecases.suggest import suggest  # noqa: E402
from setsolver.usecases.tasks import READ  # noqa: E402
from tests.catalog.fakes import measurer  # noqa: E402 - measuring is not what is tried here
from tests.cli.shoot import BRIEF, draw  # noqa: E402
from tests.rules.builders import make_brief, make_shoot  # noqa: E402

_FRAMES = 12


def main() -> None:
    """Run what is asked for."""
    asked = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    for name, count in (("pictures", 2000), ("documents", 4000), ("kills", 40), ("seed", 0)):
        asked.add_argument(f"--{name}", type=int, default=count)
    given = asked.parse_args()
    with tempfile.TemporaryDirectory() as made:
        where = Path(made)
        sound = _sound(where)
        for name, run in (
            ("pictures", lambda: run_pictures(given.pictures, given.seed, where, measurer)),
            ("documents", lambda: run_documents(given.documents, given.seed, where, sound, measurer)),
            ("kills", lambda: run_kills(given.kills, given.seed, _ground(where, sound["brief"]))),
        ):
            if getattr(given, name):
                start = time.monotonic()
                counts = run()
                print(f"\n{name}: {getattr(given, name)}, seed {given.seed}, {time.monotonic() - start:.0f} s\n")
                print("\n".join(f"| {what} | {count} |" for what, count in sorted(counts.items())), flush=True)


def _ground(where: Path, brief: Path) -> Ground:
    """Make a shoot, measured as it is, a set of it, and the choice of that set over another."""
    ground = Ground(where, _shoot(where / "shoot"), brief)
    ground.made.mkdir()
    scan(ground.shoot, workers=2)
    names = sorted(path.name for path in ground.shoot.glob("*.jpg"))
    with Store(index_file(ground.shoot), *READ) as store:
        store.correct({name: {"kind": "photograph", "scale": "close"} for name in names})
    outcome = suggest(snapshot(ground.shoot), load_brief(str(brief)), alternates=1)
    write_set(ground.first.name, ground.first, {"outcome.json": outcome.model_dump_json().encode()})
    choice = {"catalog": "shoot", "made": "2026-05-02", "brief": str(brief), "chosen": names[:3], "over": [names[3:6]]}
    (where / "choices.jsonl").write_text(json.dumps(choice), encoding="utf-8")
    return ground


def _shoot(folder: Path) -> Path:
    folder.mkdir()
    for number in range(_FRAMES):
        exif = Image.Exif()
        exif.get_ifd(0x8769)[0x9003] = f"2026:05:02 {9 + number // 4:02d}:{(number * 13) % 60:02d}:00"
        draw(number).save(folder / f"{number:04d}.jpg", quality=90, exif=exif)
    return folder


def _sound(where: Path) -> dict[str, Path]:
    """Make a sound document of each kind, from a small shoot that is measured by the fake measuring."""
    scanned = where / "scanned"
    scanned.mkdir()
    for number in range(6):
        Image.fromarray(np.asarray(draw(number, (120, 80)))).save(scanned / f"{number:04d}.png")
    scan(scanned, factory=measurer, workers=0)
    brief = where / "any-three.toml"
    brief.write_text(BRIEF, encoding="utf-8")
    seen, wanted = make_shoot(12), make_brief()
    outcome = suggest(seen, wanted, alternates=1)
    write_set("x", where / "sound", {"outcome.json": outcome.model_dump_json().encode()})
    save(assemble(seen, wanted).problem, where / "sound.npz")
    sidecar = where / "sound.xmp"
    sidecar.write_bytes((Path(__file__).parents[2] / "tests" / "data" / "metadata" / "example_packet.xmp").read_bytes())
    return {
        "brief": brief,
        "outcome": where / "sound" / "outcome.json",
        "problem": where / "sound.npz",
        "sidecar": sidecar,
        "index": scanned / ".setsolver" / "index.db",
    }


if __name__ == "__main__":
    main()
