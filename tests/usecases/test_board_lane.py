"""One works on a board at a time: acts go first, long questions pause for others, and an act can be stopped."""

import threading
import time

import pytest

from setsolver.errors import BadInput
from setsolver.usecases.board.lane import Lane
from tests.usecases.turns import LONG, begun, ended, waits


class Changed:
    """Something with a revision, and a lane to work on it."""

    def __init__(self):
        self.revision, self.done = 1, []
        self.lane = Lane(lambda: self.revision)

    def act(self, name, *, changes=True):
        """Do something."""
        with self.lane.act():
            self.done.append(name)
            self.revision += changes


def test_acts_go_before_questions_and_each_in_the_order_in_which_they_came():
    one = Changed()
    with one.lane.act():
        threads = begun(lambda: one.lane.ask(lambda: one.done.append("asked")))
        waits(one.lane, 0, 1)
        for number in range(3):
            threads += begun(lambda number=number: one.act(number))
            waits(one.lane, number + 1, 1)
    ended(threads)
    assert one.done == [0, 1, 2, "asked"]


def test_a_long_question_pauses_for_others_and_goes_on():
    one, asking = Changed(), threading.Event()

    def long():
        asking.set()
        waits(one.lane, 0, 1)
        one.lane.pause()
        one.done.append("long")

    threads = begun(lambda: one.lane.ask(long))
    assert asking.wait(LONG)
    threads += begun(lambda: one.lane.ask(lambda: one.done.append("short")))
    ended(threads)
    assert one.done == ["short", "long"]


@pytest.mark.parametrize("pauses", [True, False])
def test_a_question_that_a_change_overtakes_is_dropped(pauses):
    one, asking, told = Changed(), threading.Event(), []

    def long():
        asking.set()
        waits(one.lane, 1, 0)
        assert one.lane.ends()  # its search ends: an act waits
        if pauses:
            one.lane.pause()
        return "cut short"

    def ask():
        try:
            told.append(one.lane.ask(long))
        except BadInput as error:
            told.append(str(error))

    threads = begun(ask)
    assert asking.wait(LONG)
    threads += begun(lambda: one.act("act"))
    ended(threads)
    assert one.done == ["act"]
    assert told == ["the set has changed while this was asked; ask again of the new one"]


def test_a_question_that_gave_way_to_an_act_that_changed_nothing_is_asked_again():
    one, asking, looks = Changed(), threading.Event(), []

    def long():
        asking.set()
        if not looks:
            waits(one.lane, 1, 0)
        looks.append(one.lane.ends())
        return len(looks)

    told = []
    threads = begun(lambda: told.append(one.lane.ask(long)))
    assert asking.wait(LONG)
    threads += begun(lambda: one.act("nothing", changes=False))
    ended(threads)
    assert looks == [True, False]
    assert told == [2]


def test_a_question_that_gave_way_is_asked_again_whatever_was_asked_while_it_paused():
    one, asking, looks = Changed(), threading.Event(), []

    def long():
        asking.set()
        first = not looks
        if first:
            waits(one.lane, 1, 1)
        looks.append(one.lane.ends())  # cut short the first time: an act waits
        one.lane.pause()
        one.done.append("long")
        return "cut short" if first else "whole"

    told = []
    threads = begun(lambda: told.append(one.lane.ask(long)))
    assert asking.wait(LONG)
    threads += begun(lambda: one.lane.ask(lambda: one.done.append("short")))
    waits(one.lane, 0, 1)
    threads += begun(lambda: one.act("nothing", changes=False))
    ended(threads)
    assert one.done == ["nothing", "short", "long", "long"]
    assert looks == [True, False]
    assert told == ["whole"]


def test_a_question_does_not_give_way_for_one_that_paused():
    one, asking, asked, looks = Changed(), threading.Event(), [], []

    def long():
        asking.set()
        if not looks:
            waits(one.lane, 1, 1)
        looks.append(one.lane.ends())
        one.lane.pause()

    def short():
        asked.append(one.lane.ends())

    threads = begun(lambda: one.lane.ask(long))
    assert asking.wait(LONG)
    threads += begun(lambda: one.lane.ask(short))
    waits(one.lane, 0, 1)
    threads += begun(lambda: one.act("nothing", changes=False))
    ended(threads)
    assert looks == [True, False]
    assert asked == [False]


def test_a_glance_waits_for_no_search_which_goes_on_anew_after_it():
    one, asking, looks = Changed(), threading.Event(), []

    def long():
        asking.set()
        first = not looks
        if first:
            glances(one.lane, 1)
        looks.append(one.lane.ends())
        return "cut short" if first else "whole"

    told = []
    threads = begun(lambda: told.append(one.lane.ask(long)))
    assert asking.wait(LONG)
    threads += begun(lambda: told.append(one.lane.glance(lambda: "glanced")))
    ended(threads)
    assert looks == [True, False]
    assert told == ["glanced", "whole"]


def test_a_glance_is_not_told_to_end_for_an_act_or_a_question_that_gave_way():
    """It is not asked again: cut short, it would be told as it is."""
    one, asking, looks = Changed(), threading.Event(), []

    def long():
        asking.set()
        if not looks:
            glances(one.lane, 1)
            assert one.lane.ends()

    def glance():
        looks.append(one.lane.ends())
        acting = begun(lambda: one.act("nothing", changes=False))
        until = time.monotonic() + LONG
        while not one.lane._acts:
            assert time.monotonic() < until
            time.sleep(0.001)
        looks.append(one.lane.ends())
        return acting

    acts = []
    threads = begun(lambda: one.lane.ask(long))
    assert asking.wait(LONG)
    threads += begun(lambda: acts.extend(one.lane.glance(glance)))
    ended(threads)
    ended(acts)
    assert looks == [False, False]


def glances(lane, count):
    until = time.monotonic() + LONG
    while len(lane._glances) != count:
        assert time.monotonic() < until
        time.sleep(0.001)


def test_glances_go_after_acts_and_before_questions():
    one = Changed()
    with one.lane.act():
        threads = begun(lambda: one.lane.ask(lambda: one.done.append("asked")))
        waits(one.lane, 0, 1)
        threads += begun(lambda: one.lane.glance(lambda: one.done.append("glanced")))
        glances(one.lane, 1)
        threads += begun(lambda: one.act("acted"))
        waits(one.lane, 1, 1)
    ended(threads)
    assert one.done == ["acted", "glanced", "asked"]


def test_a_stop_hits_the_act_that_it_is_meant_for_and_no_other():
    one = Changed()
    with one.lane.act("mine"):
        assert not one.lane.ends()
        one.lane.stop("another")
        one.lane.heed()
        one.lane.stop("mine")
        assert one.lane.ends()
        with pytest.raises(BadInput, match="stopped before there was an answer; it has changed nothing"):
            one.lane.hold()
    one.lane.stop("mine")  # too late: it is over
    for token in ("later", None):
        with one.lane.act(token):
            assert not one.lane.ends()
            one.lane.hold()


def test_a_stop_that_comes_before_its_act_or_while_that_waits_lets_it_never_begin():
    one, told = Changed(), []
    one.lane.stop("early")
    with pytest.raises(BadInput, match="stopped before it was begun; nothing has changed"), one.lane.act("early"):
        one.done.append("early")

    def wait():
        try:
            with one.lane.act("mine"):
                one.done.append("mine")
        except BadInput as error:
            told.append(str(error))

    with one.lane.act():
        threads = begun(wait)
        waits(one.lane, 1, 0)
        one.lane.stop("mine")
        ended(threads)  # although another one is at it
    one.act("next")
    assert told == ["stopped before it was begun; nothing has changed"]
    assert one.done == ["next"]


def test_what_holds_cannot_be_stopped_any_more():
    one = Changed()
    with one.lane.act("mine"):
        one.lane.hold()
        one.lane.stop("mine")
        assert not one.lane.ends()
        one.lane.heed()
