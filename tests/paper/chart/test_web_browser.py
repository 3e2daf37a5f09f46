"""The web page in a real browser: what it shows, what it plays, what it says, and that it asks for nothing.

The page is opened from its file, as whoever was sent it does. What sounds is measured where it leaves the
page: a tap listens to whatever the page sends to the loudspeaker.
"""

from __future__ import annotations

import json
from collections.abc import AsyncIterator
from dataclasses import replace
from functools import cache
from math import log2
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import pytest_asyncio

import scaledesign
from scaledesign.paper.chart.content import Chart, ChartTrill, chart_of
from scaledesign.paper.chart.web import web_page
from scaledesign.paper.choices import PaperChoices
from tests.ui.chromium import Page, chromium

pytestmark = [pytest.mark.asyncio(loop_scope="module"), pytest.mark.system("chromium")]

EXAMPLES = Path(scaledesign.__file__).parent / "examples"
PICTURE = b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><path d="M0 0H9V9Z"/></svg>'
LONG = "A flute with the longest of names, and Donaudampfschifffahrtsgesellschaftskapitän in it"
TAP = """(() => {
  const connect = AudioNode.prototype.connect;
  AudioNode.prototype.connect = function (to, ...rest) {
    if (to === to.context.destination && to.context instanceof AudioContext) {
      window.heard = to.context.createAnalyser();
      heard.fftSize = 16384;
      connect.call(this, heard);
    }
    return connect.call(this, to, ...rest);
  };
})()"""
SAMPLES = (
    "(() => {const s = new Float32Array(16384); heard.getFloatTimeDomainData(s); return Array.from(s)})()"
)
LOUDEST = """(() => {const s = new Float32Array(4096); heard.getFloatTimeDomainData(s.subarray(0));
  return Math.max(...s.map(Math.abs))})()"""
SOUNDING = "[...document.querySelectorAll('.card')].findIndex(c => c.getAttribute('aria-pressed') === 'true')"
FITS = """(() => {
  const wrong = [], box = e => e.getBoundingClientRect(), wide = innerWidth;
  if (document.scrollingElement.scrollWidth > wide) wrong.push("wider than the window");
  const seen = e => box(e).width > 0 && !e.closest(".unseen") && getComputedStyle(e).visibility !== "hidden";
  for (const e of document.querySelectorAll("h1, h2, p, li, button, header *, .whole, .whole text, .keys *"))
    if (seen(e) && !e.closest(".loud span") && (box(e).left < -0.5 || box(e).right > wide + 0.5))
      wrong.push("outside: " + e.outerHTML.slice(0, 80));
  const apart = (all, what) => all.forEach((a, i) => all.slice(i + 1).forEach(b => {
    const [p, q] = [box(a), box(b)];
    if (p.left < q.right - 0.5 && q.left < p.right - 0.5 && p.top < q.bottom - 0.5 && q.top < p.bottom - 0.5)
      wrong.push(what + " overlap: " + a.textContent + " / " + b.textContent);
  }));
  const cards = [...document.querySelectorAll(".card")];
  apart(cards, "cards");
  apart([...document.querySelectorAll(".whole text")], "labels");
  apart([...document.querySelectorAll(".player button, .player input, .who")].filter(seen), "head");
  apart([...document.querySelectorAll(".keys li")], "keys");
  for (const card of cards) {
    apart([...card.querySelectorAll(".staff, .name, .way, .or")], "in a card");
    for (const e of card.querySelectorAll(".staff, .name, .way, .or"))
      if (box(e).left < box(card).left || box(e).right > box(card).right || box(e).bottom > box(card).bottom)
        wrong.push("out of its card: " + card.textContent);
  }
  for (const e of document.querySelectorAll("button, input"))
    if (seen(e) && (box(e).height < 43 || box(e).width < 43))
      wrong.push("small to touch: " + e.outerHTML.slice(0, 80));
  return wrong;
})()"""


@cache
def chart(name: str) -> Chart:
    design = scaledesign.load(EXAMPLES / f"{name}.toml")
    held = chart_of(design, scaledesign.predict(design))
    low, high = held.notes[0], held.notes[2]
    moving = tuple(
        hole.finger
        for hole, a, b in zip(held.holes, low.ways[0].states, high.ways[0].states, strict=True)
        if a != b
    )
    trill = ChartTrill(low.note, high.note, low.ways[0].states, high.ways[0].states, 1, moving)
    return replace(held, trills=(trill,))


class Shown:
    """The browser, and the chart it shows."""

    def __init__(self, page: Page, folder: Path) -> None:
        self.page, self.folder = page, folder

    async def show(self, held: Chart, **choices: Any) -> None:
        file = self.folder / "chart.html"
        file.write_bytes(
            web_page(held, replace(PaperChoices(maker="Alder & Reed", picture=PICTURE), **choices))
        )
        await self.page.open("about:blank")
        self.page.asked_for.clear()
        await self.page.open(file.as_uri())
        await self.page.until(
            "document.readyState === 'complete' && document.querySelectorAll('h1').length === 1"
        )

    async def size(self, width: int, height: int) -> None:
        await self.page.tell(
            "Emulation.setDeviceMetricsOverride",
            width=width,
            height=height,
            deviceScaleFactor=1,
            mobile=width < 900,
        )

    async def touch(self, selector: str) -> None:
        """Press where it is."""
        await self.page.run(
            f"document.querySelector({json.dumps(selector)}).scrollIntoView({{block: 'center'}})"
        )
        x, y = await self.page.run(
            f"(b => [b.left + b.width / 2, b.top + b.height / 2])"
            f"(document.querySelector({json.dumps(selector)}).getBoundingClientRect())"
        )
        for kind in ("mousePressed", "mouseReleased"):
            await self.page.tell("Input.dispatchMouseEvent", type=kind, x=x, y=y, button="left", clickCount=1)

    async def heard(self) -> float:
        """Hz of what has sounded steadily for half a second."""
        begun = await self.page.run("heard.context.currentTime")
        await self.page.until(f"heard.context.currentTime > {begun + 0.55}")
        return fundamental(await self.page.run(SAMPLES), await self.page.run("heard.context.sampleRate"))

    async def until_silent(self) -> None:
        await self.page.until(f"{LOUDEST} < 1e-4")

    async def note(self) -> str:
        """The name that has the focus."""
        found: str = await self.page.run("document.activeElement.querySelector('.name')?.textContent ?? ''")
        return found


def fundamental(samples: list[float], rate: float) -> float:
    """Hz of the strongest partial: the top of a parabola through a finely drawn spectrum's peak."""
    sound = np.array(samples)
    assert np.max(np.abs(sound)) > 0.02
    spectrum = np.log(np.abs(np.fft.rfft(sound * np.hanning(len(sound)), 8 * len(sound))) + 1e-12)
    top = int(np.argmax(spectrum))
    before, at, after = spectrum[top - 1 : top + 2]
    return float((top + 0.5 * (before - after) / (before - 2 * at + after)) * rate / (8 * len(sound)))


def cents(heard: float, wanted: float) -> float:
    return 1200 * abs(log2(heard / wanted))


@pytest_asyncio.fixture(scope="module", loop_scope="module")
async def shown(tmp_path_factory: pytest.TempPathFactory) -> AsyncIterator[Shown]:
    async with chromium(tmp_path_factory.mktemp("browser")) as page:
        await page.tell("Log.enable")
        await page.tell("Page.addScriptToEvaluateOnNewDocument", source=TAP)
        yield Shown(page, tmp_path_factory.mktemp("sent"))
        assert page.faults == []


async def test_it_asks_for_nothing_and_is_silent_until_touched(shown: Shown) -> None:
    await shown.page.tell(
        "Network.emulateNetworkConditions", offline=True, latency=0, downloadThroughput=0, uploadThroughput=0
    )
    await shown.show(chart("dust-lark"))
    others = [address for address in shown.page.asked_for if not address.startswith(("file:", "data:image/"))]
    assert others == []
    assert len([address for address in shown.page.asked_for if address.startswith("file:")]) == 1
    assert await shown.page.run("typeof heard") == "undefined"
    assert await shown.page.run("document.querySelector('.mark').naturalWidth") > 0


async def test_a_note_sounds_at_its_pitch_until_it_is_touched_again(shown: Shown) -> None:
    await shown.show(held := chart("dust-lark"))
    await shown.touch("li:nth-child(3) > .note")
    assert await shown.page.run(SOUNDING) == 2
    assert cents(await shown.heard(), held.notes[2].frequency) < 1
    await shown.touch("li:nth-child(4) > .note")  # another one takes its place
    assert await shown.page.run(SOUNDING) == 3
    assert cents(await shown.heard(), held.notes[3].frequency) < 1
    await shown.touch("li:nth-child(4) > .note")
    assert await shown.page.run(SOUNDING) == -1
    await shown.until_silent()


async def test_a_sleeping_loudspeaker_wakes(shown: Shown) -> None:
    await shown.show(chart("dust-lark"), trills=True)
    await shown.touch(".note")
    await shown.page.until(f"{LOUDEST} > 0.02")
    await shown.page.press("Escape", 27)
    await shown.page.run("heard.context.suspend()")
    await shown.touch(".note")
    await shown.page.until(f"heard.context.state === 'running' && {LOUDEST} > 0.02")
    await shown.page.press("Escape", 27)
    await shown.until_silent()


async def test_every_note_is_in_tune_and_soft_at_both_ends(shown: Shown) -> None:
    await shown.show(chart("dust-lark"), trills=True)
    rendered = await shown.page.run(
        """(async () => {
          const made = [];
          for (const note of document.querySelectorAll("li:nth-child(3n + 1) > .note")) {
            const context = new OfflineAudioContext(1, 2 * 22050, 22050);
            chart.voice(context, context.destination, Number(note.dataset.hz), 0)(1.3);
            const samples = (await context.startRendering()).getChannelData(0);
            made.push(Array.from(samples, x => Math.round(x * 1e6) / 1e6));
          }
          return made;
        })()"""
    )
    notes = chart("dust-lark").notes
    for samples, note in zip(rendered, (*notes[:11:3], *notes[11::3]), strict=True):
        assert cents(fundamental(samples[8192 : 8192 + 16384], 22050), note.frequency) < 0.2
        assert max(map(abs, samples)) < 1
        steady = max(map(abs, samples[8192:24576]))
        assert max(map(abs, samples[:66])) < 0.1 * steady  # the first 3 ms
        assert max(map(abs, samples[int(1.75 * 22050) :])) < 1e-3 * steady


async def test_keys_move_play_and_stop(shown: Shown) -> None:
    await shown.show(chart("dust-lark"), trills=True)
    page = shown.page
    await shown.size(1280, 900)
    await page.run("document.querySelector('.note').focus()")
    await page.press("ArrowRight", 39)
    assert await shown.note() == "A♭4"
    await page.press("Enter", 13, "\r")
    assert await page.run(SOUNDING) == 1
    await page.press("Tab", 9)
    assert await shown.note() == "A4"
    await page.press(" ", 32, " ")
    assert await page.run(SOUNDING) == 2
    await page.press("Escape", 27)
    assert await page.run(SOUNDING) == -1
    await page.press("d", 68, "d")
    assert await shown.note() == "D♭5"
    await page.press("d", 68, "d")
    assert await shown.note() == "D5"
    await page.press("End", 35)
    assert await shown.note() == "G4 – A4"
    await page.press("Home", 36)
    assert await shown.note() == "G4"
    below = "document.activeElement.getBoundingClientRect()"
    left, top = await page.run(f"[{below}.left, {below}.top]")
    await page.press("ArrowDown", 40)
    assert await page.run(f"{below}.left") == left
    assert await page.run(f"{below}.top") != top
    await page.press("ArrowUp", 38)
    assert await shown.note() == "G4"
    assert await page.run("getComputedStyle(document.activeElement).outlineWidth") == "3px"


async def test_the_scale_goes_up_and_a_trill_goes_to_and_fro(shown: Shown) -> None:
    await shown.show(chart("dust-lark"), trills=True)
    page = shown.page
    await shown.touch("#scale")
    await page.until(f"{SOUNDING} === 2")  # G, then A: what lies between is passed over
    assert await page.run("document.querySelector('#scale').getAttribute('aria-pressed')") == "true"
    await shown.touch("#scale")
    assert await page.run(SOUNDING) == -1
    await shown.until_silent()
    await shown.touch(".pair")
    await page.until(f"{LOUDEST} > 0.02")
    await page.press("Escape", 27)
    await shown.until_silent()


async def test_the_drone_stays_under_a_note(shown: Shown) -> None:
    await shown.show(chart("dust-lark"), trills=True)
    page = shown.page
    await shown.touch("#drone")
    await shown.touch(".note")
    await shown.touch(".note")
    assert await page.run("document.querySelector('#drone').getAttribute('aria-pressed')") == "true"
    assert cents(await shown.heard(), 391.9954) < 1
    await page.run("volume.value = 0, volume.dispatchEvent(new Event('input')), 0")
    await shown.until_silent()
    await page.press("Escape", 27)
    assert await page.run("document.querySelector('#drone').getAttribute('aria-pressed')") == "false"


async def test_it_reads_in_words(shown: Shown) -> None:
    await shown.show(chart("dust-lark"), trills=True)
    nodes = (await shown.page.tell("Accessibility.getFullAXTree"))["nodes"]
    said = [
        (node["role"]["value"], node.get("name", {}).get("value", ""))
        for node in nodes
        if not node["ignored"] and "role" in node
    ]
    words = dict.fromkeys(said)
    assert ("RootWebArea", "Dust lark: fingering chart") in words
    assert ("heading", "Dust lark") in words
    assert ("heading", "First register blow gently") in words
    assert ("button", "G 4. All holes closed; blow gently.") in words
    assert ("button", "Play the scale, up and down") in words
    assert ("slider", "Volume") in words
    flute = "Finger holes: one for the thumb, 3 for the upper hand, 3 for the lower hand."
    assert ("image", f"The flute, mouth to the left. {flute}") in words
    assert ("image", "Alder & Reed") in words
    buttons = [name for role, name in said if role == "button"]
    assert len(buttons) == len(set(buttons)) == 15 + 1 + 2
    assert ("list", "") in words


@pytest.mark.parametrize("large", [False, True])
async def test_it_fits_every_window(shown: Shown, large: bool) -> None:
    for held in (chart("dust-lark"), replace(chart("reed-bunting"), name=LONG)):
        await shown.show(held, large=large, trills=True, names="italian")
        for width, height in ((320, 568), (360, 740), (390, 844), (844, 390), (768, 1024), (1280, 800)):
            await shown.size(width, height)
            assert (width, height, await shown.page.run(FITS)) == (width, height, [])


async def test_dark_print_and_no_script(shown: Shown) -> None:
    page = shown.page
    await shown.show(chart("dust-lark"))
    colours = "(s => [s.backgroundColor, s.color])(getComputedStyle(document.body))"
    await page.tell(
        "Emulation.setEmulatedMedia", features=[{"name": "prefers-color-scheme", "value": "dark"}]
    )
    assert await page.run(colours) == ["rgb(24, 22, 19)", "rgb(242, 236, 225)"]
    assert await page.run("getComputedStyle(document.querySelector('.shut')).fill") == "rgb(242, 236, 225)"
    await page.tell("Emulation.setEmulatedMedia", media="print")
    assert await page.run(colours) == ["rgb(255, 255, 255)", "rgb(0, 0, 0)"]
    assert await page.run("getComputedStyle(player).display") == "none"
    assert await page.run("getComputedStyle(document.querySelector('header')).position") == "static"
    await page.tell("Emulation.setEmulatedMedia", media="", features=[])
    await page.tell("Emulation.setScriptExecutionDisabled", value=True)
    await shown.show(chart("marsh-wren"))
    assert await page.run("document.querySelectorAll('.note .way').length") == 15
    assert await page.run("getComputedStyle(document.querySelector('#player')).display") == "none"
    await page.tell("Emulation.setScriptExecutionDisabled", value=False)
