"""Scales of six notes, equal-tempered: a flute with six holes plays them without a cross-fingering.

Apart from the blues scales, whose steps are published (``scales/``). Steps: common practice, no source.
"""

from scaledesign.api import RegisterScale, Scale, hookimpl

SOURCE = "common practice, no source; equal-tempered"


@hookimpl
def register_scales(register: RegisterScale) -> None:
    """Offer them."""
    for name, cents, source, words in (
        (
            "minor hexatonic",
            (0, 200, 300, 500, 700, 1000),
            SOURCE,
            "Minor without a sixth, so neither dorian nor minor: very many folk tunes.",
        ),
        (
            "major hexatonic",
            (0, 200, 400, 500, 700, 900),
            SOURCE,
            "Major without a seventh, so nothing leads or lags: songs and hymns.",
        ),
        (
            "prometheus",
            (0, 200, 400, 600, 900, 1000),
            "A. N. Scriabin, Prometheus, 1910 (from memory); equal-tempered",
            "Whole steps and one gap, close to overtones 8 to 14: glowing and still.",
        ),
    ):
        register(Scale(name, cents, source=source, words=words, kind="six notes"))
