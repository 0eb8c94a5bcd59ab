"""A search over the movement that newer values overtake: the process that builds lets go of it, with all that is in
its memory; one that does not let go, or ends, holds nobody up. A stand-in builds, so that no kernel is loaded."""

from __future__ import annotations

import asyncio
import subprocess
import sys
from collections.abc import Awaitable, Callable
from pathlib import Path
from typing import Any

import pytest
from preview_live import PATIENCE, ROOT

from brackets.app.preview import session as sessions
from brackets.app.preview.messages import Keep, Set
from brackets.app.preview.process import Process, Processes
from brackets.app.preview.session import Session
from brackets.app.preview.tabs import Tab

STAND_IN = '''
import os, sys, time, types
from pathlib import Path
from brackets.app.preview.blocks import pack
def source(target, **how):
    return target
def answers(what, request, newer):
    of = {"seq": request["seq"], "items": []}
    yield pack({"answer": "picture", "forms": {"cup": [{"name": "length"}]}, **of}, {})
    yield pack({"answer": "checks", **of}, {})
def moved_block(what, request):
    how = request["typed"].get("cup", {}).get("length", "ends")
    try:
        if how == "dies":
            os._exit(3)
        while how != "ends":
            Path(sys.argv[1]).with_name(f"at it {request['seq']}").touch()
            time.sleep(0.01)
    except BaseException:
        if how == "dies when overtaken":
            os._exit(3)
        while how == "is deaf":
            time.sleep(0.01)
        raise
    return pack({"answer": "moved", "seq": request["seq"]}, {})
build = types.ModuleType("brackets.app.preview.build")
build.source, build.answers, build.moved_block, build.kept_block = source, answers, moved_block, None
sys.modules[build.__name__] = build
from brackets.app.preview.child import main
main()
'''

OVERTAKEN = """
import threading, time
from brackets.app.preview.overtaken import Overtakable
search, begun = Overtakable(), []
def work():
    begun.append(1)
    try:
        while True:
            time.sleep(0.01)
    except Exception:
        begun.append("an error of the work's own")
def later():
    while not begun:
        time.sleep(0.01)
    search.overtake()
search.overtake()
print(search.run(lambda: 5, waits=lambda: False))
threading.Thread(target=later).start()
print(search.run(work, waits=lambda: False))
print(search.run(lambda: begun.append(2), waits=lambda: True))
search.overtake()
print(search.run(lambda: 6, waits=lambda: False), begun)
"""


def test_work_is_ended_where_it_is_and_only_while_it_runs() -> None:
    command = [sys.executable, "-c", OVERTAKEN]
    done = subprocess.run(command, capture_output=True, text=True, cwd=ROOT, timeout=PATIENCE)
    assert (done.stdout, done.stderr) == ("5\nNone\nNone\n6 [1]\n", "")


Visit = Callable[[Session, Tab], Awaitable[None]]


def visited(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, visit: Visit) -> None:
    """Runs `visit` with the session of a bay whose processes are stand-ins."""

    async def start(_: Processes) -> Process:
        return await asyncio.create_subprocess_exec(
            sys.executable, "-c", STAND_IN, str(tmp_path / "bay.toml"), "mm",
            stdin=asyncio.subprocess.PIPE, stdout=asyncio.subprocess.PIPE, start_new_session=True, cwd=ROOT,
        )  # fmt: skip

    async def run() -> None:
        session, tab = Session(str(tmp_path / "bay.toml")), Tab()
        session.open_tab(tab)
        await session.build()
        try:
            await asyncio.wait_for(visit(session, tab), PATIENCE)
        finally:
            await session.close()

    monkeypatch.setattr(Processes, "_start", start)
    asyncio.run(run())


async def heard(tab: Tab, kind: str, seq: int) -> dict[str, Any]:
    """The next answer of a kind to the values of `seq`."""
    while True:
        header = dict(await tab.next())
        if (header["answer"], header["seq"]) == (kind, seq):
            return header


def builder(session: Session) -> int:
    process = session._builder._process
    assert process is not None
    return process.pid


async def searches(session: Session, tab: Tab, how: str) -> int:
    """Types a value whose search does as it says, and waits until it is at it; the number of its process."""
    await session.handle_message(Set(part="cup", values={"length": how}))
    await heard(tab, "checks", session.seq)
    begun = session.watched[0].with_name(f"at it {session.seq}")
    while not begun.exists():
        await asyncio.sleep(0.01)
    return builder(session)


def test_the_builder_lets_go_of_a_search_and_is_the_same_process(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async def visit(session: Session, tab: Tab) -> None:
        await heard(tab, "moved", 1)
        first = builder(session)
        assert await searches(session, tab, "goes on") == first
        await session.handle_message(Set(part="cup", values={"length": "ends"}))
        await heard(tab, "moved", session.seq)
        assert builder(session) == first
        assert session._freeing is None

    visited(tmp_path, monkeypatch, visit)


@pytest.mark.parametrize("how", ["is deaf", "dies when overtaken"])
def test_a_builder_that_does_not_let_go_holds_nobody_up(
    how: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sessions, "LETS_GO", 0.3 if how == "is deaf" else 50.0)

    async def visit(session: Session, tab: Tab) -> None:
        await heard(tab, "moved", 1)
        was = await searches(session, tab, how)
        await session.handle_message(Set(part="cup", values={"length": "ends"}))
        await heard(tab, "moved", session.seq)
        assert builder(session) != was
        assert "refused" not in session.shown.kinds

    visited(tmp_path, monkeypatch, visit)


def test_a_builder_that_writes_is_not_ended_before_it_has(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sessions, "LETS_GO", 0.2)

    async def visit(session: Session, tab: Tab) -> None:
        await heard(tab, "moved", 1)
        was = await searches(session, tab, "is deaf")
        session._keeping = {}
        await session.handle_message(Set(part="cup", values={"length": "ends"}))
        await asyncio.sleep(1.0)
        assert builder(session) == was
        session._keeping = None
        await heard(tab, "moved", session.seq)
        assert builder(session) != was

    visited(tmp_path, monkeypatch, visit)


def test_a_search_that_ends_its_process_is_said_and_takes_no_picture_away(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async def visit(session: Session, tab: Tab) -> None:
        await heard(tab, "moved", 1)
        await session.handle_message(Set(part="cup", values={"length": "dies"}))
        told = await heard(tab, "notice", session.seq)
        assert told["lines"] == ["the search over the movement ended by itself (status 3)"]
        assert set(session.shown.kinds) == {"picture", "checks"}

    visited(tmp_path, monkeypatch, visit)


def test_a_keep_that_fails_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    """The stand-in has nothing that writes."""
    ended = "the building process ended by itself (status 1)"

    async def visit(session: Session, tab: Tab) -> None:
        await heard(tab, "moved", 1)
        await session.handle_message(Keep())
        told = await heard(tab, "kept", 1)
        assert told["lines"] == ["It is not known whether anything was written: look into bay.toml.", ended]
        assert told["done"] is False

    visited(tmp_path, monkeypatch, visit)
    assert "TypeError" in capfd.readouterr().err


def test_a_keep_of_what_is_refused_says_of_which_part(tmp_path: Path) -> None:
    async def run() -> list[str]:
        session, tab = Session(str(tmp_path / "bay.toml")), Tab()
        session.open_tab(tab)
        fields = {"": {"t": "t = 9"}, "tray": {"bosses": "bosses = 1 entry"}}
        session.shown.refuse({"answer": "refused", "seq": 0, "fields": fields, "lines": ["no room"], "forms": {}})
        await session.handle_message(Keep())
        lines = (await heard(tab, "kept", 0))["lines"]
        await session.close()
        return [str(line) for line in lines]

    said = asyncio.run(run())
    assert said[1:5] == ["what is typed is not what is shown:", "t = 9", "tray: bosses = 1 entry", "no room"]
