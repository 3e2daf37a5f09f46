"""Scales of five notes, equal-tempered: the Chinese modes, the koto tunings' neighbours, some ragas.

Steps of the five Chinese modes: Ho Lu-Ting and Han Kuo-huang 1982; ryo, ritsu and minyo are the same steps in
Hewitt 2013; both as given in J. McBride, S. Passmore and T. Tlusty, PLoS ONE 18(12) e0284851, 2023. Each mode
is the one before, begun one note higher. The steps of the others are common practice without a source; what
they and their neighbours are called in India is from memory.
"""

from scaledesign.api import RegisterScale, Scale, hookimpl

SOURCE = "Ho & Han 1982, in McBride, Passmore & Tlusty 2023, PLoS ONE 18(12) e0284851, row {}; equal-tempered"
COMMON = "common practice, no source; equal-tempered"
RAGA = "name and steps of the raga from memory; equal-tempered"


@hookimpl
def register_scales(register: RegisterScale) -> None:
    """Offer the five modes, the minor one first, then the rest, bright to dark."""
    for name, cents, also, source, words in (
        (
            "pentatonic minor",
            (0, 300, 500, 700, 1000),
            ("yu", "minyo", "dhani"),
            SOURCE.format("T0341"),
            "Five notes, dark and open, no semitones; the usual scale of slow-air-chamber flutes.",
        ),
        (
            "pentatonic major",
            (0, 200, 400, 700, 900),
            ("gong", "ryo", "bhupali"),
            SOURCE.format("T0337"),
            "The same five notes from the second one: bright, no semitones.",
        ),
        (
            "pentatonic shang",
            (0, 200, 500, 700, 1000),
            ("shang", "suspended pentatonic", "megh"),
            SOURCE.format("T0338"),
            "Five notes without a third, neither major nor minor: fourth and fifth over the tonic.",
        ),
        (
            "pentatonic jue",
            (0, 300, 500, 800, 1000),
            ("jue", "malkauns"),
            SOURCE.format("T0339"),
            "Five notes with minor third and sixth and no fifth: unsettled.",
        ),
        (
            "pentatonic zhi",
            (0, 200, 500, 700, 900),
            ("zhi", "ritsu", "durga"),
            SOURCE.format("T0340"),
            "Five notes with a fourth instead of a third and a major sixth: calm, folk-like.",
        ),
        (
            "hamsadhvani",
            (0, 200, 400, 700, 1100),
            (),
            RAGA,
            "Pentatonic major with a seventh that leads home instead of the sixth: festive.",
        ),
        (
            "dominant pentatonic",
            (0, 200, 400, 700, 1000),
            (),
            COMMON,
            "Pentatonic major with a low seventh: bright, and it never quite comes to rest.",
        ),
        (
            "kumoi",
            (0, 200, 300, 700, 900),
            ("shivaranjani",),
            COMMON,
            "Pentatonic major with a minor third: wistful.",
        ),
        (
            "dorian pentatonic",
            (0, 300, 500, 700, 900),
            (),
            COMMON,
            "Pentatonic minor with a major sixth: dark, with one lighter note on top.",
        ),
        (
            "in sen",
            (0, 100, 500, 700, 1000),
            (),
            COMMON,
            "Five notes that begin with a half step: shakuhachi and koto players know its colour.",
        ),
    ):
        register(Scale(name, cents, source=source, words=words, also=also, kind="five notes"))
