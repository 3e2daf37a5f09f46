"""A library that comes when it is used: once, whole, and for every thread that asks."""

from __future__ import annotations

import subprocess
import sys

PROGRAM = """
import sys, threading
from scaledesign.later import later

later("fractions")
import fractions
waiting = fractions
assert sys.modules["fractions"] is waiting and "Fraction" not in vars(waiting)
found = []
threads = [threading.Thread(target=lambda: found.append(waiting.Fraction(1, 2))) for _ in range(20)]
[thread.start() for thread in threads]
[thread.join() for thread in threads]
import fractions
assert len(found) == 20 and {type(one) for one in found} == {fractions.Fraction}
assert fractions is not waiting and waiting.Fraction is fractions.Fraction
try:
    waiting.nothing
except AttributeError as error:
    print(error)
later("fractions")
assert sys.modules["fractions"] is fractions
"""


def test_a_library_comes_when_it_is_used() -> None:
    run = subprocess.run([sys.executable, "-c", PROGRAM], capture_output=True, text=True, check=False)
    assert run.stderr == ""
    assert "nothing" in run.stdout


def test_a_part_of_the_library_brings_it_too() -> None:
    program = (
        "import sys; from scaledesign.later import later; later('xml'); later('numpy')\n"
        "from numpy.typing import NDArray\nimport numpy as np\nprint(np.zeros(2), NDArray is not None)"
    )
    run = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert run.stdout.split() == ["[0.", "0.]", "True"]
