"""Ctrl-C while CP-SAT searches, and after: in a process of its own, which a wrong answer would kill."""

import os
import signal
import subprocess
import sys
import threading
from types import SimpleNamespace

import pytest

from setsolver.solver import cpsat

SMALL = """
model = cp_model.CpModel()
one = model.new_bool_var("one")
model.maximize(one)
assert solved(cp_model.CpSolver(), model) == cp_model.OPTIMAL
"""
HARD = """
model = cp_model.CpModel()  # the pigeonhole principle: 14 in 13, which no search of clauses proves in time
holes = [[model.new_bool_var("") for _ in range(13)] for _ in range(14)]
for row in holes:
    model.add_bool_or(row)
for hole in zip(*holes):
    for at, one in enumerate(hole):
        for other in hole[:at]:
            model.add_bool_or(one.negated(), other.negated())
solver = cp_model.CpSolver()
solver.parameters.num_workers = 1
solver.parameters.cp_model_presolve = False
solver.parameters.symmetry_level = 0
solver.parameters.linearization_level = 0
threading.Timer(PAUSE, os.kill, (os.getpid(), signal.SIGINT)).start()
solved(solver, model)
"""
BEGIN = """
import os, signal, threading
signal.signal(signal.SIGINT, signal.default_int_handler)  # shells start background jobs without it
from ortools.sat.python import cp_model
from setsolver.solver.cpsat import solved
"""
CAUGHT = """
try:
    {}
except KeyboardInterrupt:
    print("caught")
"""


def told(code):
    done = subprocess.run(
        [sys.executable, "-c", BEGIN + code], capture_output=True, text=True, timeout=120, check=False
    )
    assert done.returncode == 0, done.stderr
    return done.stdout.split()


def test_a_ctrl_c_after_a_search_is_still_python_s():
    assert told(SMALL + CAUGHT.format("signal.raise_signal(signal.SIGINT)")) == ["caught"]


@pytest.mark.parametrize("pause", [0.0, 0.5])
def test_a_ctrl_c_ends_a_search(pause):
    body = HARD.replace("PAUSE", str(pause)).strip().replace("\n", "\n    ")
    assert told(CAUGHT.format(body)) == ["caught"]


@pytest.fixture
def answered_by_python():
    """SIGINT as Python handles it: a shell that starts the tests beside it may have told them to ignore it (POSIX)."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    signal.signal(signal.SIGINT, before)


@pytest.mark.usefixtures("answered_by_python")
def test_a_second_ctrl_c_leaves_no_search_that_nothing_ends(monkeypatch):
    """A search that has only begun does not hear that it is to end; here one that hears it at the third time."""
    told, waited, heard = [], [], threading.Event()

    class Deaf:
        parameters = SimpleNamespace(catch_sigint_signal=True)

        def solve(self, _model, _watch):
            os.kill(os.getpid(), signal.SIGINT)
            return heard.wait(20)

        def stop_search(self):
            told.append(1)
            if len(told) == 3:
                heard.set()

    def wait(*_):
        waited.append(1)
        if len(waited) == 1:
            raise KeyboardInterrupt

    monkeypatch.setattr(cpsat, "wait", wait)
    with pytest.raises(KeyboardInterrupt):
        cpsat.solved(Deaf(), None)
    assert heard.is_set()


@pytest.mark.skipif(not hasattr(signal, "pthread_sigmask"), reason="masks of signals are of POSIX")
@pytest.mark.usefixtures("answered_by_python")
def test_a_ctrl_c_that_does_not_wake_the_wait_is_heard_all_the_same():
    """As where it strikes just before the system's wait begins: Python has noted it, and nothing wakes the thread."""
    heard = threading.Event()

    class Searching:
        parameters = SimpleNamespace(catch_sigint_signal=True)

        def solve(self, _model, _watch):
            """Strike this thread, and search until told to stop."""
            signal.pthread_sigmask(signal.SIG_UNBLOCK, {signal.SIGINT})  # so it is this thread that the system stops
            os.kill(os.getpid(), signal.SIGINT)
            return heard.wait(5)

        def stop_search(self):
            """Hear it."""
            heard.set()

    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        with pytest.raises(KeyboardInterrupt):
            cpsat.solved(Searching(), None)
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)
    assert heard.is_set()


def test_a_search_beside_the_main_thread_is_left_to_who_waits_for_it():
    code = f"def search():\n{SMALL.replace(chr(10), chr(10) + '    ')}\n    print('found')\n"
    assert told(f"{code}\nthread = threading.Thread(target=search)\nthread.start()\nthread.join()") == ["found"]


def test_the_library_still_needs_this():
    """Where it leaves SIGINT as it was by itself, this file's reason is gone."""
    code = SMALL.replace("solved(cp_model.CpSolver(), model)", "cp_model.CpSolver().solve(model)")
    done = subprocess.run(
        [sys.executable, "-c", f"{BEGIN}{code}\nsignal.raise_signal(signal.SIGINT)"],
        capture_output=True,
        timeout=120,
        check=False,
    )
    assert done.returncode == -signal.SIGINT
    assert b"KeyboardInterrupt" not in done.stderr
