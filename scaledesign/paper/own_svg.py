"""How much an SVG draws, counted before anything draws it.

Apart from the pictures of dots (``own_picture.py``), whose size stands at their head. An SVG is a program: a
few lines that refer to each other draw more than there is time for, and what is nested too deeply ends the
press and us with it. Counted are parts, each as often as it is drawn; what goes round in a circle the press
leaves out, and so do we. A shade of colours counts nothing.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any
from xml.etree.ElementTree import Element, ParseError, XMLPullParser

LARGEST = 3_000_000
"""Bytes of an SVG."""
MOST_PARTS, MOST_DRAWN, MOST_DEEP, MOST_SIGNS = 20_000, 100_000, 100, 20_000
"""Parts in it, parts that are drawn, how deep they are nested, and signs of its texts."""
_BLOCK = 1 << 14
_LINK = re.compile(r"url\(\s*[\"']?#([^\"')\s]+)")
_POINT = re.compile(r"[A-Za-z]|[0-9.]+")


class TooMuchError(ValueError):
    """An SVG that would take too long; the text says what is too much of it."""


def parsed(svg: bytes) -> Element:
    """The outermost element, once it is known that all of it can be drawn in bounded time.

    Raises
    ------
    TooMuchError
    ParseError, LookupError, ValueError : it is no XML, or in an encoding that nobody knows
    """
    if len(svg) > LARGEST:
        raise TooMuchError(f"has {len(svg) / 1e6:.0f} MB")
    if b"<!ENTITY" in svg or b"<\x00!\x00E\x00N\x00T\x00I\x00T\x00Y" in svg:
        raise TooMuchError("is written with abbreviations of its own")
    root = _within_bounds(svg)
    if sum(len(text) for element in root.iter() for text in _texts(element)) > MOST_SIGNS:
        raise TooMuchError("has too much text in it")
    if _Count(root).of(root) > MOST_DRAWN:
        raise TooMuchError("draws the same thing over and over")
    return root


def _within_bounds(svg: bytes) -> Element:
    """The outermost element of a text that has not too many parts, nor any too deep in it."""
    parser: Any = XMLPullParser(("start", "end"))  # what it reads is a pair of an event and an element
    root: Element | None = None
    depth = many = 0
    for place in range(0, len(svg), _BLOCK):
        parser.feed(svg[place : place + _BLOCK])
        for event, element in parser.read_events():
            root = element if root is None else root
            depth += 1 if event == "start" else -1
            many += 1
            if depth > MOST_DEEP:
                raise TooMuchError("is nested too deeply")
            if many > 2 * MOST_PARTS:
                raise TooMuchError(f"has more than {MOST_PARTS} parts")
    parser.close()
    if root is None:
        raise ParseError
    return root


def _texts(element: Element) -> Iterator[str]:
    """What it shows as text."""
    if _name(element) in ("text", "tspan", "textPath", "tref"):
        yield from (element.text or "", element.tail or "")


def _name(element: Element) -> str:
    return str(element.tag).rpartition("}")[2]


class _Count:
    """Counts parts as often as they are drawn, up to the most that is allowed."""

    def __init__(self, root: Element) -> None:
        self._named = {element.get("id"): element for element in root.iter() if element.get("id")}
        styles = " ".join(element.text or "" for element in root.iter() if _name(element) == "style")
        if len(styles) > MOST_SIGNS:
            raise TooMuchError("has too long a list of styles")
        if "marker" in styles:
            raise TooMuchError("has marks along its lines")
        links = set(_LINK.findall(styles))
        self._by_style = {
            element
            for name, element in self._named.items()
            if name in links and not _name(element).endswith("Gradient")
        }
        self._known: dict[Element, float] = {}
        self._open: set[Element] = set()
        self._deep = 0

    def of(self, element: Element) -> float:
        """How many parts an element draws."""
        if element in self._open:
            return 0.0
        if element not in self._known:
            if self._deep > 2 * MOST_DEEP:
                raise TooMuchError("refers from part to part too often")
            if _name(element).endswith("Gradient"):
                return 0.0
            self._open.add(element)
            self._deep += 1
            count = 1.0 + sum(map(self.of, element))
            for other, times in self._referred(element):
                count += times * self.of(other)
            self._deep -= 1
            self._open.discard(element)
            self._known[element] = min(count, 1e12)
        return self._known[element]

    def _referred(self, element: Element) -> Iterator[tuple[Element, float]]:
        """What an element draws besides what is in it, and how often."""
        points = 1.0
        if any("marker" in text for pair in element.items() for text in pair):
            points += len(_POINT.findall(element.get("d") or element.get("points") or ""))
        for key, value in element.items():
            plain = value.strip()
            whole = key.rpartition("}")[2] == "href" and plain.startswith("#")
            for name in [plain[1:]] if whole else _LINK.findall(plain):
                if name in self._named:
                    yield self._named[name], points
        if element.get("class"):
            yield from ((other, points) for other in self._by_style)
