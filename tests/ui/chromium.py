"""A real browser without a window: chromium, driven over its DevTools protocol.

Apart so that the tests read as a maker would tell them. Every wait is for something to be so, with a
deadline that only a hang reaches. Whatever is asked for over the network is noted, and no name but this
computer's can be found at all.
"""

from __future__ import annotations

import asyncio
import base64
import os
from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any

import aiohttp

DEADLINE = 60.0
"""Seconds after which what is waited for will not come."""
LOOK_AGAIN = 0.02
REST = 15
"""Pictures in a row that are the same."""


class Page:
    """The one page of a browser."""

    def __init__(self, link: aiohttp.ClientWebSocketResponse) -> None:
        self._link = link
        self._number = 0
        self._answers: dict[int, asyncio.Future[dict[str, Any]]] = {}
        self.asked_for: list[str] = []
        """Addresses that the page asked for."""
        self.painted = b""
        """What the program has painted, as terminals are told to."""
        self.faults: list[str] = []
        """What went wrong in the page."""

    async def listen(self) -> None:
        """Take what the browser says until it ends."""
        async for message in self._link:
            said = message.json()
            if "id" in said:
                self._answers.pop(said["id"]).set_result(said)
                continue
            about = said.get("params", {})
            match said["method"]:
                case "Network.requestWillBeSent":
                    self.asked_for.append(about["request"]["url"])
                case "Network.webSocketCreated":
                    self.asked_for.append(about["url"])
                case "Network.webSocketFrameReceived" if about["response"]["opcode"] == 2:
                    self.painted += base64.b64decode(about["response"]["payloadData"])
                case "Network.loadingFailed":
                    self.faults.append(about["errorText"])
                case "Runtime.exceptionThrown":
                    self.faults.append(str(about["exceptionDetails"]))
                case "Log.entryAdded" if about["entry"]["level"] == "error":
                    self.faults.append(about["entry"]["text"])

    async def tell(self, method: str, **about: Any) -> dict[str, Any]:
        """One command of the protocol and its result."""
        self._number += 1
        answer = self._answers[self._number] = asyncio.get_running_loop().create_future()
        await self._link.send_json({"id": self._number, "method": method, "params": about})
        said = await asyncio.wait_for(answer, DEADLINE)
        assert "error" not in said, said["error"]
        result: dict[str, Any] = said["result"]
        return result

    async def open(self, address: str) -> None:
        """Go to an address."""
        await self.tell("Page.navigate", url=address)

    async def run(self, script: str) -> Any:
        """The value of an expression in the page; what it promises, once it is there."""
        said = await self.tell("Runtime.evaluate", expression=script, returnByValue=True, awaitPromise=True)
        assert "exceptionDetails" not in said, said["exceptionDetails"]
        return said["result"].get("value")

    async def until(self, script: str) -> None:
        """Wait until an expression is true in the page."""

        async def is_so() -> bool:
            return bool(await self.run(script))

        await _until(is_so, script)

    async def until_painted(self, text: str) -> None:
        """Wait until the program has painted a text since this was last asked."""

        async def is_so() -> bool:
            _, found, after = self.painted.partition(text.encode())
            if found:
                self.painted = after
            return bool(found)

        await _until(is_so, text)

    async def press(self, key: str, code: int, text: str = "") -> None:
        """Press a key by its name and number, with the text it types."""
        await self.tell(
            "Input.dispatchKeyEvent",
            type="keyDown",
            key=key,
            windowsVirtualKeyCode=code,
            **({"text": text} if text else {}),
        )
        await self.tell("Input.dispatchKeyEvent", type="keyUp", key=key, windowsVirtualKeyCode=code)

    async def picture(self) -> bytes:
        """What is to be seen, as PNG."""
        return base64.b64decode((await self.tell("Page.captureScreenshot"))["data"])

    async def picture_at_rest(self) -> bytes:
        """What is to be seen once nothing has been painted for ``REST`` looks: a start paints in steps."""
        looks = [await self.picture()]

        async def rests() -> bool:
            seen = await self.picture()
            looks[:] = [*looks, seen] if seen == looks[0] else [seen]
            return len(looks) >= REST

        await _until(rests, "a picture at rest")
        return looks[0]

    async def until_seen(self, picture: bytes) -> None:
        """Wait until it looks as it did."""

        async def is_so() -> bool:
            return await self.picture() == picture

        await _until(is_so, "the same picture")


async def _until(is_so: Callable[[], Awaitable[bool]], what: str) -> None:
    async def look() -> None:
        while not await is_so():
            await asyncio.sleep(LOOK_AGAIN)

    try:
        await asyncio.wait_for(look(), DEADLINE)
    except TimeoutError:
        raise AssertionError(f"this never came: {what}") from None


@asynccontextmanager
async def chromium(folder: Path, size: tuple[int, int] = (1500, 900)) -> AsyncIterator[Page]:
    """A browser with everything of its own in ``folder``."""
    browser = await asyncio.create_subprocess_exec(
        "chromium", "--headless", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage",
        "--no-first-run", "--disable-background-networking", "--disable-component-update",
        "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1",
        f"--window-size={size[0]},{size[1]}", f"--user-data-dir={folder}", "--remote-debugging-port=0",
        "about:blank",
        env={**os.environ, "HOME": str(folder)},
        stdout=asyncio.subprocess.DEVNULL, stderr=asyncio.subprocess.DEVNULL,
    )  # fmt: skip
    try:
        port = await asyncio.wait_for(_port(folder / "DevToolsActivePort"), DEADLINE)
        async with aiohttp.ClientSession() as session:
            async with session.get(f"http://127.0.0.1:{port}/json/list") as answer:
                (target,) = [target for target in await answer.json() if target["type"] == "page"]
            async with session.ws_connect(target["webSocketDebuggerUrl"], max_msg_size=0) as link:
                page = Page(link)
                listening = asyncio.create_task(page.listen())
                for domain in ("Page", "Network", "Runtime"):
                    await page.tell(f"{domain}.enable")
                yield page
                listening.cancel()
    finally:
        browser.terminate()
        await browser.wait()


async def _port(file: Path) -> int:
    """The port that the browser chose, once it is written down."""
    while not (file.is_file() and file.read_text().count("\n")):
        await asyncio.sleep(LOOK_AGAIN)
    return int(file.read_text().splitlines()[0])
