"""Serves the live page on this machine only: a secret in the address, our own pages, and files seen to be saved.

Bound to the loopback address on a free port. A wrong secret is 404; a wrong Host or Origin (another site's page, or
a name that was made to point here) is 403.
"""

from __future__ import annotations

import asyncio
import contextlib
import hmac
import secrets
from collections.abc import Awaitable, Callable
from functools import partial

from aiohttp import WSMsgType, web

from brackets.app.preview.messages import LARGEST, message
from brackets.app.preview.offline import KINDS, SCRIPTS, STYLE, live_page, own, script
from brackets.app.preview.session import Session
from brackets.app.preview.tabs import Tab
from brackets.app.preview.tasks import started
from brackets.app.saves import watch
from brackets.core.errors import InputError

HOST = "127.0.0.1"
HEADERS = {
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; connect-src 'self'; "
        "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
    ),
    "Referrer-Policy": "no-referrer",
    "Cache-Control": "no-store",
    "X-Content-Type-Options": "nosniff",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
}
POLICY = 1008
"""Websocket close code of RFC 6455 for a message against the rules."""

SLOWEST = 30.0
"""Seconds in which a page must take what it is sent, over the loopback: one that is stopped takes nothing."""
CLOSING = 2.0
"""Seconds in which pages are told that this is the end."""

Handler = Callable[[web.Request], Awaitable[web.StreamResponse]]


class Server:
    """The page of one session; `address` is known once it is started."""

    def __init__(self, session: Session) -> None:
        self.session = session
        self.secret = secrets.token_urlsafe(24)
        self.port = 0
        self._tasks: list[asyncio.Task[None]] = []
        self._sockets: set[web.WebSocketResponse] = set()
        self._runner: web.AppRunner | None = None

    @property
    def address(self) -> str:
        return f"http://{HOST}:{self.port}/{self.secret}/"

    async def start(self) -> None:
        """Opens the door, builds the first picture, and watches the files."""
        app = web.Application(middlewares=[self._guard])
        app.router.add_get("/{secret}/", self._page)
        app.router.add_get("/{secret}/wire", self._wire)
        app.router.add_get("/{secret}/{file}", self._file)
        self._runner = web.AppRunner(app, access_log=None)
        await self._runner.setup()
        site = web.TCPSite(self._runner, HOST, 0)
        await site.start()
        self.port = self._runner.addresses[0][1]
        if not self.session.seq:
            await self.session.build()
        watching = watch(lambda: self.session.watched, self.session.build)
        self._tasks.append(started(watching, "files are no longer watched"))

    async def stop(self) -> None:
        for task in self._tasks:
            task.cancel()
        with contextlib.suppress(TimeoutError):
            await asyncio.wait_for(asyncio.gather(*(socket.close() for socket in self._sockets)), CLOSING)
        await self.session.close()
        if self._runner is not None:
            await self._runner.cleanup()

    @web.middleware
    async def _guard(self, request: web.Request, handler: Handler) -> web.StreamResponse:
        names = {f"{HOST}:{self.port}", f"localhost:{self.port}"}
        origin = request.headers.get("Origin")
        if request.headers.get("Host") not in names or origin not in (None, *(f"http://{name}" for name in names)):
            return web.Response(status=403, text="not from here", headers=HEADERS)
        given = request.match_info.get("secret", "")
        if not hmac.compare_digest(given.encode(), self.secret.encode()):
            return web.Response(status=404, text="nothing here", headers=HEADERS)
        return await handler(request)

    async def _page(self, _: web.Request) -> web.Response:
        return web.Response(text=live_page(), content_type="text/html", headers=HEADERS)

    async def _file(self, request: web.Request) -> web.Response:
        name = request.match_info["file"]
        if name not in (*SCRIPTS, "three.js", STYLE):
            return web.Response(status=404, text="nothing here", headers=HEADERS)
        text = own(name) if name == STYLE else script(name)
        return web.Response(text=text, content_type=KINDS[name.rpartition(".")[2]], headers=HEADERS)

    async def _wire(self, request: web.Request) -> web.StreamResponse:
        if request.headers.get("Origin") is None:
            return web.Response(status=403, text="not from here", headers=HEADERS)
        socket = web.WebSocketResponse(max_msg_size=LARGEST, heartbeat=30, compress=False)
        if not socket.can_prepare(request).ok:
            return web.Response(status=400, text="a websocket", headers=HEADERS)
        await socket.prepare(request)
        tab = Tab()
        self._sockets.add(socket)
        self.session.open_tab(tab)
        letting_go = partial(_let_go, request.transport)
        work = self._send(socket, tab, letting_go)
        sending = started(work, "a page was not sent what it waits for", failed=letting_go)
        try:
            await self._listen(socket, tab)
        finally:
            sending.cancel()
            self.session.close_tab(tab)
            self._sockets.discard(socket)
        return socket

    async def _send(self, socket: web.WebSocketResponse, tab: Tab, let_go: Callable[[], None]) -> None:
        """Sends what waits for a tab; lets go of one that does not take it, or where something goes wrong: its page
        says so, comes back, and is sent everything anew."""
        while True:
            block = self.session.packed(tab, await tab.next())
            try:
                await asyncio.wait_for(socket.send_bytes(block), SLOWEST)
            except (TimeoutError, ConnectionError):
                let_go()
                return

    async def _listen(self, socket: web.WebSocketResponse, tab: Tab) -> None:
        async for heard in socket:
            if heard.type != WSMsgType.TEXT:
                await socket.close(code=POLICY, message=b"text only")
                return
            try:
                asked = message(heard.data)
            except InputError as error:
                await socket.close(code=POLICY, message=str(error).encode()[:120])
                return
            wrong = await self.session.handle_message(asked)
            if wrong is not None:
                tab.put({"answer": "notice", "lines": [wrong], "seq": self.session.seq})


def _let_go(way: asyncio.BaseTransport | None) -> None:
    if isinstance(way, asyncio.WriteTransport):
        way.abort()


async def serve(session: Session, ready: Callable[[str], None]) -> None:
    """Serves until cancelled; `ready` is told the address."""
    server = Server(session)
    try:
        await server.start()
        ready(server.address)
        await asyncio.Event().wait()
    finally:
        await server.stop()
