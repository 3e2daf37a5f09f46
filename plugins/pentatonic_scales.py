"""Pentatonic minor and its four other modes, equal-tempered.

Steps of the five Chinese modes: Ho Lu-Ting and Han Kuo-huang 1982, as given in J. McBride, S. Passmore and
T. Tlusty, PLoS ONE 18(12) e0284851, 2023. Each is the one before, begun one note higher.
"""

from scaledesign.api import RegisterScale, Scale, hookimpl

SOURCE = "Ho & Han 1982, in McBride, Passmore & Tlusty 2023, PLoS ONE 18(12) e0284851; equal-tempered"


@hookimpl
def register_scales(register: RegisterScale) -> None:
    """Offer the five modes, the minor one first."""
    for name, cents, also, words in (
        (
            "pentatonic minor",
            (0, 300, 500, 700, 1000),
            ("yu",),
            "Five notes, dark and open, no semitones; the usual scale of slow-air-chamber flutes.",
        ),
        (
            "pentatonic major",
            (0, 200, 400, 700, 900),
            ("gong",),
            "The same five notes from the second one: bright, no semitones.",
        ),
        (
            "pentatonic shang",
            (0, 200, 500, 700, 1000),
            ("shang", "suspended pentatonic"),
            "Five notes without a third, neither major nor minor: fourth and fifth over the tonic.",
        ),
        (
            "pentatonic jue",
            (0, 300, 500, 800, 1000),
            ("jue",),
            "Five notes with minor third and sixth and no fifth: unsettled.",
        ),
        (
            "pentatonic zhi",
            (0, 200, 500, 700, 900),
            ("zhi",),
            "Five notes with a fourth instead of a third and a major sixth: calm, folk-like.",
        ),
    ):
        register(Scale(name, cents, source=SOURCE, words=words, also=also))
