"""What a save replaced: kept byte for byte, few enough, found again; never in the way of a save."""

import re
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from scaledesign.files import earlier
from scaledesign.files.document_file import put_design
from scaledesign.files.earlier import MOST, NEWEST, versions


@pytest.fixture(autouse=True)
def home(tmp_path, monkeypatch):
    monkeypatch.setenv("SCALEDESIGN_HOME", str(tmp_path / "home"))
    return tmp_path / "home"


@pytest.fixture
def flute(tmp_path):
    return tmp_path / "wren.toml"


def test_each_version_is_kept_newest_first(flute):
    for text in ("one", "two", "two", "thrée", "four"):
        put_design(text, flute)
    assert [version.read().decode() for version in versions(flute)] == ["thrée", "two", "one"]
    assert flute.read_text(encoding="utf-8") == "four"


def test_nothing_is_kept_of_what_was_not_there(flute, home):
    put_design("one", flute)
    put_design("one", flute)
    assert versions(flute) == ()
    assert not home.exists()


def test_a_file_is_found_by_any_of_its_names_and_others_are_told_from_it(flute, tmp_path, monkeypatch):
    put_design("one", flute)
    put_design("two", flute)
    link = tmp_path / "link.toml"
    link.symlink_to(flute)
    monkeypatch.chdir(tmp_path)
    assert len(versions(link)) == len(versions(Path("wren.toml"))) == 1
    (tmp_path / "other").mkdir()
    assert versions(tmp_path / "other/wren.toml") == ()
    put_design("three", link)
    assert len(versions(flute)) == 2
    flute.unlink()
    assert len(versions(flute)) == 2  # there when they are needed


def test_of_many_the_newest_and_the_last_of_each_day_stay():
    start = datetime(2026, 1, 1, 9, tzinfo=UTC)
    times = [start + timedelta(hours=hours) for hours in range(0, 24 * 100, 5)]
    names = [f"{time.strftime('%Y%m%dT%H%M%S%fZ')}.toml" for time in times]
    gone = earlier._too_many(names)
    left = [name for name in names if name not in gone]
    assert left[-NEWEST:] == names[-NEWEST:]
    assert len(left) == MOST
    assert len({name[:8] for name in left[:-NEWEST]}) == MOST - NEWEST
    last_of_day = {name[:8]: name for name in names[:-NEWEST]}
    assert all(name == last_of_day[name[:8]] for name in left[:-NEWEST])


def test_a_hundred_saves_leave_few(flute):
    for number in range(40):
        put_design(f"{number}", flute)
    assert [version.read().decode() for version in versions(flute)[:2]] == ["38", "37"]
    assert NEWEST <= len(versions(flute)) <= NEWEST + 2  # and the last of a day, or of two at midnight


def test_where_it_cannot_be_kept_the_save_goes_on(flute, home):
    home.write_text("no folder", encoding="utf-8")
    assert put_design("one", flute) == ""
    said = put_design("two", flute)
    assert re.fullmatch("What it replaces could not be kept as an earlier version: [^.]+[.]", said)
    assert put_design("two", flute) == "", "nothing is replaced"
    assert flute.read_text(encoding="utf-8") == "two"
    assert versions(flute) == ()


def test_what_others_put_there_is_left_alone(flute, home):
    put_design("one", flute)
    put_design("two", flute)
    folder = versions(flute)[0].path.parent
    (folder / "mine.toml").write_text("mine", encoding="utf-8")
    for number in range(30):
        put_design(f"{number}", flute)
    assert (folder / "mine.toml").exists()
    assert all(version.path.name != "mine.toml" for version in versions(flute))
    assert not list(folder.glob("*.new"))


def test_what_is_no_design_is_not_kept(flute):
    flute.write_bytes(b"x" * 1_000_001)
    put_design("one", flute)
    assert versions(flute) == ()
