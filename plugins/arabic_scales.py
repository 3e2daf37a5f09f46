"""Arabic scales as A. J. Ellis printed them in 1885, step by step in cents, and later quarter-tone modes.

Ellis: On the musical scales of various nations, Journal of the Society of Arts 33, 1885, from written theory,
as given in J. McBride, S. Passmore and T. Tlusty, PLoS ONE 18(12) e0284851, 2023; names as that database
spells them. The first are the older theory, in steps of 204, 180, 114 and 90 cents; the others are in quarter
tones.

The modes after those are written in the quarter tones that the Cairo congress of 1932 took as its reference,
from memory; players shade them, and where they put the middle third differs from town to town.
"""

from itertools import accumulate

from scaledesign.api import RegisterScale, Scale, hookimpl

ELLIS = (
    "A. J. Ellis, On the musical scales of various nations, 1885, from written theory, "
    "in J. McBride, S. Passmore, T. Tlusty, PLoS ONE 18(12) e0284851, 2023, row {}"
)
CONGRESS = "quarter-tone modes as written since the Cairo congress of Arab music, 1932 (from memory)"


@hookimpl
def register_scales(register: RegisterScale) -> None:
    """Offer Ellis's in his order, then the modes in quarter tones."""
    for name, row, steps, words in (
        ("ochaq", "T0353", "204 204 90 204 204 90 204", "Mixolydian of pure fifths: wide thirds."),
        ("nawa", "T0354", "204 90 204 204 204 90 204", "Dorian of pure fifths: a narrow minor third."),
        ("bousilik", "T0355", "90 204 204 90 204 204 204", "Locrian of pure fifths: every half step narrow."),
        ("rast", "T0356", "204 180 114 204 180 114 204", "Mixolydian, its third and sixth nearly pure."),
        ("iraq", "T0357", "180 204 114 180 204 114 204", "Rast with a low second and a low fifth."),
        ("irfahan", "T0359", "180 204 114 204 180 114 204", "Rast with a low second; its fifth is pure."),
        ("zenkouleh", "T0363", "204 180 114 180 204 114 204", "Rast with a low fifth; its second is high."),
        ("rahawi", "T0364", "180 204 114 180 114 204 204", "Major third over a low second; dark above."),
        ("ilhosaini", "T0365", "180 114 204 180 228 90 204", "Dorian, second and fifth low, sixth high."),
        ("ilhidjazi", "T0366", "180 114 204 180 204 114 204", "Dorian, second and fifth low, sixth pure."),
        (
            "shed araban",
            "T0367",
            "100 100 200 100 200 100 200 200",
            "Eight notes, two half steps from the tonic.",
        ),
        ("araq", "T0368", "350 150 200 150 150 200", "Six notes over a third between major and minor."),
        ("araq zemzemy", "T0369", "200 100 200 200 150 150 200", "Minor, its sixth between major and minor."),
        ("remel", "T0371", "200 150 150 200 150 100 150 100", "Eight notes, middle third, crowded above."),
        ("nikriz", "T0372", "200 300 200 150 250 100", "Six notes without a third; a middle sixth."),
        ("sadhkar el muta'arif", "T0375", "200 150 150 200 200 100 200", "Mixolydian with a middle third."),
        (
            "shawerk of the egyptians",
            "T0377",
            "300 200 200 150 150 200",
            "Pentatonic minor and a middle sixth.",
        ),
    ):
        cents = tuple(accumulate(map(float, steps.split()[:-1]), initial=0.0))
        register(Scale(name, cents, source=ELLIS.format(row), words=words, kind="Arabic, Ellis 1885"))
    for name, cents, words in (
        (
            "quarter-tone rast",
            (0, 200, 350, 500, 700, 900, 1050),
            "Third and seventh between major and minor: the home of Arabic music, and of many a nay.",
        ),
        (
            "quarter-tone husayni",
            (0, 150, 300, 500, 700, 850, 1000),
            "Rast begun on its second note: minor with second and sixth in the middle.",
        ),
        (
            "quarter-tone sikah",
            (0, 150, 350, 550, 700, 850, 1050),
            "Rast begun on its third note: nothing whole above the tonic but the fifth.",
        ),
        (
            "quarter-tone bayati",
            (0, 150, 300, 500, 700, 800, 1000),
            "Minor with a second between whole and half: the commonest mode of song.",
        ),
        (
            "quarter-tone huzam",
            (0, 150, 350, 450, 750, 850, 1050),
            "Sikah with a wide step above its fourth: prayerful.",
        ),
        (
            "quarter-tone saba",
            (0, 150, 300, 400, 700, 800, 1000),
            "Bayati with a lowered fourth: grief.",
        ),
    ):
        register(Scale(name, cents, source=CONGRESS, words=words, kind="quarter tones"))
