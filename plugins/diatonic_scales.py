"""The seven diatonic modes and all twelve semitones, equal-tempered.

Steps: common practice, no source; the tests hold the spelling against music21's scales. What the modes are
called in north India is from memory. Scales with an altered step are in ``minor_scales.py``.
"""

from scaledesign.api import EQUAL, RegisterScale, Scale, hookimpl

SOURCE = "common practice, no source; equal-tempered"


@hookimpl
def register_scales(register: RegisterScale) -> None:
    """Offer them, bright to dark, the chromatic scale last."""
    for name, cents, also, words in (
        (
            "lydian",
            (0, 200, 400, 600, 700, 900, 1100),
            ("kalyan",),
            "Major with a raised fourth: the brightest mode.",
        ),
        ("major", (0, 200, 400, 500, 700, 900, 1100), ("ionian", "bilaval"), "The everyday major scale."),
        (
            "mixolydian",
            (0, 200, 400, 500, 700, 900, 1000),
            ("khamaj",),
            "Major with a lowered seventh: pipe tunes and many reels.",
        ),
        (
            "dorian",
            (0, 200, 300, 500, 700, 900, 1000),
            ("kafi",),
            "Minor with a major sixth: many folk tunes.",
        ),
        (
            "minor",
            (0, 200, 300, 500, 700, 800, 1000),
            ("natural minor", "aeolian", "asavari"),
            "The natural minor scale.",
        ),
        (
            "phrygian",
            (0, 100, 300, 500, 700, 800, 1000),
            ("bhairavi",),
            "Minor with a lowered second: Spanish colour.",
        ),
        (
            "locrian",
            (0, 100, 300, 500, 600, 800, 1000),
            (),
            "Minor with lowered second and fifth: the darkest mode, without a resting place.",
        ),
    ):
        register(Scale(name, cents, source=SOURCE, words=words, also=also, kind="modes"))
    register(EQUAL)
