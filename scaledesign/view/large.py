"""Letters three lines tall, for the few numbers that are read from the drill at arm's length.

Drawn by hand on five lines of points, two points a cell by half blocks; apart from what is written with them.
A screen without half blocks gets the text as it is.
"""

from __future__ import annotations

from scaledesign.view.lines import Signs

HEIGHT = 3
"""Lines of a screen."""
_DRAWN = {
    "0": "### #.# #.# #.# ###", "1": ".#. ##. .#. .#. ###", "2": "### ..# ### #.. ###",
    "3": "### ..# ### ..# ###", "4": "#.# #.# ### ..# ..#", "5": "### #.. ### ..# ###",
    "6": "### #.. ### #.# ###", "7": "### ..# .#. .#. .#.", "8": "### #.# ### #.# ###",
    "9": "### #.# ### ..# ###",
    "A": ".#. #.# ### #.# #.#", "B": "##. #.# ##. #.# ##.", "C": "### #.. #.. #.. ###",
    "D": "##. #.# #.# #.# ##.", "E": "### #.. ##. #.. ###", "F": "### #.. ##. #.. #..",
    "G": "### #.. #.# #.# ###", "H": "#.# #.# ### #.# #.#", "I": "### .#. .#. .#. ###",
    "J": "..# ..# ..# #.# ###", "K": "#.# #.# ##. #.# #.#", "L": "#.. #.. #.. #.. ###",
    "M": "#...# ##.## #.#.# #...# #...#", "N": "#..# ##.# #.## #..# #..#", "O": "### #.# #.# #.# ###",
    "P": "### #.# ### #.. #..", "Q": "### #.# #.# ### ..#", "R": "##. #.# ##. #.# #.#",
    "S": ".## #.. .#. ..# ##.", "T": "### .#. .#. .#. .#.", "U": "#.# #.# #.# #.# ###",
    "V": "#.# #.# #.# #.# .#.", "W": "#...# #...# #.#.# ##.## #...#", "X": "#.# #.# .#. #.# #.#",
    "Y": "#.# #.# .#. .#. .#.", "Z": "### ..# .#. #.. ###",
    "b": "#.. #.. ##. #.# ##.", "o": "... ... ### #.# ###",
    "#": ".#.#. ##### .#.#. ##### .#.#.", "+": "... .#. ### .#. ...", "-": "... ... ### ... ...",
    ".": ". . . . #", "/": "..# ..# .#. #.. #..", " ": ". . . . .",
}  # fmt: skip
_HALVES = {"..": " ", "#.": "▀", ".#": "▄", "##": "█"}


def can_be_large(text: str, signs: Signs) -> bool:
    """Whether every letter of it is drawn, on a screen that has half blocks."""
    return bool(signs.parts) and all(letter in _DRAWN for letter in text)


def large(text: str) -> tuple[str, ...]:
    """``HEIGHT`` lines, all of one width, a blank between letters; every letter must be one of those drawn.

    Raises
    ------
    KeyError
    """
    rows = [""] * 6
    for letter in text:
        for row, points in enumerate((*_DRAWN[letter].split(" "), "")):
            width = len(_DRAWN[letter].split(" ", 1)[0])
            rows[row] += points.ljust(width, ".") + "."
    pairs = zip(rows[::2], rows[1::2], strict=True)
    lines = ("".join(_HALVES[a + b] for a, b in zip(top, low, strict=True)) for top, low in pairs)
    return tuple(line[:-1] for line in lines)
