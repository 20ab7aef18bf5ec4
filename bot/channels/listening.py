"""Listening on a port of this machine: for Telegram's calls, and for whoever watches the program."""

import asyncio
import contextlib
import os
import socket
from collections.abc import Awaitable, Callable, Iterator

import uvicorn
from starlette.applications import Starlette

LOOPBACK = "127.0.0.1"
GRACE = 5  # seconds for calls under way at the stop


class PortError(Exception):
    """Nothing can listen there; the text is one sentence for whoever set the port."""


def listen(host: str, port: int, variable: str) -> socket.socket:
    """Take a port; raise PortError, which names the variable that it comes from, where that cannot be."""
    try:
        family = socket.AF_INET6 if ":" in host else socket.AF_INET
        return socket.create_server((host, port), family=family, backlog=1024)
    except OSError as error:
        number = error.errno or 0  # negative where it is the name that is not known
        reason = (os.strerror(number) if number > 0 else str(error.strerror)).lower()
        raise PortError(
            f"Nothing can listen on {host}:{port} ({reason}); set {variable} to a port that is free."
        ) from None


async def serve(app: Starlette, listening: socket.socket, until: Callable[[], Awaitable[object]]) -> None:
    """Answer calls until what is waited for is done, then let those under way end; the socket is closed."""
    config = uvicorn.Config(
        app,
        access_log=False,
        lifespan="off",
        log_config=None,
        server_header=False,
        timeout_graceful_shutdown=GRACE,
        ws="none",
    )
    with listening:
        server = _Server(config)
        serving = asyncio.create_task(server.serve(sockets=[listening]))
        try:
            await until()
        finally:
            server.should_exit = True
            await serving


class _Server(uvicorn.Server):
    """A server that leaves the signals to whoever runs it."""

    @contextlib.contextmanager
    def capture_signals(self) -> Iterator[None]:
        yield
