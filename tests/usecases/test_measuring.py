"""Worker processes: what they start with."""

import os
import subprocess
import sys

import pytest
from joblib.externals.loky import ProcessPoolExecutor

from setsolver.catalog.listing import listed_at
from setsolver.catalog.records import Measured
from setsolver.usecases.measuring import WORKER_ENVIRONMENT, measure_task
from setsolver.usecases.tasks import EVERYTHING, VERSION, Task
from tests.catalog import fakes
from tests.catalog.pictures import save, scene


def _environment():
    return dict(os.environ)


@pytest.mark.skipif(sys.platform == "win32", reason="the C library's variables mean nothing there")
def test_workers_start_with_one_thread_and_memory_kept():
    with ProcessPoolExecutor(1, env=WORKER_ENVIRONMENT) as pool:
        found = pool.submit(_environment).result()
    assert found["OPENBLAS_NUM_THREADS"] == "1"
    assert "glibc.malloc.mmap_threshold=33554432" in found["GLIBC_TUNABLES"].split(":")


MEASURE_ONE = """
import sys
import numpy as np
from setsolver.usecases.measuring import features
features()(np.random.default_rng(0).integers(0, 255, (200, 300, 3), dtype=np.uint8))
print(*{name.split(".")[0] for name in sys.modules})
"""


def test_measuring_loads_no_library_that_it_can_do_without():
    run = subprocess.run([sys.executable, "-c", MEASURE_ONE], check=True, capture_output=True, text=True)
    loaded = set(run.stdout.split())
    assert {"cv2", "numpy"} <= loaded
    assert not loaded & {"lxml", "numba", "pi_heif", "pywt", "rawpy", "sklearn"}


@pytest.mark.parametrize("turn", [0, 90, 180, 270])
def test_how_a_frame_lies_is_not_guessed_where_the_user_turned_it(tmp_path, turn):
    save(tmp_path / "kiln.jpg", scene(60, 40))
    asked = []

    def measurer(rgb, known=None, due=EVERYTHING):
        asked.append((rgb.shape[:2], due))
        return fakes.measure(rgb)

    row = measure_task(Task(listed_at(tmp_path, "kiln.jpg"), VERSION, turn=turn).whole(), measurer)
    assert isinstance(row, Measured)
    ((shape, due),) = asked
    assert shape == ((40, 60) if turn in (0, 180) else (60, 40))
    assert due == (EVERYTHING - {"upright"} if turn else EVERYTHING)
