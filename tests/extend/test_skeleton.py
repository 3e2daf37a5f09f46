"""What is written for an author loads and passes at once; nothing that is there is touched."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from scaledesign.api import API_VERSION, catalogue, check_plugin
from scaledesign.errors import EditError
from scaledesign.extend.conformance import plugins_at
from scaledesign.extend.hookspecs import HOOKS
from scaledesign.extend.skeleton import module_name, write_skeleton

DEVELOPERS = (Path(__file__).parents[2] / "DEVELOPERS.md").read_text(encoding="utf-8")


def files(folder: Path) -> list[str]:
    return sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file())


def test_one_file_and_its_test(tmp_path: Path) -> None:
    into = tmp_path / "not" / "there"
    plugin, test = write_skeleton("Reed Scales", into, package=False, folders=(into,))
    assert files(into) == ["reed_scales.py", "tests/test_reed_scales.py"]
    assert (plugin.name, test.name) == ("reed_scales.py", "test_reed_scales.py")
    assert check_plugin(plugin) == ()
    (status,) = (one for one in catalogue(folders=(into,)).plugins() if one.origin == "folder")
    assert (status.name, status.version) == ("reed scales", "0.1")
    assert status.hooks == tuple(hook.name for hook in HOOKS)
    for hook in HOOKS:
        assert f"@hookimpl\ndef {hook.signature}:" in plugin.read_text(), "it shows the hooks as they are"
    assert f"\nNEEDS_API = {API_VERSION}\n" in plugin.read_text()


def test_a_package(tmp_path: Path) -> None:
    plugin, *_ = write_skeleton("cane scales", tmp_path, package=True, folders=())
    folder = tmp_path / "cane-scales"
    assert files(folder) == ["README.md", "cane_scales.py", "pyproject.toml", "tests/test_it.py"]
    assert check_plugin(folder) == check_plugin(plugin) == ()
    (one,) = plugins_at(folder)
    assert one.name == "cane scales"
    project = tomllib.loads((folder / "pyproject.toml").read_text())["project"]
    assert project["entry-points"]["scaledesign"] == {"cane_scales": "cane_scales"}
    (shown,) = (part for part in DEVELOPERS.split("```") if part.startswith("toml\n[project.entry-points"))
    assert tomllib.loads(shown.removeprefix("toml\n"))["project"]["entry-points"] == project["entry-points"]


def test_the_test_that_developers_are_shown_is_the_one_that_is_written(tmp_path: Path) -> None:
    write_skeleton("cane scales", tmp_path, package=True, folders=())
    written = (tmp_path / "cane-scales/tests/test_it.py").read_text()
    assert f"```python\n{written.partition(chr(10) * 2)[2]}```" in DEVELOPERS


@pytest.mark.parametrize("package", [False, True])
def test_nothing_is_written_over(package: bool, tmp_path: Path) -> None:
    (tmp_path / "tests").mkdir()
    there = tmp_path / ("reed-scales" if package else "tests/test_reed_scales.py")
    there.write_text("mine")
    with pytest.raises(EditError, match="is there already"):
        write_skeleton("reed scales", tmp_path, package=package, folders=())
    assert files(tmp_path) == [there.relative_to(tmp_path).as_posix()]
    assert there.read_text() == "mine"


def test_what_fails_halfway_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "kept.txt").write_text("mine")
    real = Path.open

    def full(path: Path, *how: object, **more: object) -> object:
        if path.name == "README.md":
            raise OSError(28, "No space left on device", str(path))
        return real(path, *how, **more)

    monkeypatch.setattr(Path, "open", full)
    with pytest.raises(OSError, match="No space"):
        write_skeleton("reed scales", tmp_path, package=True, folders=())
    assert [path.name for path in tmp_path.rglob("*")] == ["kept.txt"]


@pytest.mark.parametrize("name", ["", "3 reeds", "class", "../reeds", "réeds", "_reeds", "a" * 41, "a;b"])
def test_what_is_no_name(name: str) -> None:
    with pytest.raises(EditError, match="is no name for a plug-in; write at most 40 plain letters"):
        module_name(name)


@pytest.mark.parametrize(
    ("name", "package", "said"),
    [
        ("Six hole", False, "There is a plug-in 'six hole' already"),
        ("six-hole", True, "There is a plug-in 'six hole' already"),
        ("json", True, "Python has a module 'json' already"),
    ],
)
def test_a_name_that_is_taken(name: str, package: bool, said: str, tmp_path: Path) -> None:
    with pytest.raises(EditError, match=said):
        write_skeleton(name, tmp_path, package=package, folders=())
    assert files(tmp_path) == []
