"""The grid in a browser: a page of its own, from this computer alone, behind an address nobody guesses."""

from __future__ import annotations

import asyncio
import signal
import sys
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

import aiohttp
import pytest

from scaledesign.files.journal import leftovers
from tests.ui.chromium import chromium

DEADLINE = 60.0
"""Seconds after which what is waited for will not come."""


class Served:
    """The running command and the address it printed."""

    def __init__(self, process: asyncio.subprocess.Process, said: str) -> None:
        self.process, self.said = process, said
        self.address = next(word for word in said.split() if word.startswith("http://"))
        self.socket = self.address.replace("http://", "ws://") + "ws"

    async def stop(self) -> int:
        """Ctrl+C; its exit code."""
        self.process.send_signal(signal.SIGINT)
        return await asyncio.wait_for(self.process.wait(), DEADLINE)


@asynccontextmanager
async def served(*words: str | Path) -> AsyncIterator[Served]:
    """``scaledesign grid --browser``, from its first line to its end."""
    process = await asyncio.create_subprocess_exec(
        sys.executable, "-m", "scaledesign", "grid", "--browser", *map(str, words),
        stdout=asyncio.subprocess.PIPE,
    )  # fmt: skip
    try:
        assert process.stdout
        yield Served(process, (await asyncio.wait_for(process.stdout.readline(), DEADLINE)).decode())
    finally:
        if process.returncode is None:
            process.kill()
            await process.wait()


async def painted(window: aiohttp.ClientWebSocketResponse, text: str) -> None:
    """Take what a window paints until a text is in it."""
    while text.encode() not in await window.receive_bytes(timeout=DEADLINE):
        pass


async def left_behind() -> Path | None:
    """The file of the unsaved work that a window leaves behind, once its process is gone for good."""

    async def look() -> Path | None:
        while not (found := leftovers()):
            await asyncio.sleep(0.02)
        return found[0].path

    return await asyncio.wait_for(look(), DEADLINE)


async def test_each_window_is_a_grid_of_its_own(wren: Path) -> None:
    async with served(wren) as grid, aiohttp.ClientSession() as session:
        async with session.ws_connect(grid.socket + "?width=140&height=40") as one:
            await painted(one, "Marsh wren")
            async with session.ws_connect(grid.socket) as other:
                await painted(other, "Another window has wren.toml open too")
                await one.send_json(["stdin", "\x1b[C5\r"])
                await painted(one, "(not saved)")
                await one.send_json(["resize", {"width": 150, "height": 40}])
                await painted(one, "\x1b[40;1H")
        assert await grid.stop() == 0
    assert await left_behind() == wren


async def test_ctrl_c_ends_it_with_a_window_open(wren: Path) -> None:
    async with (
        served(wren) as grid,
        aiohttp.ClientSession() as session,
        session.ws_connect(grid.socket) as window,
    ):
        await painted(window, "Marsh wren")
        await window.send_json(["stdin", "\x1b[C5\r"])
        await painted(window, "(not saved)")
        ending = asyncio.create_task(grid.stop())
        async for _ in window:
            pass
        assert await ending == 0
    assert await left_behind() == wren


async def test_nothing_is_had_without_the_whole_address(wren: Path) -> None:
    async with served(wren) as grid, aiohttp.ClientSession() as session:
        home = grid.address.rsplit("/", 2)[0]
        assert home.startswith("http://127.0.0.1:")
        for guess in ("", "ws", "static/js/textual.js", "guess/", "guess/ws"):
            async with session.get(f"{home}/{guess}") as answer:
                assert answer.status == 404
        async with session.get(grid.address) as answer:
            assert answer.status == 200


async def test_the_page_names_nobody_else(wren: Path) -> None:
    async with served(wren) as grid, aiohttp.ClientSession() as session, session.get(grid.address) as answer:
        page = await answer.text()
    assert "textual-terminal" in page
    assert "//" not in page.replace("<!--", "").replace("-->", "")


@pytest.mark.system("chromium")
async def test_in_a_real_browser(tmp_path: Path) -> None:
    async with served("--example", "marsh-wren") as grid, chromium(tmp_path / "chromium") as page:
        await page.open(grid.address)
        await page.until("document.body?.classList.contains('-first-byte')")
        await page.until_painted("Marsh wren")
        first = await page.picture_at_rest()
        await page.press("F1", 112)
        await page.until_painted("The columns")
        assert await page.picture() != first
        await page.press("Escape", 27)
        await page.until_seen(first)
        await page.press("ArrowRight", 39)
        await page.press("5", 53, "5")
        await page.press("Enter", 13, "\r")
        await page.until_painted("(not saved)")
        assert {address.split("/")[2] for address in page.asked_for} == {grid.address.split("/")[2]}
        assert [address for address in page.asked_for if address.endswith(".ttf")]
        assert page.faults == []
        assert await grid.stop() == 0
        await page.until("document.body.classList.contains('-closed')")
