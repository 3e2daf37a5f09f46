"""The grid served to a browser on this computer; each browser window is a process of its own.

Apart because it needs textual-serve, which nothing else does. The page is ours and asks nobody but this
program for anything. The address holds a secret, new each time: other web pages and other people's programs
on the same computer do not know it, and without it there is nothing to be had. What a window is, is
``browser_window.py``'s.
"""

from __future__ import annotations

import asyncio
import secrets
import shlex
import socket
import subprocess
import sys
from collections.abc import Callable, Sequence
from pathlib import Path

from aiohttp import web
from textual_serve.app_service import AppService
from textual_serve.server import Server

HOST = "127.0.0.1"
"""Only this computer."""
HIGHEST = 65535
"""The highest port there is."""
PAGE = Path(__file__).with_name("browser_page")
PATIENCE = 5.0
"""Seconds that windows have to end by themselves once the program is to end."""


def serve(words: Sequence[str], listener: socket.socket, say: Callable[[str], None]) -> None:
    """Serve the grid until Ctrl+C.

    Parameters
    ----------
    words : arguments of ``browser_window.main``
    listener : where to listen, from ``listening``
    say : takes the address as soon as it can be opened
    """
    command = (sys.executable, "-P", "-m", "scaledesign.ui.browser_window", *words)
    joined = subprocess.list2cmdline(command) if sys.platform == "win32" else f"exec {shlex.join(command)}"
    windows = _Windows(joined, listener.getsockname()[1], say)
    web.run_app(windows.site(), sock=listener, print=None, access_log=None, shutdown_timeout=PATIENCE)


def listening(port: int) -> socket.socket:
    """A socket that listens on this computer only; on any free port if ``port`` is 0.

    Raises
    ------
    OSError
        when the port is taken or not to be had.
    """
    if not 0 <= port <= HIGHEST:
        raise OSError(f"ports go from 1 to {HIGHEST}")
    return socket.create_server((HOST, port))


class _Windows(Server):
    """textual-serve with our page, behind a secret, ending when it is told to."""

    def __init__(self, command: str, port: int, say: Callable[[str], None]) -> None:
        super().__init__(command, host=HOST, port=port, title="scaledesign", templates_path=PAGE)
        self._secret = secrets.token_urlsafe(16)
        self._say = say
        self._open: set[asyncio.Task[object]] = set()
        self._windows: set[web.WebSocketResponse] = set()

    async def site(self) -> web.Application:
        """The whole site: nothing but what lies behind the secret."""
        site = web.Application()
        site.add_subapp(f"/{self._secret}", await self._make_app())
        return site

    async def on_startup(self, app: web.Application) -> None:
        """Say where the grid is."""
        self._say(f"http://{self.host}:{self.port}/{self._secret}/")

    async def on_shutdown(self, app: web.Application) -> None:
        """Close every window and wait for the end of its process; each keeps what is unsaved."""
        for window in tuple(self._windows):
            await window.close()
        if self._open:
            await asyncio.wait(self._open, timeout=PATIENCE)

    async def handle_websocket(self, request: web.Request) -> web.WebSocketResponse:
        """One window, from its opening to the end of its process."""
        task = asyncio.current_task()
        assert task is not None
        self._open.add(task)
        try:
            return await super().handle_websocket(request)
        finally:
            self._open.discard(task)

    async def _process_messages(self, websocket: web.WebSocketResponse, app_service: AppService) -> None:
        self._windows.add(websocket)
        try:
            await super()._process_messages(websocket, app_service)
        finally:
            self._windows.discard(websocket)
