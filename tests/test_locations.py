"""Where the user's folders are."""

from __future__ import annotations

from pathlib import Path

import platformdirs
import pytest

from scaledesign import locations


def test_the_platform_says_where(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv(locations.HOME_VARIABLE, raising=False)
    assert locations.user_config() == platformdirs.user_config_path("scaledesign", appauthor=False)
    assert locations.user_state() == platformdirs.user_state_path("scaledesign", appauthor=False)
    data = platformdirs.user_data_path("scaledesign", appauthor=False)
    assert locations.user_folders()[:2] == (data / "plugins", data / "scales")


def test_one_variable_puts_everything_in_one_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(locations.HOME_VARIABLE, str(tmp_path))
    assert locations.user_config() == locations.user_state() == tmp_path
    assert locations.user_folders()[:2] == (tmp_path / "plugins", tmp_path / "scales")


def test_a_folder_named_from_here_stays_the_same_elsewhere(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv(locations.HOME_VARIABLE, "mine")
    assert locations.user_state() == tmp_path / "mine"


def test_an_empty_variable_names_no_folder(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(locations.HOME_VARIABLE, "")
    assert locations.user_config() == platformdirs.user_config_path("scaledesign", appauthor=False)


@pytest.mark.parametrize("way", ["plain", "relative", "roundabout", "linked", "in a linked folder", "new"])
def test_an_example_is_known_by_whatever_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, way: str
) -> None:
    example = locations.EXAMPLES / "marsh-wren.toml"
    monkeypatch.chdir(locations.EXAMPLES)
    (tmp_path / "file.toml").symlink_to(example)
    (tmp_path / "folder").symlink_to(locations.EXAMPLES)
    ways = {
        "plain": example,
        "relative": Path("marsh-wren.toml"),
        "roundabout": example.parent / ".." / example.parent.name / example.name,
        "linked": tmp_path / "file.toml",
        "in a linked folder": tmp_path / "folder" / example.name,
        "new": Path("of-ones-own.toml"),
    }
    assert locations.is_example(ways[way])


def test_what_is_no_example(tmp_path: Path) -> None:
    for path in (tmp_path / "marsh-wren.toml", tmp_path / "nowhere" / "a.toml", Path("a\0b"), Path("/")):
        assert not locations.is_example(path)
