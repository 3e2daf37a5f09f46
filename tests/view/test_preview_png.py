"""The reader of pictures, held against pillow and against what was packed."""

from __future__ import annotations

import io

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from scaledesign.view import preview_png
from scaledesign.view.preview_png import PictureError, page_of
from tests.view.pages import chunk, packed, page

MODES = {1: "L", 2: "LA", 3: "RGB", 4: "RGBA"}


def samples_of(data: bytes) -> np.ndarray:
    """Samples (height, width, channels) as they are stored, before they become greys."""
    return preview_png._unfiltered(*preview_png._lines(data))


@st.composite
def pictures(draw: st.DrawFn) -> tuple[np.ndarray, np.ndarray]:
    """Samples, and a filter for each line."""
    height, width = draw(st.integers(1, 12)), draw(st.integers(1, 12))
    channels = draw(st.sampled_from((1, 2, 3, 4)))
    seed = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    shape = (height, width, channels)
    few = draw(st.booleans())
    samples = seed.choice([0, 1, 128, 255], shape) if few else seed.integers(0, 256, shape)
    filters = draw(st.lists(st.integers(0, 4), min_size=height, max_size=height))
    return samples.astype(np.uint8), np.array(filters)


@given(pictures())
@settings(max_examples=80, deadline=None)
def test_every_sample_of_every_filter_and_kind_is_read(picture: tuple[np.ndarray, np.ndarray]) -> None:
    samples, filters = picture
    data = packed(samples, filters)
    assert np.array_equal(samples_of(data), samples)
    theirs = np.asarray(Image.open(io.BytesIO(data)).convert(MODES[samples.shape[2]]))
    assert np.array_equal(samples_of(data), theirs.reshape(samples.shape))


@pytest.mark.parametrize("mode", MODES.values())
def test_what_pillow_writes_is_read(mode: str) -> None:
    across, down = np.meshgrid(np.arange(97), np.arange(61))
    smooth = ((across * 2 + down) % 256).astype(np.uint8)
    image = Image.merge("RGBA", [Image.fromarray(smooth)] * 4).convert(mode)
    stored = io.BytesIO()
    image.save(stored, "PNG", optimize=True)
    assert np.array_equal(samples_of(stored.getvalue()).squeeze(), np.asarray(image))


@given(pictures())
@settings(max_examples=40, deadline=None)
def test_a_page_is_how_light_it_is_on_white_paper(picture: tuple[np.ndarray, np.ndarray]) -> None:
    samples, filters = picture
    if samples.shape[2] == 4:
        samples[:, :, :3] = samples[:, :, :1]  # grey as colour, as the press has it
    image = Image.open(io.BytesIO(packed(samples, filters))).convert("RGBA")
    white = Image.new("RGBA", image.size, "white")
    theirs = np.asarray(Image.alpha_composite(white, image).convert("RGB"), float)
    light = theirs @ [0.2126, 0.7152, 0.0722]
    assert np.abs(page_of(packed(samples, filters)) - light).max() <= 1.5


GOOD = page((10, 10, 20, 20))


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"GIF89a", "no PNG"),
        (GOOD[:8], "no head"),
        (GOOD[:60], "damaged"),
        (GOOD.replace(b"IDAT", b"iDAT", 1), "damaged"),
        (GOOD[:8] + chunk(b"IHDR", b"\0\0\0\1\0\0\0\1\x10\0\0\0\0") + GOOD[33:], "another kind"),
        (GOOD[:8] + chunk(b"IHDR", b"\0\0\0\1\0\0\0\1\x08\3\0\0\0") + GOOD[33:], "another kind"),
        (GOOD[:8] + chunk(b"IHDR", b"\0\0\0\1\0\0\0\1\x08\0\0\0\1") + GOOD[33:], "another kind"),
        (GOOD[:8] + chunk(b"IHDR", b"\0\0\0\1\0\0\0\1\x08\0\0\0\0") + GOOD[33:], "not whole"),
    ],
)
def test_what_is_no_page_of_ours_is_refused(data: bytes, said: str) -> None:
    with pytest.raises(PictureError, match=said):
        page_of(data)
