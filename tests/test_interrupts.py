"""Ctrl-C that is held back, answered, and kept from children."""

import signal
import subprocess
import sys
import threading
from contextlib import contextmanager

import pytest

from setsolver.interrupts import answered, deaf_children, held, remembered, strike_again


@pytest.fixture(autouse=True)
def python_s_own_handler():
    """Let SIGINT raise KeyboardInterrupt, however the tests were started: shells start background jobs without it."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    assert signal.getsignal(signal.SIGINT) is signal.default_int_handler
    signal.signal(signal.SIGINT, before)


def press():
    signal.raise_signal(signal.SIGINT)


def struck(work):
    """Tell whether Ctrl-C came out of ``work(steps)``, and what it did before."""
    steps = []
    try:
        work(steps.append)
    except KeyboardInterrupt:
        return True, steps
    return False, steps


def test_what_is_held_strikes_at_the_end():
    def work(step):
        with held():
            press()
            step("went on")

    assert struck(work) == (True, ["went on"])


def test_what_waits_strikes_where_it_is_answered():
    def work(step):
        with held():
            press()
            step("held")
            with answered():
                step("too late")

    assert struck(work) == (True, ["held"])


def test_what_comes_while_answered_strikes_at_once():
    def work(step):
        with held(), answered():
            press()
            step("too late")

    assert struck(work) == (True, [])


def test_after_an_answer_it_is_held_again():
    def work(step):
        with held():
            with answered():
                step("nothing came")
            press()
            step("went on")

    assert struck(work) == (True, ["nothing came", "went on"])


def test_a_second_one_does_not_disturb_the_way_out_of_the_first():
    def work(step):
        with held():
            try:
                with answered():
                    try:
                        press()
                    finally:
                        press()
                        step("what is answered ended")
            finally:
                press()
                step("what is around it ended")

    assert struck(work) == (True, ["what is answered ended", "what is around it ended"])


def test_held_within_held_waits_for_the_outer_one():
    def work(step):
        with held():
            with held(), answered():
                press()
                step("inner")
            step("outer")

    assert struck(work) == (True, ["inner", "outer"])


def test_nothing_comes_of_nothing():
    def work(step):
        with held(), answered():
            step("went on")

    assert struck(work) == (False, ["went on"])


def test_the_handler_of_the_caller_decides_what_it_means():
    heard = []
    before = signal.signal(signal.SIGINT, lambda number, _frame: heard.append(number))
    with held():
        press()
        assert heard == []
        with answered():
            assert heard == [signal.SIGINT]
        press()
    assert heard == [signal.SIGINT] * 2
    signal.signal(signal.SIGINT, before)


@pytest.mark.parametrize("handler", [signal.SIG_IGN, signal.SIG_DFL])
def test_a_signal_that_python_does_not_handle_is_left_alone(handler):
    before = signal.signal(signal.SIGINT, handler)
    with held(), answered():
        assert signal.getsignal(signal.SIGINT) == handler
    signal.signal(signal.SIGINT, before)


def test_other_threads_leave_the_handler_alone():
    seen = []

    def work():
        with held(), answered():
            seen.append(signal.getsignal(signal.SIGINT))

    thread = threading.Thread(target=work)
    thread.start()
    thread.join()
    assert seen == [signal.default_int_handler]


FIRST_WORKER = """
import signal
from joblib.externals.loky import ProcessPoolExecutor
from setsolver.interrupts import deaf_children
pool = ProcessPoolExecutor(1)
with deaf_children():
    future = pool.submit(signal.pthread_sigmask, signal.SIG_BLOCK, [])
print(signal.SIGINT in future.result(), signal.SIGINT in signal.pthread_sigmask(signal.SIG_BLOCK, []))
pool.shutdown()
"""


@pytest.mark.skipif(not hasattr(signal, "pthread_sigmask"), reason="signal masks are POSIX")
def test_the_first_worker_of_a_process_starts_deaf_and_the_parent_hears():
    done = subprocess.run([sys.executable, "-c", FIRST_WORKER], capture_output=True, text=True, check=True)
    assert done.stdout == "True False\n"


@pytest.mark.skipif(not hasattr(signal, "pthread_sigmask"), reason="signal masks are POSIX")
def test_what_comes_while_children_start_is_not_lost():
    def work(step):
        with deaf_children():
            press()
            step("went on")

    assert struck(work) == (True, ["went on"])


def test_a_ctrl_c_that_python_loses_in_a_finaliser_strikes_again():
    class Dying:
        def __del__(self):
            signal.raise_signal(signal.SIGINT)

    with remembered(), catch_unraisable() as lost:
        dying = Dying()
        del dying
        assert [type(one.exc_value) for one in lost] == [KeyboardInterrupt]
        with pytest.raises(KeyboardInterrupt):
            strike_again()
    strike_again()  # nothing is remembered here


def test_what_others_do_with_ctrl_c_is_left_to_them():
    def own(*_):
        pass

    before = signal.signal(signal.SIGINT, own)
    try:
        with remembered():
            assert signal.getsignal(signal.SIGINT) is own
        strike_again()
    finally:
        signal.signal(signal.SIGINT, before)


@contextmanager
def catch_unraisable():
    """Collect what Python would say and drop."""
    lost = []
    before, sys.unraisablehook = sys.unraisablehook, lost.append
    try:
        yield lost
    finally:
        sys.unraisablehook = before
