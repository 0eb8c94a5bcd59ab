"""Who is let in and what is listened to: this machine, our own page, the secret address, small plain messages."""

from __future__ import annotations

import asyncio
import base64
import json
import os
import socket as net
from collections.abc import AsyncIterator, Awaitable, Callable, Iterator, Mapping
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any

import pytest
from aiohttp import ClientSession, ClientWebSocketResponse, WSMsgType
from preview_live import PATIENCE

from brackets.app.cli.app import main
from brackets.app.preview import process, session
from brackets.app.preview import server as serving
from brackets.app.preview.blocks import unpack
from brackets.app.preview.server import HEADERS, Server
from brackets.app.preview.session import Session
from brackets.app.preview.tabs import Tab
from brackets.core.errors import InputError

Visit = Callable[[Server, ClientSession], Awaitable[None]]


def visited(
    visit: Visit, target: str = "cup", *, limit: float | None = None, given: Mapping[str, str] | None = None
) -> None:
    """Runs `visit` against a server of `target`; `given`: values of the command line. However busy the machine is,
    what builds is waited for when it was ended: else it ends under some other test. No second builder is kept warm,
    which has tests of its own."""

    async def run() -> None:
        server = Server(Session(target, limit=limit, typed=given))
        await server.start()
        try:
            async with ClientSession() as client:
                await asyncio.wait_for(visit(server, client), PATIENCE)
        finally:
            await server.stop()

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(process, "REST", 1e6)
        patch.setattr(process, "ENDING", PATIENCE)
        asyncio.run(run())


@pytest.fixture(scope="module")
def cup() -> Iterator[Callable[[Visit], None]]:
    """Visits to one server of a cup, one after another: what builds for it takes seconds to load. Each finds
    nothing typed and the picture of that."""

    async def one(server: Server, visit: Visit) -> None:
        async with ClientSession() as client:
            await visit(server, client)
            if server.session.typed:
                async with wire(server, client) as socket:
                    await socket.send_str(json.dumps({"do": "reset"}))
                    while server.session.typed:
                        await asyncio.sleep(0.01)
                    await answer(socket, "picture", server.session.seq)

    with asyncio.Runner() as runner, pytest.MonkeyPatch.context() as patch:
        patch.setattr(process, "REST", 1e6)  # no second builder is kept warm meanwhile
        patch.setattr(process, "ENDING", PATIENCE)
        server = Server(Session("cup"))
        runner.run(server.start())
        yield lambda visit: runner.run(asyncio.wait_for(one(server, visit), PATIENCE))
        runner.run(server.stop())


@asynccontextmanager
async def wire(server: Server, client: ClientSession) -> AsyncIterator[ClientWebSocketResponse]:
    origin = {"Origin": f"http://127.0.0.1:{server.port}"}
    async with client.ws_connect(f"{server.address}wire", headers=origin, max_msg_size=0) as socket:
        yield socket


async def answer(socket: ClientWebSocketResponse, kind: str, at_least: int = 0) -> dict[str, Any]:
    """The next answer of a kind, of a picture not older than `at_least`."""
    async for heard in socket:
        if heard.type == WSMsgType.BINARY:
            header, blobs = unpack(heard.data)
            if header["answer"] == kind and header["seq"] >= at_least:
                return {**header, "sent": list(blobs)}
    raise AssertionError(f"the socket closed with {socket.close_code} before: {kind}")


async def number(socket: ClientWebSocketResponse, name: str, at_least: int) -> float:
    """What a field of a recipe says, of the figures that come next."""
    figures = await answer(socket, "figures", at_least)
    return next(field["number"] for field in figures["forms"][""] if field["name"] == name)  # type: ignore[no-any-return]


def test_it_listens_on_this_machine_only_and_says_nothing_of_itself(cup: Callable[[Visit], None]) -> None:
    async def visit(server: Server, client: ClientSession) -> None:
        assert server.address.startswith("http://127.0.0.1:")
        async with client.get(server.address) as page:
            assert page.status == 200
            for name, value in HEADERS.items():
                assert page.headers[name] == value
            assert "'unsafe" not in page.headers["Content-Security-Policy"]

    cup(visit)


def test_without_the_secret_there_is_nothing(cup: Callable[[Visit], None]) -> None:
    async def visit(server: Server, client: ClientSession) -> None:
        base = f"http://127.0.0.1:{server.port}"
        wrong = server.secret[:-1] + ("A" if server.secret[-1] != "A" else "B")
        for path in ("/", "/x/", f"/{wrong}/", f"/{wrong}/wire", f"/{wrong}/three.js", f"/{server.secret}/../etc"):
            async with client.get(base + path) as page:
                assert page.status == 404, path

    cup(visit)


def test_only_files_of_the_page_are_served(cup: Callable[[Visit], None]) -> None:
    async def visit(server: Server, client: ClientSession) -> None:
        for name, status in (
            ("page.js", 200),
            ("three.js", 200),
            ("page.css", 200),
            ("server.py", 404),
            ("%2e%2e%2fserver.py", 404),
        ):
            async with client.get(server.address + name) as page:
                assert page.status == status, name

    cup(visit)


@pytest.mark.parametrize(
    "header",
    [{"Host": "evil.example"}, {"Host": "127.0.0.1"}, {"Origin": "http://evil.example"}, {"Origin": "null"}],
    ids=lambda header: " ".join(next(iter(header.items()))),
)
def test_a_foreign_host_or_origin_is_refused(header: dict[str, str], cup: Callable[[Visit], None]) -> None:
    async def visit(server: Server, client: ClientSession) -> None:
        for path in ("", "page.js", "wire"):
            async with client.get(server.address + path, headers=header) as page:
                assert page.status == 403, path

    cup(visit)


def test_a_socket_without_an_origin_is_refused(cup: Callable[[Visit], None]) -> None:
    async def visit(server: Server, client: ClientSession) -> None:
        async with client.get(f"{server.address}wire") as page:
            assert page.status == 403

    cup(visit)


def test_malformed_and_oversize_messages_close_the_socket_and_change_nothing(cup: Callable[[Visit], None]) -> None:
    async def visit(server: Server, client: ClientSession) -> None:
        for said, code in (("{", 1008), ('{"do": "run"}', 1008), ("x" * 70_000, 1009)):
            async with wire(server, client) as socket:
                await socket.send_str(said)
                async for _ in socket:
                    pass
                assert socket.close_code == code
        async with wire(server, client) as socket:
            await socket.send_bytes(b"\0")
            async for _ in socket:
                pass
            assert socket.close_code == 1008
        assert server.session.typed == {}

    cup(visit)


def test_an_unknown_value_is_refused_in_words_and_changes_nothing(cup: Callable[[Visit], None]) -> None:
    async def visit(server: Server, client: ClientSession) -> None:
        async with wire(server, client) as socket:
            await answer(socket, "picture")
            await socket.send_str(json.dumps({"do": "set", "part": "", "values": {"nought": "1"}}))
            assert (await answer(socket, "notice"))["lines"] == ["nought: no such value"]
            await socket.send_str(json.dumps({"do": "set", "part": "lid", "values": {}}))
            assert (await answer(socket, "notice"))["lines"] == ["lid: no such value"]
            assert server.session.typed == {}

    cup(visit)


def test_two_tabs_agree_and_only_what_changed_is_sent(cup: Callable[[Visit], None]) -> None:
    async def visit(server: Server, client: ClientSession) -> None:
        async with wire(server, client) as one, wire(server, client) as two:
            first = await answer(one, "figures")
            await answer(two, "figures")
            await one.send_str(json.dumps({"do": "set", "part": "", "values": {"length": "2in"}}))
            for socket in (one, two):
                seen = await answer(socket, "picture", first["seq"] + 1)
                assert len(seen["sent"]) == 1
                assert await number(socket, "length", seen["seq"]) == 50.8
            await two.send_str(json.dumps({"do": "set", "part": "", "values": {"finish": "before welding"}}))
            same = await answer(one, "picture", seen["seq"] + 1)
            assert same["sent"] == []  # the same metal: nothing to send
            assert server.session.typed == {"": {"length": "2in", "finish": "before welding"}}
            await two.send_str(json.dumps({"do": "set", "part": "", "values": {"length": "2in"}}))
            await two.send_str(json.dumps({"do": "set", "part": "", "values": {"nought": "2in"}}))
            await answer(two, "notice")
            assert server.session.seq == same["seq"]  # what is there already is not built again
        async with wire(server, client) as late:
            assert (await answer(late, "state"))["typed"] == server.session.typed

    cup(visit)


def test_a_wrong_value_keeps_the_last_good_shape_for_the_next_tab(cup: Callable[[Visit], None]) -> None:
    async def visit(server: Server, client: ClientSession) -> None:
        async with wire(server, client) as socket:
            first = await answer(socket, "figures")
            await socket.send_str(json.dumps({"do": "set", "part": "", "values": {"length": "5 kg"}}))
            assert "length" in (await answer(socket, "refused"))["fields"][""]
        async with wire(server, client) as late:
            assert (await answer(late, "picture"))["seq"] == first["seq"]
            assert "length" in (await answer(late, "refused"))["fields"][""]

    cup(visit)


def test_of_a_burst_only_some_are_built_and_the_last_one_wins(cup: Callable[[Visit], None]) -> None:
    async def visit(server: Server, client: ClientSession) -> None:
        async with wire(server, client) as socket:
            await answer(socket, "figures")
            start = server.session.seq
            for length in range(40, 80):
                await socket.send_str(json.dumps({"do": "set", "part": "", "values": {"length": str(length)}}))
            built = 0
            while True:
                seen = await answer(socket, "picture", start + 1)
                built += 1
                if seen["seq"] == start + 40:
                    break
            assert await number(socket, "length", seen["seq"]) == 79.0
            assert built < 40

    cup(visit)


async def stuck(server: Server) -> net.socket:
    """A page that asks for the websocket and then reads nothing."""
    others = set(server.session.tabs)
    one = net.create_connection((serving.HOST, server.port))
    one.setsockopt(net.SOL_SOCKET, net.SO_RCVBUF, 4096)
    key = base64.b64encode(os.urandom(16)).decode()
    one.sendall(
        f"GET /{server.secret}/wire HTTP/1.1\r\nHost: {serving.HOST}:{server.port}\r\nUpgrade: websocket\r\n"
        f"Connection: Upgrade\r\nSec-WebSocket-Key: {key}\r\nSec-WebSocket-Version: 13\r\n"
        f"Origin: http://{serving.HOST}:{server.port}\r\n\r\n".encode()
    )
    while others.issuperset(server.session.tabs):
        await asyncio.sleep(0.02)
    return one


def test_a_page_that_never_reads_stops_no_other_and_is_let_go(
    cup: Callable[[Visit], None], monkeypatch: pytest.MonkeyPatch
) -> None:
    """What it is not sent in time fills no memory either. Each send was once awaited, and everybody with it."""
    monkeypatch.setattr(serving, "SLOWEST", 2.0)

    async def visit(server: Server, client: ClientSession) -> None:
        async with wire(server, client) as reads:
            first = await answer(reads, "picture")
            with await stuck(server):
                server.session._say({"answer": "notice", "lines": ["x" * 8_000_000]})  # more than a socket takes
                await answer(reads, "notice")
                for length in ("41", "42", "43"):
                    await reads.send_str(json.dumps({"do": "set", "part": "", "values": {"length": length}}))
                    first = await answer(reads, "picture", first["seq"] + 1)
                while len(server.session.tabs) > 1:
                    await asyncio.sleep(0.05)

    cup(visit)


def test_a_fault_in_sending_is_told_and_the_page_comes_back_to_everything(
    cup: Callable[[Visit], None], monkeypatch: pytest.MonkeyPatch
) -> None:
    """It once ended the sending without a word: the page waited for ever beside a picture that was old."""
    told: list[dict[str, Any]] = []
    plain = Session.packed

    def packed(session: Session, tab: Tab, header: Any) -> bytes:
        if header["answer"] == "notice" and not told:
            raise KeyError("a mesh that nobody has")
        return plain(session, tab, header)

    monkeypatch.setattr(Session, "packed", packed)

    async def visit(server: Server, client: ClientSession) -> None:
        loop = asyncio.get_running_loop()
        loop.set_exception_handler(lambda _, about: told.append(about))
        async with wire(server, client) as one:
            await answer(one, "picture")
            server.session._say({"answer": "notice", "lines": ["x"]})
            with pytest.raises(AssertionError, match="the socket closed"):
                await answer(one, "notice")
        loop.set_exception_handler(None)
        async with wire(server, client) as again:
            await answer(again, "picture")

    cup(visit)
    (one,) = told
    assert one["message"] == "a page was not sent what it waits for"
    assert isinstance(one["exception"], KeyError)


HEAD = '''"""Of a user."""
import os, time
from dataclasses import dataclass
from typing import Annotated
from brackets import Checked, cup, mm
@dataclass(frozen=True, kw_only=True)
class Params(Checked):
    length: Annotated[float, mm(10, 90, "length")] = 40.0
def build(p):
    if p.length > 80:
        {trouble}
    return cup(od=70, bore=60, length=p.length)
'''


def test_a_recipe_that_hangs_and_then_crashes_is_survived(tmp_path: Path) -> None:
    """Over 80 mm it hangs, over 86 it ends its process: each is said, the last good shape is kept, and a good value
    builds again."""
    path = tmp_path / "mine.py"
    path.write_text(HEAD.replace("{trouble}", "os.abort() if p.length > 86 else time.sleep(1e6)"), "utf-8")

    async def visit(server: Server, client: ClientSession) -> None:
        async with wire(server, client) as socket:
            seq = (await answer(socket, "figures"))["seq"]
            for wrong, said, good in (
                ("85", "stopped after 1 s without an answer", 50.0),
                ("88", "ended by itself (signal 6)", 60.0),
            ):
                server.session.limit = 1.0  # for what hangs, not for a good value on a busy machine
                await socket.send_str(json.dumps({"do": "set", "part": "", "values": {"length": wrong}}))
                refused = await answer(socket, "refused", seq + 1)
                assert refused["lines"][0].endswith(said), "the page says what it shows instead"
                assert refused["unchecked"] is False
                server.session.limit = PATIENCE
                await socket.send_str(json.dumps({"do": "set", "part": "", "values": {"length": str(good)}}))
                again = await answer(socket, "picture", seq + 2)
                assert await number(socket, "length", again["seq"]) == good
                seq = again["seq"]

    visited(visit, str(path), limit=PATIENCE)


def test_the_time_limit_of_the_command_line_is_the_pages(monkeypatch: pytest.MonkeyPatch) -> None:
    limits: list[float] = []

    def seen(*_: object, limit: float, **__: object) -> None:
        limits.append(limit)
        raise InputError("only looked at")

    monkeypatch.setattr(session, "Session", seen)
    assert main(["view", "cup", "--no-browser", "--time-limit", "2"]) == 2
    assert limits == [2.0]


FOUND_WRONG = HEAD.replace(
    "    if p.length > 80:\n        {trouble}\n",
    """    made.agreed = lambda solid, volume, **_: wrong() if p.length > {most} else solid
""",
).replace(
    "def build",
    """from brackets import KernelFailed
from brackets.kernel import solids as made
def wrong():
    raise KernelFailed("cup", "turn", "length", "the volume is another")
def build""",
)
"""Makes the check of its solid fail over a length, which no recipe of ours does."""


def test_a_shape_found_wrong_after_it_was_shown_gives_way_to_the_last_good_one(tmp_path: Path) -> None:
    path = tmp_path / "mine.py"
    path.write_text(FOUND_WRONG.replace("{most}", "80"), "utf-8")

    async def visit(server: Server, client: ClientSession) -> None:
        async with wire(server, client) as socket:
            first = await answer(socket, "picture")
            await answer(socket, "checks")
            await socket.send_str(json.dumps({"do": "set", "part": "", "values": {"length": "85"}}))
            wrong = await answer(socket, "picture", first["seq"] + 1)
            assert wrong["items"] != first["items"]
            back = await answer(socket, "picture")
            assert back["seq"] == first["seq"]
            assert back["items"] == first["items"]
            assert (await answer(socket, "figures"))["seq"] == first["seq"]
            assert "the solid kernel gave up: cup: turn" in (await answer(socket, "refused"))["lines"][0]
            await socket.send_str(json.dumps({"do": "set", "part": "", "values": {"length": "50"}}))
            again = await answer(socket, "picture", wrong["seq"] + 1)
            assert await number(socket, "length", again["seq"]) == 50.0
            await answer(socket, "checks", again["seq"])

    visited(visit, str(path))


def test_a_first_shape_found_wrong_is_not_left_on_the_page(tmp_path: Path) -> None:
    path = tmp_path / "mine.py"
    path.write_text(FOUND_WRONG.replace("{most}", "8"), "utf-8")

    async def visit(server: Server, client: ClientSession) -> None:
        async with wire(server, client) as socket:
            await answer(socket, "refused")
        async with wire(server, client) as late:
            assert (await answer(late, "picture"))["items"] == []
            assert (await answer(late, "refused"))["lines"]

    visited(visit, str(path))


def test_a_saved_recipe_shows_and_a_broken_one_is_said_until_it_is_mended(tmp_path: Path) -> None:
    path = tmp_path / "mine.py"
    good = HEAD.replace("{trouble}", "pass")
    path.write_text(good, "utf-8")

    async def visit(server: Server, client: ClientSession) -> None:
        async with wire(server, client) as socket:
            first = await answer(socket, "picture")
            path.write_text(good.replace("od=70", "od=99"), "utf-8")
            second = await answer(socket, "picture", first["seq"] + 1)
            assert second["items"][0]["kg"] > first["items"][0]["kg"]
            path.write_text(good.replace("return cup", "return cupp"), "utf-8")
            refused = await answer(socket, "refused", second["seq"] + 1)
            assert "NameError" in refused["trace"][-1]
            path.write_text(good, "utf-8")
            mended = await answer(socket, "picture", refused["seq"] + 1)
            assert mended["items"][0]["kg"] == first["items"][0]["kg"]
        async with wire(server, client) as late:
            assert (await answer(late, "picture"))["seq"] == mended["seq"]
            assert "refused" not in server.session.shown.kinds

    visited(visit, str(path))
