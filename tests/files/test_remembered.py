"""What the program remembers: several windows, damaged files, folders that cannot be written."""

from __future__ import annotations

import os
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from scaledesign import locations
from scaledesign.files.remembered import MOST_RECENT, Remembered, load_remembered, remember


@pytest.fixture
def file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv(locations.HOME_VARIABLE, str(tmp_path / "home"))
    return tmp_path / "home" / "state.toml"


def test_nothing_is_remembered_at_first(file: Path) -> None:
    assert load_remembered() == Remembered()
    assert not file.parent.exists()


def test_what_is_remembered_comes_back(file: Path) -> None:
    kept = remember(
        lambda known: known.with_recent(Path("/bench/ä b.toml")).with_layout(pane="holes", wide=True, at=3)
    )
    assert kept == load_remembered()
    assert kept.recent == (Path("/bench/ä b.toml"),)
    assert kept.folder == Path("/bench")
    assert (kept.left("pane", ""), kept.left("wide", False), kept.left("at", 0)) == ("holes", True, 3)


def test_the_last_file_comes_first_and_none_twice() -> None:
    known = Remembered()
    for number in (*range(MOST_RECENT + 3), 5):
        known = known.with_recent(Path(f"/bench/{number}.toml"))
    assert [int(path.stem) for path in known.recent] == [5, 14, 13, 12, 11, 10, 9, 8, 7, 6, 4, 3]


def test_a_file_named_from_here_is_found_from_elsewhere(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    known = Remembered().with_recent(Path("a.toml"))
    assert known.recent == (tmp_path / "a.toml",)
    assert known.folder == tmp_path


def test_a_part_of_another_kind_is_as_if_it_were_not_there() -> None:
    known = Remembered().with_layout(wide=True, at=3)
    assert known.left("wide", 7) == 7
    assert known.left("at", "left") == "left"
    assert known.left("none", "left") == "left"


def test_a_part_set_again_replaces_the_other() -> None:
    assert Remembered().with_layout(at=3, pane="a").with_layout(at=4).layout == (("at", 4), ("pane", "a"))


def test_windows_share_one_list_and_the_last_to_set_a_thing_wins(file: Path) -> None:
    remember(lambda known: known.with_recent(Path("/a")).with_layout(pane="holes"))
    remember(lambda known: known.with_recent(Path("/b")).with_layout(pane="form"))
    known = remember(lambda known: known.with_recent(Path("/a")))
    assert known.recent == (Path("/a"), Path("/b"))
    assert known.left("pane", "") == "form"


def test_what_changes_nothing_writes_nothing(file: Path) -> None:
    remember(lambda known: known.with_recent(Path("/a")))
    before = file.stat()
    remember(lambda known: known.with_recent(Path("/a")))
    assert os.path.samestat(file.stat(), before)


WINDOW = """
import sys
from pathlib import Path
from scaledesign.files.remembered import remember
print("ready", flush=True)
sys.stdin.readline()
for number in range(3):
    remember(lambda known: known.with_recent(Path("/", sys.argv[1], str(number))))
"""


def test_windows_that_write_at_once_lose_nothing(file: Path) -> None:
    windows = [
        subprocess.Popen(
            [sys.executable, "-c", WINDOW, name], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        )
        for name in "abcd"
    ]
    for window in windows:
        assert window.stdout is not None
        assert window.stdout.readline() == "ready\n"
    for window in windows:
        assert window.stdin is not None
        window.stdin.write("go\n")
        window.stdin.flush()
    for window in windows:
        window.communicate()
    assert {str(path) for path in load_remembered().recent} == {
        f"/{name}/{number}" for name in "abcd" for number in range(3)
    }


@pytest.mark.parametrize("data", [b"recent = [", b"\xff\xfe", b"x = " + b"[" * 5000])
def test_a_damaged_file_is_kept_aside_and_another_begun(file: Path, data: bytes) -> None:
    file.parent.mkdir()
    file.write_bytes(data)
    assert load_remembered() == Remembered()
    assert file.read_bytes() == data
    remember(lambda known: known.with_recent(Path("/a")))
    assert load_remembered().recent == (Path("/a"),)
    assert (file.parent / "state.damaged").read_bytes() == data


@pytest.mark.parametrize(
    ("text", "recent", "layout"),
    [
        ('recent = "a"\nfolder = 3\nlayout = []', (), ()),
        ('recent = ["/a", 3, ""]\n[layout]\nat = 1.5\nwide = true', (Path("/a"),), (("wide", True),)),
        ("format = false\nother = 1", (), ()),
    ],
)
def test_what_makes_no_sense_is_left_out(
    file: Path, text: str, recent: tuple[Path, ...], layout: tuple[tuple[str, bool], ...]
) -> None:
    file.parent.mkdir()
    file.write_text(text)
    assert load_remembered() == Remembered(recent, None, layout)


def test_the_file_of_a_newer_program_is_left_alone(file: Path) -> None:
    file.parent.mkdir()
    file.write_text('format = 2\nrecent = ["/b"]\n')
    assert remember(lambda known: known.with_recent(Path("/a"))).recent == (Path("/a"),)
    assert file.read_text() == 'format = 2\nrecent = ["/b"]\n'


def test_the_file_is_plain_toml(file: Path) -> None:
    remember(lambda known: known.with_recent(Path("/a/b")).with_layout(pane="holes"))
    assert tomllib.loads(file.read_text()) == {
        "format": 1,
        "recent": ["/a/b"],
        "folder": "/a",
        "layout": {"pane": "holes"},
    }


def test_where_nothing_can_be_written_the_change_still_holds_for_this_window(file: Path) -> None:
    file.parent.write_text("a file where the folder should be")
    assert remember(lambda known: known.with_recent(Path("/a"))).recent == (Path("/a"),)
    assert load_remembered() == Remembered()


def test_a_name_that_is_no_text_stops_nothing(file: Path) -> None:
    remember(lambda known: known.with_recent(Path("/a")))
    odd = Path("/\udcff")
    assert remember(lambda known: known.with_recent(odd)).recent == (odd, Path("/a"))
    assert load_remembered().recent == (Path("/a"),)
