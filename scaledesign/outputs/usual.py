"""What is chosen where nobody says otherwise: the maker's settings, and the paper of the place.

Apart because command line and grid begin with the same choices. An option of a command or an answer in the
grid then takes the place of one of them.
"""

from __future__ import annotations

import os
from collections.abc import Collection, Mapping
from pathlib import Path

from scaledesign.errors import EditError
from scaledesign.files.own_files import reason
from scaledesign.files.settings import Settings, load_settings
from scaledesign.outputs.kinds import Form, Kind
from scaledesign.paper.chart.style_words import STYLE_WORDS
from scaledesign.paper.choices import Paper, PaperChoices
from scaledesign.paper.note_names import LANGUAGES

FOLDER: tuple[tuple[Kind, Form], ...] = (
    ("template", "pdf"), ("sheet", "pdf"), ("chart", "pdf"), ("chart", "html"), ("chart", "txt"),
    ("holes", "csv"), ("notes", "musicxml"), ("notes", "mid"),
)  # fmt: skip
"""What is made of a flute where nobody says what."""
LETTER_PLACES = (
    "BZ", "CA", "CL", "CO", "CR", "GT", "MX", "NI", "PA", "PH", "PR", "SV", "US", "VE",
)  # fmt: skip
"""Countries whose usual sheet is letter (ISO 3166 codes; from memory, as the locale data of Unicode has
them). Everywhere else it is A4."""


def settings(actions: Collection[str] = ()) -> tuple[Settings, tuple[str, ...]]:
    """The maker's settings, and a sentence for each thing that is wrong with them; see ``load_settings``."""
    return load_settings(actions, {"names": LANGUAGES, "style": STYLE_WORDS})


def choices(chosen: Settings) -> PaperChoices:
    """What the settings choose of paper, and the usual for the rest.

    Raises
    ------
    EditError
        when their picture cannot be used.
    """
    own, usual = chosen.paper, PaperChoices()
    return PaperChoices(
        paper=own.paper or usual_paper(),
        names=own.names or usual.names,
        style=own.style or usual.style,
        large=usual.large if own.large is None else own.large,
        maker=own.maker,
        picture=picture(Path(own.picture)) if own.picture else b"",
        picture_file=own.picture,
    )


def usual_paper(environment: Mapping[str, str] | None = None) -> Paper:
    """The paper of the country that the environment names, as POSIX has it: LC_ALL, LC_PAPER, then LANG."""
    known = os.environ if environment is None else environment
    place = next((known[name] for name in ("LC_ALL", "LC_PAPER", "LANG") if known.get(name)), "")
    country = place.partition(".")[0].partition("@")[0].partition("_")[2]
    return "letter" if country.upper() in LETTER_PLACES else "a4"


def picture(path: Path) -> bytes:
    """The maker's own picture; whether it can be printed is seen when it is.

    Raises
    ------
    EditError
        when the file cannot be read, or is far too large.
    """
    from scaledesign.paper.own_picture import LARGEST

    try:
        with path.open("rb") as file:
            data = file.read(LARGEST + 1)
    except (OSError, ValueError) as error:
        raise EditError(
            f"the picture {path} cannot be read ({reason(error)})", "check the name and the folder"
        ) from None
    if len(data) > LARGEST:
        raise EditError(f"the picture {path} is larger than {LARGEST / 1e6:.0f} MB", "save it smaller")
    return data
