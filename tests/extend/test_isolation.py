"""Whatever a plug-in does costs a sentence and nothing else: raising, sleeping, nonsense, worse manners."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import threading
from collections.abc import Callable
from pathlib import Path

import pytest

from scaledesign.extend import asking, isolation
from scaledesign.extend.asking import MOST
from scaledesign.extend.catalogue import Catalogue, PluginStatus
from scaledesign.extend.registry import catalogue

Write = Callable[[str, str], Path]
Built = Callable[..., Catalogue]
Status = Callable[[Catalogue, str], PluginStatus]


def hook(code: str, name: str = "register_scales") -> str:
    lines = "\n".join(f"    {line}" for line in code.splitlines())
    return f"@hookimpl\ndef {name}(register):\n{lines}\n"


RUDE = {
    "leaves the program": (hook("raise SystemExit"), "failed to answer (it ends the program)"),
    "calls exit": ("import sys\nsys.exit('bye')", "failed to import (it ends the program, with bye)"),
    "pretends Ctrl+C": (hook("raise KeyboardInterrupt"), "failed to answer (KeyboardInterrupt)"),
    "asks a question": (hook("input('Your name? ')"), "failed to answer (EOFError"),
    "returns its scales": (
        hook("return [EQUAL]"),
        "returns a list from register_scales; call register for each thing instead",
    ),
    "yields its scales": (hook("yield EQUAL"), "returns a generator from register_scales"),
    "is asynchronous": (
        "@hookimpl\nasync def register_scales(register): register(EQUAL)",
        "returns a coroutine from register_scales",
    ),
    "offers very many": (
        hook("for i in range(10**9): register(Scale(f'scale {i}', (0, 500)))"),
        f"registers more than {MOST} things in register_scales",
    ),
    "does not stop when it is told to": (
        hook(
            "for i in range(2000):\n"
            "    try: register(Scale(f'scale {i}', (0, 500)))\n"
            "    except Exception: pass"
        ),
        f"registers more than {MOST} things",
    ),
    "offers a very long scale": (
        hook("register(Scale('long', tuple(range(1100))))"),
        f"failed to answer (QuantityError: 'long' has more than {MOST} degrees",
    ),
    "has a name of many lines": (
        hook(r"register(Scale('one\ntwo', (0, 500)))"),
        "offers a scale 'one two' with a name or a fingering that is no line of at most 60 signs",
    ),
    "has words that steer the terminal": (
        hook(r"register(Scale('red', (0, 500), words='\x1b[31mred.'))"),
        "offers a scale 'red' with words or a source that are not text",
    ),
    "offers something that cannot be shown": (
        "class Odd:\n    def __repr__(self): raise RuntimeError('no')\n" + hook("register(Odd())"),
        "failed to answer (RuntimeError: no)",
    ),
    "raises what cannot be shown": (
        "class Odd(Exception):\n    def __str__(self): raise RuntimeError\n" + hook("raise Odd"),
        "failed to answer (Odd)",
    ),
    "raises a long story": (hook(r"raise ValueError('so\n' * 1000)"), "(ValueError: so so so"),
    "offers a kind of its own": (
        "class Mine(Scale): pass\n" + hook("register(Mine('mine', (0, 500)))"),
        "for a Scale",
    ),
    "offers two at once": (hook("register(EQUAL, EQUAL)"), "for a Scale"),
    "raises when it is looked at": (
        "def __getattr__(name): raise RuntimeError('do not look')\n" + hook("pass"),
        "failed to answer (RuntimeError: do not look)",
    ),
    "has a fingering without end": (
        hook("register('six-hole diatonic', Fingering('X' * 10**6, 1))", "register_cross_fingerings"),
        "offers a fingering of 1000000 signs",
    ),
    "names a system without end": (
        hook("register('x' * 10**6, Fingering('X', 1))", "register_cross_fingerings"),
        "names a system by 'xxx",
    ),
    "needs newer hooks": (
        "NEEDS_API = 99\n1 / 0",
        "needs version 99 of the hooks and this scaledesign has 1",
    ),
    "needs what is no version": (
        "NEEDS_API = 'new'\n" + hook("pass"),
        "has a NEEDS_API that is no whole number",
    ),
    "wants what is not there": (
        "from scaledesign.api import Melody",
        "asks for 'Melody', which is not in scaledesign.api, version 1",
    ),
    "does a sum that does not end": (hook("while True: pass"), "took longer than 2 s to answer"),
}


@pytest.fixture(scope="module")
def all_of_them(tmp_path_factory: pytest.TempPathFactory) -> Catalogue:
    """Every rude one at once, and one that is sound."""
    folder = tmp_path_factory.mktemp("rude")
    codes = {manner: code for manner, (code, _) in RUDE.items()}
    codes["zz sound"] = hook("register(Scale('fourths', (0, 500, 1000)))")
    for name, code in codes.items():
        path = folder / f"{name.replace(' ', '_').replace('+', '')}.py"
        path.write_text(f"from scaledesign.api import *\n{code}", encoding="utf-8")
    return catalogue(folders=(folder,))


@pytest.mark.parametrize("manner", RUDE)
def test_a_plug_in_that(manner: str, all_of_them: Catalogue, status: Status) -> None:
    rude = status(all_of_them, manner.replace("+", ""))
    assert not rude.ok
    assert RUDE[manner][1] in rude.problem
    assert rude.problem.isprintable()
    assert len(rude.problem) < 600


def test_the_rest_goes_on_with_all_of_them_there(all_of_them: Catalogue) -> None:
    assert all_of_them.scale("fourths").name == "fourths"
    others = [plugin for plugin in all_of_them.plugins() if plugin.origin != "folder"]
    assert others
    assert all(plugin.ok for plugin in others)


def test_what_is_registered_after_the_hook_does_not_count(
    write: Write, built: Built, status: Status, tmp_path: Path
) -> None:
    write(
        "late",
        f"""
        import threading
        from pathlib import Path
        kept = []

        @hookimpl
        def register_scales(register):
            register(Scale("in time", (0, 500)))
            kept.append(register)

        @hookimpl
        def register_cross_fingerings(register):
            kept[0](Scale("too late", (0, 700)))
            Path({str(tmp_path / "went_on")!r}).touch()
        """,
    )
    found = built()
    assert (tmp_path / "went_on").exists()
    assert status(found, "late").contributes == ("scale in time",)


def test_what_it_prints_is_kept_from_the_screen_and_named(
    write: Write,
    built: Built,
    status: Status,
    capfd: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(isolation, "_private", {})  # nobody is left behind
    code = "import sys\nprint('here\\nI am')\nprint('me too', file=sys.stderr)\n"
    write("loud", code + hook("register(Scale('fourths', (0, 500, 1000)))\nprint('x' * 10**6)"))
    before = sys.stdin, sys.stdout, sys.stderr
    found = built()
    assert (sys.stdin, sys.stdout, sys.stderr) == before
    assert capfd.readouterr() == ("", "")
    loud = status(found, "loud")
    assert loud.ok
    assert loud.remarks == (
        "prints while it imports (here I am me too); nobody sees it, take it out",
        f"prints while it answers ({'x' * 200}); nobody sees it, take it out",
    )


def test_one_that_goes_elsewhere_is_fetched_back(
    write: Write, built: Built, status: Status, tmp_path: Path
) -> None:
    write("away", f"import os\nos.chdir({str(tmp_path)!r})\n" + hook("register(Scale('new', (0, 500)))"))
    before = Path.cwd()
    away = status(built(), "away")
    assert Path.cwd() == before
    assert away.ok
    assert away.remarks[0].startswith("changes the folder that the program is in")


def test_nobody_waits_twice_for_one_that_hangs(write: Write, built: Built, status: Status) -> None:
    write("hanging", hook("import time\ntime.sleep(1000)"))
    first = status(built(time_limit=0.2), "hanging")
    second = status(built(time_limit=1000), "hanging")
    assert first.problem == second.problem == "took longer than 0.2 s to answer"
    assert second.seconds == 0


def test_a_slow_one_works_and_is_named(
    write: Write, built: Built, status: Status, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(asking, "SLOW", 0.06)
    write("slow", "import time\ntime.sleep(0.06)\n" + hook("register(Scale('fourths', (0, 500, 1000)))"))
    slow = status(built(time_limit=60), "slow")
    assert slow.ok
    assert slow.seconds >= 0.06
    (remark,) = slow.remarks
    assert remark.startswith("takes ")
    assert remark.endswith(" s to load; import heavy libraries late")


def test_one_that_loops_is_ended() -> None:
    with pytest.raises(isolation.Failure):
        isolation.call(lambda: [None for _ in iter(int, 1)], 0.1, "loops for ever")
    (left,) = (thread for thread in threading.enumerate() if thread.name == "plug-in loops for ever")
    left.join(30)
    assert not left.is_alive()


def test_a_folder_that_cannot_be_read_is_named(
    tmp_path: Path, built: Built, status: Status, monkeypatch: pytest.MonkeyPatch
) -> None:
    def closed(path: Path) -> object:
        raise PermissionError(13, "Permission denied", str(path))

    real = Path.iterdir
    monkeypatch.setattr(Path, "iterdir", lambda path: closed(path) if path == tmp_path else real(path))
    found = built()
    assert "Permission denied" in status(found, tmp_path.name).problem
    assert found.systems()


BAD = {
    "raises": "1 / 0",
    "sleeps": "import time\n" + hook("time.sleep(1000)"),
    "nonsense": "print('{')\n" + hook("register('what?')"),
}


def test_a_command_prints_its_object_and_ends_with_all_three(tmp_path: Path) -> None:
    """In a process of its own: the sleeper is left behind, and the process ends all the same."""
    for name, code in BAD.items():
        (tmp_path / f"{name}.py").write_text("from scaledesign.api import *\n" + code)
    environment = {
        **os.environ,
        "SCALEDESIGN_HOME": str(tmp_path / "home"),
        "SCALEDESIGN_PLUGINS": str(tmp_path),
    }
    run = subprocess.run(
        [sys.executable, "-m", "scaledesign", "plugins", "--json"],
        env=environment, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert (run.returncode, run.stderr) == (0, "")
    fared = {plugin["name"]: plugin["problem"] for plugin in json.loads(run.stdout)["plugins"]}
    assert "ZeroDivisionError" in fared["raises"]
    assert fared["sleeps"] == "took longer than 2 s to answer"
    assert fared["nonsense"] == "registers 'what?' for a Scale"
