"""Minors with a raised step, the scales with a wide step, and the modes made of them; equal-tempered.

Steps and names: common practice, no source; those of todi, marwa and purvi, three of the ten families by
which north Indian ragas are taught, from memory. Apart from the diatonic modes, the white keys begun
elsewhere.
"""

from scaledesign.api import RegisterScale, Scale, hookimpl

SOURCE = "common practice, no source; equal-tempered"
INDIAN = "V. N. Bhatkhande's ten families of ragas (from memory); equal-tempered"


@hookimpl
def register_scales(register: RegisterScale) -> None:
    """Offer them: the minors, their modes, the scales with two wide steps, the Indian ones."""
    for name, steps, also, words in (
        (
            "harmonic minor",
            "0 2 3 5 7 8 11",
            (),
            "Minor with a raised seventh that leads up to the octave.",
        ),
        (
            "melodic minor",
            "0 2 3 5 7 9 11",
            ("jazz minor",),
            "Minor below, major above: rises without the wide step of the harmonic minor.",
        ),
        (
            "phrygian dominant",
            "0 1 4 5 7 8 10",
            ("hijaz", "freygish"),
            "Major third over a half step: klezmer, flamenco and much of the eastern Mediterranean.",
        ),
        (
            "dorian raised fourth",
            "0 2 3 6 7 9 10",
            ("ukrainian dorian", "romanian minor", "misheberakh"),
            "Dorian with a wide step in the middle: Romanian and Ukrainian laments and dances.",
        ),
        (
            "lydian dominant",
            "0 2 4 6 7 9 10",
            ("acoustic scale",),
            "Raised fourth and lowered seventh: near the overtones 8 to 14.",
        ),
        (
            "mixolydian flat sixth",
            "0 2 4 5 7 8 10",
            ("melodic major",),
            "Major below, minor above: warm, and darker toward the octave.",
        ),
        ("dorian flat second", "0 1 3 5 7 9 10", (), "Phrygian with a major sixth: dark below, open above."),
        ("lydian augmented", "0 2 4 6 8 9 11", (), "Four whole steps up from the tonic: weightless."),
        (
            "half-diminished",
            "0 2 3 5 6 8 10",
            ("locrian natural second",),
            "Minor with a lowered fifth: sombre, easier to hold than locrian.",
        ),
        (
            "altered",
            "0 1 3 4 6 8 10",
            ("super locrian",),
            "Every step lowered that can be: jazz players use it to lead home.",
        ),
        (
            "harmonic major",
            "0 2 4 5 7 8 11",
            (),
            "Major with a lowered sixth: bright below, a wide step above.",
        ),
        (
            "double harmonic",
            "0 1 4 5 7 8 11",
            ("bhairav", "byzantine", "arabic major"),
            "A wide step in each half: solemn, known from India to the Balkans.",
        ),
        (
            "hungarian minor",
            "0 2 3 6 7 8 11",
            (),
            "Harmonic minor with a raised fourth: two wide steps, for slow laments.",
        ),
        ("neapolitan minor", "0 1 3 5 7 8 11", (), "Phrygian with a raised seventh that leads home."),
        ("neapolitan major", "0 1 3 5 7 9 11", (), "Whole steps between a half step at either end."),
        (
            "persian",
            "0 1 4 5 6 8 11",
            (),
            "Three half steps round a lowered fifth: the tensest of the family.",
        ),
    ):
        register(_scale(name, steps, also, SOURCE, words))
    for name, steps, words in (
        ("todi", "0 1 3 6 7 8 11", "Low second and third, high fourth: a late-morning raga, pleading."),
        ("marwa", "0 1 4 6 7 9 11", "Low second, high fourth: a sunset raga that leans away from its tonic."),
        ("purvi", "0 1 4 6 7 8 11", "Marwa with a low sixth: an evening raga, grave."),
    ):
        register(_scale(name, steps, (), INDIAN, words))


def _scale(name: str, steps: str, also: tuple[str, ...], source: str, words: str) -> Scale:
    cents = tuple(100.0 * int(step) for step in steps.split())
    return Scale(name, cents, source=source, words=words, also=also, kind="minors and their kin")
