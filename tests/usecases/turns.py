"""Threads that wait for their turn on a board."""

import threading
import time

__all__ = ["LONG", "begun", "ended", "waits"]

LONG = 60
"""Seconds after which a test gives up."""


def begun(*works):
    """Start threads; each is a function."""
    threads = [threading.Thread(target=work, daemon=True) for work in works]
    for thread in threads:
        thread.start()
    return threads


def ended(threads):
    for thread in threads:
        thread.join(LONG)
        assert not thread.is_alive()


def waits(lane, acts, questions):
    """Wait until so many wait."""
    until = time.monotonic() + LONG
    while (len(lane._acts), len(lane._questions)) != (acts, questions):
        assert time.monotonic() < until
        time.sleep(0.001)
