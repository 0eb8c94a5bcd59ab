"""Processes and pages that do not behave: recipes that fork and ignore signals, pages that never read, terminals
that are closed. Nothing waits for them without end, and nothing of them is left."""

from __future__ import annotations

import asyncio
import gc
import json
import os
import signal
import subprocess
import sys
import threading
import time
from io import FileIO
from pathlib import Path
from typing import Any

import pytest
from aiohttp import ClientSession
from preview_live import PATIENCE, ROOT
from test_preview_server import HEAD, answer, visited, wire

from brackets.app.preview import process as processes
from brackets.app.preview.blocks import Blob, pack, unpack
from brackets.app.preview.child import Requests
from brackets.app.preview.process import Builder, Processes, end
from brackets.app.preview.server import Server
from brackets.app.preview.session import Session
from brackets.app.preview.tabs import Tab

posix = pytest.mark.skipif(sys.platform == "win32", reason="forks and sends POSIX signals")

FORKS = """for name in ("SIGINT", "SIGTERM", "SIGHUP"):
            __import__("signal").signal(getattr(__import__("signal"), name), __import__("signal").SIG_IGN)
        if os.fork() == 0:
            open({pid!r}, "w").write(str(os.getpid()))
        time.sleep(1e6)"""


def gone(pid: int) -> bool:
    """Whether a process has ended, or ends in time; one that nobody waited for counts as ended."""
    late = time.monotonic() + PATIENCE
    while time.monotonic() < late:
        try:
            if Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] == "Z":
                return True
            os.kill(pid, 0)
        except (ProcessLookupError, FileNotFoundError):
            return True
        time.sleep(0.02)
    return False


@pytest.fixture(autouse=True)
def patient(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is ended is waited for, however busy the machine is: else it ends under some other test."""
    monkeypatch.setattr(processes, "ENDING", PATIENCE)


# ---------------------------------------------------------------- recipes


async def started(pid: Path) -> int:
    """The process whose number is written there, once it is."""
    while not pid.exists() or not pid.read_text():
        await asyncio.sleep(0.02)
    return int(pid.read_text())


@posix
def test_a_recipe_that_forks_and_ignores_signals_is_stopped_with_all_it_started(tmp_path: Path) -> None:
    """By the time limit, and at the end of the server: both once waited for ever for the pipe it holds."""
    path, pid = tmp_path / "mine.py", tmp_path / "pid"
    path.write_text(HEAD.replace("{trouble}", FORKS.format(pid=str(pid))), "utf-8")
    forked: list[int] = []

    async def visit(server: Server, client: ClientSession) -> None:
        async with wire(server, client) as one:
            first = await answer(one, "figures")
            await one.send_str(json.dumps({"do": "set", "part": "", "values": {"length": "85"}}))
            forked.append(await started(pid))
            server.session.limit = 0.1
            server.session._start_clock()  # again, now that it has forked
            assert "stopped after 0.1 s" in (await answer(one, "refused"))["lines"][0]
            server.session.limit = PATIENCE
            assert gone(forked[0])
            pid.unlink()
            await one.send_str(json.dumps({"do": "set", "part": "", "values": {"length": "50"}}))
            await answer(one, "picture", first["seq"] + 2)
            await one.send_str(json.dumps({"do": "set", "part": "", "values": {"length": "86"}}))
            forked.append(await started(pid))
            forked.append(int(time.monotonic()))

    visited(visit, str(path), limit=1e6)
    assert time.monotonic() - forked[2] < PATIENCE / 2
    assert gone(forked[1])


@posix
@pytest.mark.parametrize(("number", "status"), [("SIGTERM", 143), ("SIGHUP", 129), ("SIGKILL", -9)])
def test_whatever_ends_the_server_ends_the_process_that_builds(number: str, status: int, tmp_path: Path) -> None:
    """With a terminal of its own, as a person has it, so that SIGHUP is what a closed one sends."""
    above, below = os.openpty()
    server = subprocess.Popen(
        [sys.executable, "-m", "brackets", "view", "cup", "--no-browser"],
        stdin=below, stdout=below, stderr=below, start_new_session=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)}, cwd=tmp_path,
    )  # fmt: skip
    os.close(below)
    said = b""
    try:
        while b"http://" not in said:
            said += os.read(above, 4096)
        children = Path(f"/proc/{server.pid}/task/{server.pid}/children")
        if not children.exists():
            pytest.skip("tells no children of a process here")
        (child,) = map(int, children.read_text().split())
        server.send_signal(getattr(signal, number))
        assert server.wait(timeout=PATIENCE) == status
        assert gone(child)
        if number != "SIGKILL":
            assert b"stopped, nothing written" in os.read(above, 4096)
    finally:
        server.kill()
        server.wait()
        os.close(above)


def test_a_spare_process_is_kept_warm_and_taken(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(processes, "REST", 0.05)

    async def run() -> None:
        some = Processes("cup", "mm")
        some.rest()
        some.work()  # something came in between: no spare yet
        await asyncio.sleep(0.2)
        assert not some.has_spare
        some.rest()
        while not some.has_spare:
            await asyncio.sleep(0.02)
        spare = some._spare
        assert spare is not None
        assert await some.take() is spare
        assert not some.has_spare
        await end(spare)
        assert spare.returncode is not None
        await some.close()

    asyncio.run(asyncio.wait_for(run(), PATIENCE))


@pytest.fixture
def begun(monkeypatch: pytest.MonkeyPatch) -> list[asyncio.subprocess.Process]:
    """What was started: whoever starts a process has it 0.2 s after it stands here, and no rest is waited for."""
    monkeypatch.setattr(processes, "REST", 0.0)
    found: list[asyncio.subprocess.Process] = []
    execute = Processes._execute

    async def slowly(some: Processes) -> asyncio.subprocess.Process:
        found.append(await execute(some))
        await asyncio.sleep(0.2)
        return found[-1]

    monkeypatch.setattr(Processes, "_execute", slowly)
    return found


@pytest.mark.parametrize("spare", [True, False], ids=["spare", "taken"])
def test_a_process_that_is_just_being_started_is_ended_too(
    begun: list[asyncio.subprocess.Process], spare: bool
) -> None:
    """Also where nobody waits for it any more: the server was stopped as soon as it was started."""

    async def run() -> None:
        some = Processes("cup", "mm")
        taking = None if spare else asyncio.create_task(some.take())
        if spare:
            some.rest()
        while not begun:
            await asyncio.sleep(0.001)
        if taking is not None:
            taking.cancel()
        await some.close()

    asyncio.run(run())
    assert [process.returncode for process in begun] == [-signal.SIGKILL]


@pytest.mark.parametrize("late", [False, True], ids=["meanwhile", "afterwards"])
def test_a_request_at_the_close_leaves_no_process(begun: list[asyncio.subprocess.Process], late: bool) -> None:
    """A tab asks while the server is stopped, or a builder was ended and is asked again after that."""

    async def nothing(_: object) -> None: ...

    async def run() -> None:
        some = Processes("cup", "mm")
        builder = Builder(some, heard=nothing, ended=nothing)
        if late:
            await builder.request({"seq": 1})
            await asyncio.gather(builder.terminate(), some.close())
            await builder.request({"seq": 2})
        else:
            asking = asyncio.create_task(builder.request({"seq": 1}))
            while not begun:
                await asyncio.sleep(0.001)
            await asyncio.gather(builder.terminate(), some.close())
            await asking
        assert builder._process is None

    asyncio.run(run())
    assert [process.returncode for process in begun] == [-signal.SIGKILL]


@posix
def test_the_pipes_of_an_ended_process_are_closed(monkeypatch: pytest.MonkeyPatch) -> None:
    """What it started has left its group with the pipe in its hand, so that the pipe never comes to its end."""
    keeps = "import subprocess, time; subprocess.Popen(['sleep', '5'], start_new_session=True); print(1, flush=1)"
    said: list[object] = []
    monkeypatch.setattr(sys, "unraisablehook", lambda fault: said.append(fault.exc_value))

    async def run() -> None:
        process = await asyncio.create_subprocess_exec(
            sys.executable, "-c", f"{keeps}; time.sleep(100)",
            stdin=asyncio.subprocess.PIPE, stdout=asyncio.subprocess.PIPE, start_new_session=True,
        )  # fmt: skip
        assert process.stdout is not None
        await process.stdout.readline()
        reading = asyncio.ensure_future(process.stdout.readline())
        await asyncio.sleep(0)
        reading.cancel()
        await end(process)

    asyncio.run(run())
    gc.collect()
    assert said == []


def test_a_second_rest_starts_no_second_spare(begun: list[asyncio.subprocess.Process]) -> None:
    """There is again nothing to do while the spare is still being started."""

    async def run() -> None:
        some = Processes("cup", "mm")
        some.rest()
        while not begun:
            await asyncio.sleep(0.001)
        some.rest()
        while not some.has_spare:
            await asyncio.sleep(0.001)
        await asyncio.sleep(0.2)
        await some.close()
        some.rest()
        await asyncio.sleep(0.05)

    asyncio.run(run())
    assert [process.returncode for process in begun] == [-signal.SIGKILL]


@posix
def test_the_end_of_the_loop_leaves_no_process(monkeypatch: pytest.MonkeyPatch) -> None:
    """A task that ends a process is itself cancelled when the server is gone; the process takes a moment to die."""
    killed = os.killpg
    monkeypatch.setattr(os, "killpg", lambda *how: threading.Timer(0.2, killed, how).start())

    async def run() -> tuple[asyncio.subprocess.Process, asyncio.Task[None]]:
        process = await Processes("cup", "mm").take()
        ending = asyncio.create_task(end(process))
        await asyncio.sleep(0)
        return process, ending

    process, ending = asyncio.run(run())
    assert ending.cancelled()
    assert process.returncode == -signal.SIGKILL


def test_a_process_that_nobody_waits_for_ends_after_the_close() -> None:
    async def run() -> list[int | None]:
        some = Processes("cup", "mm")
        taking = asyncio.create_task(some.take())
        while not some._starting:
            await asyncio.sleep(0)
        some.closed = True
        taking.cancel()
        done, _ = await asyncio.wait(some._starting)
        return [task.result().returncode for task in done]

    assert asyncio.run(run()) == [-signal.SIGKILL]


def test_the_server_does_not_load_the_kernel() -> None:
    """It only packs bytes: 4 to 6 s and 440 MB were the kernel's, which the process that builds loads anyway."""
    heavy = "[m for m in ('cadquery', 'OCP', 'numpy', 'trimesh', 'vtkmodules', 'tomlkit') if m in sys.modules]"
    code = f"import sys, brackets.app.cli.view_cmd, brackets.app.preview.server; print({heavy})"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT)
    assert (done.stdout, done.stderr) == ("[]\n", "")


# ---------------------------------------------------------------- pages


def test_of_pictures_that_wait_only_the_newest_is_sent() -> None:
    tab = Tab()

    def put(*kinds: str) -> None:
        for kind in kinds:
            tab.put({"answer": kind, "items": [{"mesh": kind}] if kind in ("picture", "checks") else []})

    put("state", "picture", "checks", "refused", "kept", "state", "picture", "checks")

    async def all_of_it() -> list[str]:
        return [(await tab.next())["answer"] for _ in range(4)]

    assert asyncio.run(all_of_it()) == ["kept", "state", "picture", "checks"]


def test_a_request_to_keep_is_not_overtaken_and_overtakes_no_picture() -> None:
    """A slider moved just after the button once made the request vanish; and the button the slider's picture."""
    read, write = os.pipe()
    pipe = FileIO(read)
    requests = Requests(pipe)
    for seq, stage in ((1, "picture"), (1, "keep"), (2, "picture"), (2, "keep")):
        os.write(write, json.dumps({"seq": seq, "stage": stage}).encode() + b"\n")
    assert [requests.to_keep.get(timeout=PATIENCE)["seq"] for _ in range(2)] == [1, 2]
    assert requests.newest() == {"seq": 2, "stage": "picture"}
    os.close(write)
    assert requests.newest() is None
    pipe.close()


# ---------------------------------------------------------------- what is typed, and kept


def test_what_is_refused_is_not_kept_and_what_was_given_stays_given(tmp_path: Path) -> None:
    async def visit(server: Server, client: ClientSession) -> None:
        async def ask(**more: Any) -> None:
            await one.send_str(json.dumps(more))

        async with wire(server, client) as one:
            assert (await answer(one, "state"))["given"] == {"": {"length": "45"}}
            first = await answer(one, "figures")
            await ask(do="set", part="", values={"length": "60", "wall": "5 kg"})
            await answer(one, "refused")
            await ask(do="keep")
            told = await answer(one, "kept")
            assert told["done"] is False
            assert told["lines"][-2:] == ["not written: length = 60", "not written: wall = 5 kg"]
            await ask(do="set", part="", values={"length": None, "wall": None})
            await answer(one, "picture", first["seq"] + 2)
            assert server.session.typed == {"": {"length": "45"}}
            await ask(do="set", part="", values={"length": "61"})
            await ask(do="reset")
            await answer(one, "picture", first["seq"] + 4)
            assert server.session.typed == {"": {"length": "45"}}

    visited(visit, given={"length": "45"})


def test_a_mesh_that_an_answer_will_leave_out_is_kept_until_it_has_come(monkeypatch: pytest.MonkeyPatch) -> None:
    """A value typed and taken back before its picture came: the picture of the value before it sends no mesh, since
    that one was here when it was asked for, and the picture between the two shows another."""

    async def visit() -> None:
        session, tab = Session("ears"), Tab()

        async def nothing(request: dict[str, Any]) -> None:
            asked.append(request["have"])

        async def comes(seq: int, mesh: str, **sent: Blob) -> dict[str, Any]:
            picture = {"answer": "picture", "seq": seq, "items": [{"mesh": mesh}], "forms": {}}
            await session._heard(pack(picture, sent))
            while (header := await tab.next())["answer"] != "picture":
                pass
            return unpack(session.packed(tab, header))[1]

        asked: list[list[str]] = []
        monkeypatch.setattr(session._builder, "request", nothing)
        session.open_tab(tab)
        a, b = (Blob(key, {"bytes": 4}, key.encode() * 4) for key in "ab")
        await session.build()
        assert await comes(1, "a", a=a) == {"a": a}
        await session.build()
        await session.build()
        assert asked == [[], ["a"], ["a"]]
        assert await comes(2, "b", b=b) == {"b": b}
        assert await comes(3, "a") == {"a": a}
        await session._heard(pack({"answer": "idle", "seq": 3}, {}))
        await session.build()
        assert await comes(4, "b", b=b) == {"b": b}
        await session._heard(pack({"answer": "idle", "seq": 4}, {}))
        await session.build()
        assert asked[-2:] == [["a"], ["b"]], "what nobody shows or is still to be sent is dropped"
        await session.close()

    asyncio.run(visit())
