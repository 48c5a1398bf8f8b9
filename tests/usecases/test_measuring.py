"""Worker processes: what they start with."""

import os
import sys

import pytest
from joblib.externals.loky import ProcessPoolExecutor

from setsolver.usecases.measuring import WORKER_ENVIRONMENT


def _environment():
    return dict(os.environ)


@pytest.mark.skipif(sys.platform == "win32", reason="the C library's variables mean nothing there")
def test_workers_start_with_one_thread_and_memory_kept():
    with ProcessPoolExecutor(1, env=WORKER_ENVIRONMENT) as pool:
        found = pool.submit(_environment).result()
    assert found["OPENBLAS_NUM_THREADS"] == "1"
    assert "glibc.malloc.mmap_threshold=33554432" in found["GLIBC_TUNABLES"].split(":")
