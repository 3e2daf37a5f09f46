"""A sheet read back: its words with their places, and its pixels; mm from the page's upper left corner."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
import pypdfium2

POINT = 25.4 / 72
SIDE, TOP, BOTTOM = 12.0, 10.0, 5.0
"""mm that stay white."""


@dataclass(frozen=True)
class Box:
    """A run of words."""

    page: int
    left: float
    top: float
    right: float
    bottom: float
    text: str

    def overlaps(self, other: Box, by: float = 0.15) -> bool:
        """Whether both cover a common patch that is wider and higher than ``by`` mm."""
        return (
            self.page == other.page
            and min(self.right, other.right) - max(self.left, other.left) > by
            and min(self.bottom, other.bottom) - max(self.top, other.top) > by
        )


@dataclass(frozen=True)
class Read:
    """A document: sizes of its pages in mm, and its words."""

    sizes: tuple[tuple[float, float], ...]
    boxes: tuple[Box, ...]
    words: str
    """All of them, as they run."""

    def text(self, page: int | None = None) -> str:
        """All words, in the order of the document."""
        return "\n".join(box.text for box in self.boxes if page in (None, box.page))


@lru_cache(maxsize=64)
def read(pdf: bytes) -> Read:
    """The words of a PDF."""
    document: Any = pypdfium2.PdfDocument(pdf)
    sizes, boxes, said = [], [], []
    for number in range(len(document)):
        page = document[number]
        width, height = page.get_size()
        sizes.append((width * POINT, height * POINT))
        words = page.get_textpage()
        said.append(words.get_text_range().replace("\xa0", " "))
        for i in range(words.count_rects()):
            left, bottom, right, top = words.get_rect(i)
            text = words.get_text_bounded(left, bottom, right, top).strip()
            boxes.append(
                Box(
                    number,
                    left * POINT,
                    (height - top) * POINT,
                    right * POINT,
                    (height - bottom) * POINT,
                    text,
                )
            )
    return Read(tuple(sizes), tuple(boxes), "\n".join(said))


def faults(document: Read) -> list[str]:
    """Words that overlap, or stand in the margins."""
    found = []
    for page, (width, height) in enumerate(document.sizes):
        boxes = sorted((box for box in document.boxes if box.page == page and box.text), key=lambda b: b.left)
        for i, box in enumerate(boxes):
            if (
                box.left < SIDE - 0.3
                or box.right > width - SIDE + 0.3
                or box.top < TOP
                or box.bottom > height - BOTTOM
            ):
                found.append(f"page {page + 1}: {box.text!r} in the margin")
            for other in boxes[i + 1 :]:
                if other.left >= box.right:
                    break
                if box.overlaps(other):
                    found.append(f"page {page + 1}: {box.text!r} over {other.text!r}")
    return found


def pixels(pdf: bytes, page: int, dots: float) -> np.ndarray[Any, np.dtype[np.float64]]:
    """Darkness 0..1 of a page, ``dots`` an mm."""
    document: Any = pypdfium2.PdfDocument(pdf)
    image = document[page].render(scale=dots * POINT, grayscale=True).to_numpy()
    return 1.0 - np.asarray(image, float).reshape(image.shape[:2]) / 255.0
