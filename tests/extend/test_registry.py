"""The door: same for all, and what raises, hangs or makes no sense costs itself only."""

from __future__ import annotations

import sys
import textwrap
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from scaledesign import locations
from scaledesign.errors import UnknownNameError
from scaledesign.extend.catalogue import Catalogue, PluginStatus
from scaledesign.extend.registry import catalogue

Write = Callable[[str, str], Path]
Built = Callable[..., Catalogue]
Status = Callable[[Catalogue, str], PluginStatus]

ONE_SCALE = """
    @hookimpl
    def register_scales(register):
        register(Scale({name!r}, (0, 500, 1000)))
"""


def bundled_ok(found: Catalogue) -> bool:
    return all(plugin.ok for plugin in found.plugins() if plugin.origin == "bundled") and bool(
        found.systems()
    )


BROKEN = {
    "a mistake in the text": ("def (", "SyntaxError"),
    "an exception in import": ("1 / 0", "ZeroDivisionError: division by zero"),
    "an exit in import": ("raise SystemExit(3)", "it ends the program, with 3"),
    "a missing library": ("import no_such_library", "No module named 'no_such_library'"),
    "an exception in a hook": (
        "@hookimpl\ndef register_scales(register):\n    raise ValueError('not today')",
        "failed to answer (ValueError: not today)",
    ),
    "no hook": ("x = 1", "has no hook"),
    "a misspelt hook": ("@hookimpl\ndef register_scale(register): pass", "unknown hook 'register_scale'"),
    "wrong arguments": ("@hookimpl\ndef register_scales(add): pass", "hooks that do not fit"),
    "a number for a scale": (
        "@hookimpl\ndef register_scales(register): register(5)",
        "registers 5 for a Scale",
    ),
    "nothing for a scale": ("@hookimpl\ndef register_scales(register): register()", "for a Scale"),
    "a scale for a system": (
        "@hookimpl\ndef register_systems(register): register(EQUAL)",
        "for a System",
    ),
    "a fingering without its system": (
        "@hookimpl\ndef register_cross_fingerings(register): register(Fingering('XX', 1))",
        "for a name and a Fingering",
    ),
    "cents that are no number": (
        "@hookimpl\ndef register_scales(register): register(Scale('odd', (0, float('nan'))))",
        "'odd' has cents that are no tuple of numbers",
    ),
    "degrees that do not rise": (
        "@hookimpl\ndef register_scales(register): register(Scale('odd', (0, 700, 500)))",
        "do not rise at number 3",
    ),
    "a name that is taken": (
        "@hookimpl\ndef register_scales(register): register(Scale('Dorian', (0, 700)))",
        "offers a scale 'dorian', which 'diatonic scales' offers already",
    ),
    "another name that is taken": (
        "@hookimpl\ndef register_scales(register): register(Scale('new', (0, 700), also=('yu',)))",
        "offers a scale 'yu', which 'pentatonic scales' offers already",
    ),
    "a name offered twice": (
        (
            "@hookimpl\ndef register_scales(register):\n"
            "    register(Scale('new', (0, 700)))\n    register(Scale('NEW', (0, 500)))"
        ),
        "offers a scale 'new', which 'broken' offers already",
    ),
    "letters of the wrong number": (
        (
            "@hookimpl\ndef register_cross_fingerings(register):\n"
            "    register('six-hole diatonic', Fingering('XX', 1))"
        ),
        "offers 'XX' for 'six-hole diatonic', which has 6 holes",
    ),
    "letters of the wrong number in a system": (
        (
            "@hookimpl\ndef register_systems(register):\n"
            "    register(System('two', 'Two.', (Slot('L1'),), 'x', (1,), ('XX',)))"
        ),
        "1 holes and a fingering 'XX' of 2 letters",
    ),
    "an unknown system": (
        (
            "@hookimpl\ndef register_cross_fingerings(register):\n"
            "    register('six-hole diatonik', Fingering('XX', 1))"
        ),
        "unknown system 'six-hole diatonik'; did it mean 'six-hole diatonic'?",
    ),
}


@pytest.mark.parametrize("kind", BROKEN)
def test_a_broken_plug_in_is_named_and_the_rest_goes_on(
    kind: str, write: Write, built: Built, status: Status
) -> None:
    code, problem = BROKEN[kind]
    write("broken", code)
    write("sound", ONE_SCALE.format(name="fourths"))
    found = built()
    broken = status(found, "broken")
    assert not broken.ok
    assert problem in broken.problem
    assert "\n" not in broken.problem
    assert broken.contributes == ()
    assert status(found, "sound").ok
    assert found.scale("fourths").name == "fourths"
    assert bundled_ok(found)


def test_nonsense_withdraws_the_whole_plug_in(write: Write, built: Built, status: Status) -> None:
    write(
        "half",
        """
        @hookimpl
        def register_scales(register):
            register(Scale("fine", (0, 500)))

        @hookimpl
        def register_cross_fingerings(register):
            register("no such system", Fingering("XX", 1))
        """,
    )
    found = built()
    assert not status(found, "half").ok
    with pytest.raises(UnknownNameError):
        found.scale("fine")


def test_a_plug_in_that_leans_on_one_switched_off_is_named_too(
    write: Write, built: Built, status: Status
) -> None:
    write(
        "a_base",
        """
        @hookimpl
        def register_systems(register):
            register(System("one-hole", "Two.", (Slot("L1"),), "x", (2,), ("X", "O")))

        @hookimpl
        def register_scales(register):
            register(EQUAL)
        """,
    )
    write(
        "leaning",
        "@hookimpl\ndef register_cross_fingerings(register): register('one-hole', Fingering('H', 1, flat=1))",
    )
    found = built()
    assert "offers a scale 'chromatic'" in status(found, "a base").problem
    assert "unknown system 'one-hole'" in status(found, "leaning").problem


@pytest.mark.parametrize(
    ("code", "what"),
    [
        ("import time\ntime.sleep(3)", "to import"),
        ("import time\n@hookimpl\ndef register_scales(register): time.sleep(3)", "to answer"),
    ],
)
def test_a_plug_in_that_hangs_is_left_behind(
    code: str, what: str, write: Write, built: Built, status: Status
) -> None:
    write("hanging", code)
    write("sound", ONE_SCALE.format(name="fourths"))
    start = time.perf_counter()
    found = built(time_limit=0.3)
    assert time.perf_counter() - start < 2.0
    assert status(found, "hanging").problem == f"took longer than 0.3 s {what}"
    assert found.scale("fourths").name == "fourths"
    assert bundled_ok(found)


def test_the_same_door_for_bundled_installed_and_own(
    write: Write, built: Built, status: Status, install: Callable[..., None]
) -> None:
    install("their_scales", ONE_SCALE.format(name="theirs"))
    write("own_scales", "__version__ = '0.5'\n" + textwrap.dedent(ONE_SCALE.format(name="own")))
    found = built()
    theirs, own, ours = (status(found, f"{whose} scales") for whose in ("their", "own", "pentatonic"))
    assert (theirs.origin, theirs.where, theirs.version) == ("installed", "their_scales", "3.0")
    assert (own.origin, own.version, own.where[-13:]) == ("folder", "0.5", "own_scales.py")
    assert (ours.origin, ours.where) == ("bundled", "scaledesign.bundled.pentatonic_scales")
    for plugin in (theirs, own, ours):
        assert plugin.ok
        assert plugin.hooks == ("register_scales",)
        assert plugin.contributes[0].startswith("scale ")
        assert plugin.seconds > 0
    origins = [plugin.origin for plugin in found.plugins()]
    assert origins == sorted(origins, key=["bundled", "installed", "folder"].index)


def test_a_broken_distribution_leaves_the_next_one_alone(
    built: Built, status: Status, install: Callable[..., None]
) -> None:
    install("a_broken_one", "raise RuntimeError('worn out')")
    install("a_sound_one", ONE_SCALE.format(name="theirs"))
    found = built()
    assert "worn out" in status(found, "a broken one").problem
    assert status(found, "a sound one").ok


def test_a_distribution_that_is_there_twice_counts_as_what_would_be_imported(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    built: Built,
    status: Status,
    install: Callable[..., None],
) -> None:
    """Two folders on the path have it; the first one's code would run, so that one is listed, and once."""
    install("their_scales", ONE_SCALE.format(name="theirs"), "3.0")
    old = tmp_path / "their_scales-2.0.dist-info"
    old.mkdir()
    (old / "METADATA").write_text("Metadata-Version: 2.1\nName: their_scales\nVersion: 2.0\n", "utf-8")
    (old / "entry_points.txt").write_text("[scaledesign]\ntheir scales = their_scales\n", "utf-8")
    monkeypatch.setattr(sys, "path", [*sys.path, str(tmp_path)])
    assert status(built(), "their scales").version == "3.0"


def test_a_monstrous_list_of_entry_points_is_not_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, built: Built, status: Status
) -> None:
    info = tmp_path / "monster-1.0.dist-info"
    info.mkdir()
    (info / "METADATA").write_text("Metadata-Version: 2.1\nName: monster\nVersion: 1.0\n", "utf-8")
    (info / "entry_points.txt").write_text("[scaledesign]\n" + "a = b\n" * 20_000, "utf-8")
    monkeypatch.setattr(sys, "path", [*sys.path, str(tmp_path)])
    told = status(built(), "installed plug-ins")
    assert not told.ok
    assert "larger than 64 kB" in told.problem
    assert told.where == "monster-1.0.dist-info"


def test_a_plug_in_of_a_taken_name_is_switched_off(built: Built, install: Callable[..., None]) -> None:
    install("six_hole", ONE_SCALE.format(name="theirs"))
    found = built()
    theirs = [plugin for plugin in found.plugins() if plugin.name == "six hole"]
    assert [plugin.ok for plugin in theirs] == [True, False]
    assert "has the name of another plug-in" in theirs[1].problem


def test_a_folder_with_an_init_file_is_a_plug_in_and_may_hold_data(tmp_path: Path, built: Built) -> None:
    package = tmp_path / "big_one"
    package.mkdir()
    (package / "numbers.py").write_text("CENTS = (0, 333)\n", encoding="utf-8")
    (package / "__init__.py").write_text(
        "from scaledesign.api import Scale, hookimpl\nfrom .numbers import CENTS\n"
        "@hookimpl\ndef register_scales(register): register(Scale('big', CENTS))\n",
        encoding="utf-8",
    )
    (tmp_path / "_private.py").write_text("1 / 0", encoding="utf-8")
    (tmp_path / "notes.txt").write_text("not a plug-in", encoding="utf-8")
    found = built()
    assert found.scale("big").cents == (0, 333)
    assert [plugin.name for plugin in found.plugins() if plugin.origin == "folder"] == ["big one"]


def test_a_plug_in_can_be_switched_off_by_name(built: Built, status: Status) -> None:
    found = built(blocked=("six hole",))
    assert status(found, "six hole").problem == "is switched off by name"
    with pytest.raises(UnknownNameError):
        found.system("six-hole diatonic")
    assert "unknown system" in status(found, "half holes").problem
    assert found.system("five-hole pentatonic")
    with pytest.raises(UnknownNameError, match="did you mean 'six hole'"):
        built(blocked=("six holes",))


def test_order_is_the_same_every_time(write: Write, built: Built) -> None:
    for name in ("zeta", "alpha", "midway"):
        write(name, ONE_SCALE.format(name=f"scale of {name}"))
    first, second = built(), built()
    assert first == second
    own = [scale.name for scale in first.scales() if scale.name.startswith("scale of")]
    assert own == ["scale of alpha", "scale of midway", "scale of zeta"]
    assert [scale.name for scale in first.scales()] == [scale.name for scale in second.scales()]
    assert [plugin.name for plugin in first.plugins()] == [plugin.name for plugin in second.plugins()]


def test_scale_files_of_the_user_come_last_and_broken_ones_are_named(
    tmp_path: Path, built: Built, status: Status
) -> None:
    (tmp_path / "mine.toml").write_text('[scale]\nname = "mine"\ndegrees = ["1", "3/2"]\n', encoding="utf-8")
    (tmp_path / "broken.toml").write_text('[scale]\nname = "b"\ndegrees = ["1", "x"]\n', encoding="utf-8")
    (tmp_path / "taken.toml").write_text('[scale]\nname = "YU"\ndegrees = ["1", "3/2"]\n', encoding="utf-8")
    found = built()
    assert found.scales()[-1].name == "mine"
    assert status(found, "broken").origin == "scale file"
    assert "scale.degrees[2] = x" in status(found, "broken").problem
    assert "'yu' is taken" in status(found, "taken").problem


def test_folders_come_from_the_environment_too(
    tmp_path: Path, write: Write, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setenv(locations.FOLDER_VARIABLE, str(tmp_path))
    write("mine", ONE_SCALE.format(name="from the environment"))
    assert locations.user_folders()[-1] == tmp_path
    assert catalogue().scale("from the environment")
    monkeypatch.delenv(locations.FOLDER_VARIABLE)
    assert tmp_path not in locations.user_folders()


def test_importing_the_registry_loads_no_plug_in() -> None:
    import subprocess

    code = (
        "import sys; import scaledesign.extend.registry, scaledesign.api; "
        "assert not [m for m in sys.modules if m.startswith('scaledesign.bundled')]; "
        "lazy = {'music21', 'platformdirs', 'tomli_w', 'numpy', 'scipy'}; "
        "assert not lazy & set(sys.modules), lazy & set(sys.modules)"
    )
    subprocess.run([sys.executable, "-c", code], check=True, timeout=60)


def test_building_the_catalogue_needs_no_heavy_library() -> None:
    """Neither music21, which spells, nor numpy, which computes."""
    import subprocess

    code = (
        "import sys; from scaledesign.extend.registry import catalogue; "
        "assert len(catalogue(folders=()).scales()) > 30; "
        "assert not {'music21', 'numpy'} & set(sys.modules)"
    )
    subprocess.run([sys.executable, "-c", code], check=True, timeout=60)
