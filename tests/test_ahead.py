"""A forked child that works ahead: nothing depends on it, not on its crashing or hanging, and none is left."""

from __future__ import annotations

import os
import signal
import sys
import threading
import time
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

import pytest

from brackets.core import ahead, kept

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="children work ahead on Linux only")
COUNT = 8


@pytest.fixture(autouse=True)
def two_processors(keeping: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    if threading.active_count() > 1:
        pytest.skip("a process with threads of its own")
    kept.forget()
    monkeypatch.setattr(os, "sched_getaffinity", lambda _: {0, 1})
    monkeypatch.delenv(ahead.CORES, raising=False)
    monkeypatch.setattr(ahead, "LATE", 0.0)
    children: list[int] = []
    fork = os.fork

    def forked() -> int:
        children.append(fork())
        return children[-1]

    monkeypatch.setattr(os, "fork", forked)
    with ahead.allowed():
        yield
    for child in filter(None, children):
        with pytest.raises(ChildProcessError):  # none is left, dead or alive
            os.waitpid(child, os.WNOHANG)


def one(number: int, by_the_child: Callable[[int], object] = lambda _: None, of: int = 0) -> tuple[int, int]:
    """The number, squared, and the process that did it; what is done `by_the_child` is done by no other."""

    def work() -> tuple[int, int]:
        if os.getpid() == of:
            begun()
        else:
            by_the_child(number)
        time.sleep(0.01)
        return number**2, os.getpid()

    return kept.kept("square", work, number)


def done(by_the_child: Callable[[int], object] = lambda _: None) -> list[tuple[int, int]]:
    each = [partial(one, number, by_the_child, os.getpid()) for number in range(COUNT)]
    with ahead.ahead(each):
        return [task() for task in each]


def begun() -> None:
    """Waits, where there is a child, until it has begun: the machine may have others to serve."""
    until = time.monotonic() + 120
    while any(os.fstat(one.file).st_size == 0 for one in ahead._turn.children) and time.monotonic() < until:
        time.sleep(0.001)


def squares(found: list[tuple[int, int]]) -> bool:
    return [value for value, _ in found] == [number**2 for number in range(COUNT)]


def by(found: list[tuple[int, int]]) -> int:
    """How many of the results another process has worked out."""
    return sum(process != os.getpid() for _, process in found)


def test_a_child_does_the_last_of_the_work_and_hands_it_over() -> None:
    found = done()
    assert squares(found)
    assert found[-1][1] != os.getpid()
    assert by(found) >= 1
    assert [kept.kept("square", lambda: (-1, -1), number) for number in range(COUNT)] == found  # and it stays kept


def test_what_a_child_made_a_result_of_is_kept_too() -> None:
    """Of a result that is taken whole, what went into it: the next run may need that for another one."""

    def whole(number: int) -> tuple[int, int]:
        return kept.kept("whole", lambda: one(number, of=os.getpid()), number)

    with ahead.allowed():
        each = [partial(whole, number) for number in range(COUNT)]
        with ahead.ahead(each):
            found = [task() for task in each]
    assert by(found) >= 1
    kept.flush()
    kept.forget()
    assert [kept.kept("square", lambda: (-1, -1), number) for number in range(COUNT)] == found


def test_what_a_child_is_at_is_waited_for() -> None:
    def slowly(_: int) -> None:
        time.sleep(0.2)

    assert by(done(slowly)) >= 1  # it is at its first when all others are done


def test_a_child_that_crashes_costs_nothing() -> None:
    assert squares(done(lambda _: os.kill(os.getpid(), signal.SIGKILL)))


def test_a_child_that_hangs_is_given_up(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ahead, "LONGEST", 0.2)
    started = time.monotonic()
    found = done(lambda _: time.sleep(1e6))
    assert squares(found)
    assert by(found) == 0
    assert time.monotonic() - started < 60


def test_what_a_child_fails_at_is_met_by_the_process_itself() -> None:
    def fails(number: int) -> None:
        if number == COUNT - 1:
            raise ValueError(number)

    found = done(fails)
    assert squares(found)
    assert found[-1][1] == os.getpid()


def test_an_error_of_the_process_ends_its_child() -> None:
    def fails() -> None:
        with ahead.ahead([partial(time.sleep, 1e6), partial(time.sleep, 1e6)]):
            one(0)
            assert len(ahead._turn.children) == 1
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        fails()


@pytest.mark.parametrize("late", [False, True], ids=["kept", "soon done"])
def test_there_is_no_child_where_there_is_nothing_to_work_out(late: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """All of it is kept, or what is not is the first moment's."""
    monkeypatch.setattr(ahead, "LATE", 1e6 if late else 0.0)
    each = [partial(one, number) for number in range(COUNT)]
    before = [] if late else [task() for task in each]
    with ahead.ahead([*each, *each]):
        found = [task() for task in each]
        assert ahead._turn.children == []
    assert squares(found)
    assert found == before or late


def test_what_is_begun_within_is_done_by_the_same_child() -> None:
    def outer(first: int) -> list[tuple[int, int]]:
        each = [partial(one, number, of=os.getpid()) for number in range(first, first + 3)]
        with ahead.ahead(each):
            return [task() for task in each]

    with ahead.ahead([partial(outer, 0), partial(outer, 10)]):
        found = [*outer(0), *outer(10)]
    assert [value for value, _ in found] == [0, 1, 4, 100, 121, 144]
    assert found[-1][1] != os.getpid()


def test_there_is_no_child_beside_other_threads() -> None:
    """A lock that another thread holds would stay held in the child."""
    over = threading.Event()
    other = threading.Thread(target=over.wait)
    other.start()
    try:
        assert by(done()) == 0
    finally:
        over.set()
        other.join()


@pytest.mark.parametrize("how", ["one processor", "no command", "nothing kept"])
def test_there_is_no_child_where_none_is_wanted(how: str) -> None:
    """Undone here: what the fixture allows ends before its own monkeypatch does, and would be allowed again."""
    with pytest.MonkeyPatch.context() as patch:
        match how:
            case "one processor":
                patch.setenv(ahead.CORES, "1")
            case "no command":
                patch.setattr(ahead._turn, "on", False)
            case _:
                patch.setattr(kept, "ENABLED", False)
        assert by(done()) == 0
