"""Files: save, save as, changed on disk, open, quit; what a crash leaves; two windows on one file."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from scaledesign.files import document_file
from scaledesign.files.earlier import versions
from scaledesign.files.journal import leftovers
from scaledesign.files.remembered import load_remembered
from scaledesign.locations import user_state
from scaledesign.ui import main_screen
from scaledesign.ui.chooser import Chooser
from scaledesign.ui.dialog import Deciding, Reading
from scaledesign.ui.question_screen import QuestionScreen
from tests.ui.conftest import WREN
from tests.ui.driving import NARROW, Grid, opened


async def change(grid: Grid, cents: str = "5") -> None:
    """Something that is not saved."""
    await grid.go(0, "cents")
    await grid.type(cents)
    await grid.press("enter")
    assert grid.desk.unsaved


async def retype(grid: Grid, text: str) -> None:
    """Another answer in place of the one in hand."""
    await grid.press("end", "ctrl+u")
    await grid.type(text)


# Saving


async def test_saving_keeps_what_a_person_wrote(wren: Path) -> None:
    wren.write_bytes(b"# mine\n" + wren.read_bytes())
    async with opened(wren, size=NARROW) as grid:
        await change(grid)
        await grid.press("ctrl+s")
        assert wren.read_text(encoding="utf-8").startswith("# mine\n")
        await grid.press("ctrl+z")
        assert grid.desk.unsaved
        await grid.press("ctrl+y")
        assert not grid.desk.unsaved


async def test_an_example_asks_for_a_name_of_ones_own(home: Path) -> None:
    before = WREN.read_bytes()
    async with opened(size=NARROW) as grid:
        assert grid.desk.title == "Marsh wren"
        await change(grid)
        await grid.press("ctrl+s")
        assert isinstance(grid.screen, QuestionScreen)
        await grid.press("enter")
        path = Path.cwd() / "marsh-wren.toml"
        assert document_file.load(path).rows[0].cents == 5
        assert grid.desk.path == path
    assert WREN.read_bytes() == before


async def test_save_as_says_that_it_replaces_a_file(wren: Path) -> None:
    other = wren.with_name("other.toml")
    other.write_text("something else", encoding="utf-8")
    async with opened(wren) as grid:
        await grid.press("f12")
        await retype(grid, "other")
        assert "Replaces " in grid.shown()
        await grid.press("escape")
        assert other.read_text(encoding="utf-8") == "something else"
        await grid.press("f12")
        await retype(grid, "other")
        await grid.press("enter")
        assert isinstance(grid.screen, Deciding)
        await grid.press("k")
        assert other.read_text(encoding="utf-8") == "something else"
        await grid.press("f12")
        await retype(grid, "other")
        await grid.press("enter")
        await grid.press("r")
        assert other.read_bytes() == wren.read_bytes()
        assert grid.desk.path == other


async def test_save_as_where_nothing_can_be_written(wren: Path) -> None:
    async with opened(wren) as grid:
        await grid.press("f12")
        await retype(grid, "nowhere/at all.toml")
        await grid.press("enter")
        assert isinstance(grid.screen, QuestionScreen)
        assert "There is no folder" in grid.shown()


async def test_a_file_that_cannot_be_written_is_said(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        await change(grid)
        shutil.rmtree(wren.parent)
        await grid.press("ctrl+s")
        if isinstance(grid.screen, Deciding):
            await grid.type("w")
        assert grid.desk.unsaved
        assert grid.desk.said.tone == "wrong"


@pytest.mark.parametrize(
    ("answer", "cents"), [("w", 5), ("g", 9), ("escape", 9), ("s", 9)], ids=["over", "back", "escape", "as"]
)
async def test_a_file_changed_on_disk_is_asked_about(wren: Path, answer: str, cents: float) -> None:
    async with opened(wren, size=NARROW) as grid:
        await change(grid)
        async with opened(wren, size=NARROW) as other:
            await change(other, "9")
            await other.press("ctrl+s")
        await grid.press("ctrl+s")
        assert isinstance(grid.screen, Deciding)
        assert "was changed by another window or program" in " ".join(grid.shown().split())
        await grid.press(answer)
        if answer == "s":
            await retype(grid, "third")
            await grid.press("enter")
            assert document_file.load(wren.with_name("third.toml")).rows[0].cents == 5
        assert document_file.load(wren).rows[0].cents == cents
        assert grid.desk.unsaved == (answer in ("g", "escape"))


async def test_a_change_on_disk_is_noticed(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        wren.write_bytes(wren.read_bytes() + b"\n# by hand\n")
        grid.app.files.look_at_file()
        assert "wren.toml was changed by another window or program" in grid.said


async def test_two_windows_on_one_file_notice_each_other(wren: Path) -> None:
    async with opened(wren, size=NARROW) as first:
        assert "Another window" not in first.said
        async with opened(wren, size=NARROW) as second:
            assert second.said.startswith("Another window has wren.toml open too")
            assert second.shown()
    async with opened(wren, size=NARROW) as third:
        assert "Another window" not in third.said


# Opening


async def test_open_offers_recent_files_those_here_and_examples(wren: Path) -> None:
    shutil.copy(wren, wren.with_name("second.toml"))
    async with opened(wren) as grid:
        await grid.press("ctrl+o")
        screen = grid.screen
        assert isinstance(screen, Chooser)
        kinds = [item.right for item in screen.items]
        assert kinds == sorted(kinds, key=["recent", "here", "example"].index)
        assert [item.name for item in screen.items[:2]] == ["wren", "second"]
        await grid.type("second")
        await grid.press("enter")
        assert grid.desk.path == wren.with_name("second.toml")
        assert load_remembered().recent[0] == wren.with_name("second.toml")


async def test_open_takes_a_path(wren: Path) -> None:
    shutil.copy(wren, wren.parent.parent / "elsewhere.toml")
    async with opened(wren) as grid:
        await grid.press("ctrl+o")
        await grid.type("../elsewhere.toml")
        await grid.press("enter")
        assert grid.desk.path is not None
        assert grid.desk.path.name == "elsewhere.toml"


async def test_a_file_that_is_no_flute_is_refused_and_nothing_is_lost(wren: Path) -> None:
    wren.with_name("bad.toml").write_text('[package]\nname = "x"\n', encoding="utf-8")
    async with opened(wren, size=NARROW) as grid:
        await grid.press("ctrl+o")
        await grid.type("bad")
        await grid.press("enter")
        assert isinstance(grid.screen, Reading)
        assert "bad.toml cannot be opened" in grid.shown()
        await grid.press("escape")
        assert grid.desk.path == wren


def hurt(wren: Path) -> Path:
    """The flute with two slips in its file, beside it."""
    text = wren.read_text(encoding="utf-8")
    bad = wren.with_name("hurt.toml")
    bad.write_text(
        text.replace('finger   = "L2"', 'finger   = "2"', 1).replace('"bamboo"', '"bamboo', 1), "utf-8"
    )
    return bad


async def test_of_a_damaged_file_the_rest_is_opened_if_the_maker_wants_it(wren: Path) -> None:
    bad = hurt(wren)
    before = bad.read_bytes()
    async with opened(wren, size=NARROW) as grid:
        for answer in ("escape", "o"):
            await grid.press("ctrl+o")
            await grid.type("hurt")
            await grid.press("enter")
            assert isinstance(grid.screen, Deciding)
            assert "hurt.toml is damaged" in grid.shown()
            assert "hurt.toml stays as it is" in " ".join(grid.shown().split())
            await grid.press(answer)
            assert (grid.desk.path == wren) == (answer == "escape")
        assert "2 things in hurt.toml cannot be read" in grid.shown()
        assert 'Line 37: holes[2].finger = "2"' in grid.shown()
        await grid.press("escape")
        assert (grid.desk.path, grid.desk.unsaved, len(grid.desk.design.holes)) == (None, False, 6)
        await change(grid)
        await grid.press("ctrl+s")
        assert isinstance(grid.screen, QuestionScreen)  # never back into the damaged file
        await grid.press("enter")
        assert grid.desk.path is not None
        assert grid.desk.path.parent == wren.parent
        assert grid.desk.path != bad
        assert "# left out: " in grid.desk.path.read_text(encoding="utf-8")
    assert bad.read_bytes() == before


async def test_a_damaged_file_that_is_named_at_the_start_opens_with_what_is_wrong(wren: Path) -> None:
    bad = hurt(wren)
    async with opened(bad, size=NARROW) as grid:
        assert isinstance(grid.screen, Reading)
        assert "2 things in hurt.toml cannot be read" in grid.shown()
        await grid.press("escape", "ctrl+q")
        assert not grid.app.is_running


async def test_a_file_of_a_newer_program_is_not_written_to(wren: Path) -> None:
    text = wren.read_text(encoding="utf-8").replace("format = 1", 'format = 2\nglaze = "tung"')
    wren.write_text(text, encoding="utf-8")
    async with opened(wren, size=NARROW) as grid:
        shown = " ".join(grid.shown().split())
        assert "a newer program wrote this, and this one reads format 1" in shown
        assert "glaze" in shown
        await grid.press("escape")
        assert grid.desk.path is None
    assert wren.read_text(encoding="utf-8") == text


async def test_what_a_save_replaced_is_kept(wren: Path) -> None:
    before = wren.read_bytes()
    async with opened(wren, size=NARROW) as grid:
        await change(grid)
        await grid.press("ctrl+s")
    (version,) = versions(wren)
    assert version.read() == before


async def test_a_save_says_what_it_could_not_keep(wren: Path) -> None:
    user_state().mkdir(parents=True, exist_ok=True)
    (user_state() / "earlier").write_text("no folder", encoding="utf-8")
    before = wren.read_bytes()
    async with opened(wren, size=NARROW) as grid:
        await change(grid)
        await grid.press("ctrl+s")
        assert grid.desk.said.text.startswith(f"Saved to {wren.name}. What it replaces could not be kept")
    assert wren.read_bytes() != before


async def test_opening_asks_about_what_is_unsaved(wren: Path) -> None:
    async with opened(wren) as grid:
        await change(grid)
        await grid.press("ctrl+o")
        await grid.type("night")
        await grid.press("enter")
        assert isinstance(grid.screen, Deciding)
        await grid.type("g")
        assert grid.desk.title == "Marsh wren"
        await grid.press("ctrl+o")
        await grid.type("night")
        await grid.press("enter", "s")
        assert grid.desk.title == "Night heron"
        assert document_file.load(wren).rows[0].cents == 5


# Leaving


@pytest.mark.parametrize(("answer", "saved", "running"), [("s", 5, False), ("l", 0, False), ("g", 0, True)])
async def test_quitting_with_unsaved_changes(wren: Path, answer: str, saved: float, running: bool) -> None:
    async with opened(wren, size=NARROW) as grid:
        await change(grid)
        await grid.press("ctrl+q")
        assert isinstance(grid.screen, Deciding)
        await grid.press(answer)
        assert grid.app.is_running is running
        assert document_file.load(wren).rows[0].cents == saved
        if running:
            assert grid.desk.unsaved
        else:
            assert leftovers() == ()


async def test_quitting_a_flute_without_a_file_asks_for_one_and_then_ends(home: Path) -> None:
    async with opened(size=NARROW) as grid:
        await change(grid)
        await grid.press("ctrl+q", "down", "up", "enter")
        assert isinstance(grid.screen, QuestionScreen)
        await retype(grid, "mine")
        await grid.pilot.press("enter")
        await grid.until(lambda: not grid.app.is_running, "the end")
    assert document_file.load(Path.cwd() / "mine.toml").rows[0].cents == 5


async def test_an_example_that_nobody_touched_is_left_without_a_word(home: Path) -> None:
    async with opened(size=NARROW) as grid:
        await grid.press("down", "ctrl+q")
        assert not grid.app.is_running


# After a crash


async def crashed(wren: Path) -> None:
    """A window that was killed with something unsaved."""
    async with opened(wren, size=NARROW) as grid:
        await change(grid)
        claim = grid.app.journal._claim
        assert claim is not None
        claim.release()  # what the end of a process does
        grid.app.journal._claim = None


async def test_unsaved_work_of_a_crash_is_offered_and_taken_up(wren: Path) -> None:
    await crashed(wren)
    async with opened(wren, size=NARROW) as grid:
        assert isinstance(grid.screen, Deciding)
        assert "before wren.toml was saved" in " ".join(grid.shown().split())
        await grid.press("enter")
        assert grid.desk.design.rows[0].cents == 5
        assert grid.desk.unsaved
        assert grid.desk.path == wren
        await grid.press("ctrl+s")
        assert document_file.load(wren).rows[0].cents == 5
    assert leftovers() == ()


@pytest.mark.parametrize(("answer", "left"), [("l", 1), ("escape", 1), ("t", 0)])
async def test_unsaved_work_can_wait_or_be_thrown_away(wren: Path, answer: str, left: int) -> None:
    await crashed(wren)
    async with opened(wren, size=NARROW) as grid:
        await grid.press(answer)
        assert grid.desk.design.rows[0].cents == 0
    assert len(leftovers()) == left


async def test_a_window_closed_from_outside_right_after_an_edit_keeps_it(
    wren: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with opened(wren, size=NARROW) as grid:
        for wait in ("KEEP", "PATIENCE"):
            monkeypatch.setattr(main_screen, wait, 3600.0)
        kept: list[str] = []
        monkeypatch.setattr(grid.app.journal, "write", kept.append)
        await grid.go(0, "cents")
        await grid.pilot.press("5", "enter")
        await grid.until(lambda: grid.desk.design.rows[0].cents == 5, "the edit")
        assert not kept
        grid.app.exit()
        await grid.until(lambda: not grid.app.is_running, "the end")
    assert "cents" in kept[-1]


async def test_work_that_was_taken_up_is_kept_through_another_crash(wren: Path) -> None:
    await crashed(wren)
    async with opened(wren, size=NARROW) as grid:
        await grid.press("enter")
        claim = grid.app.journal._claim
        assert claim is not None
        claim.release()
        grid.app.journal._claim = None
    (left,) = leftovers()
    assert "cents" in left.text


# What goes wrong on the way


async def test_a_home_that_nobody_has_can_be_typed(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        for key in ("f12", "ctrl+o"):
            await grid.press(key)
            if key == "f12":
                await retype(grid, "~nobody-of-that-name")
                assert isinstance(grid.screen, QuestionScreen)
                assert grid.screen.answers.path == wren.with_name("~nobody-of-that-name.toml")
                await grid.press("escape")
            else:
                await grid.type("~nobody-of-that-name")
                await grid.press("enter")
                assert "~nobody-of-that-name.toml cannot be opened" in grid.shown()


async def test_save_as_begins_in_the_folder_of_the_file_that_was_named(wren: Path, home: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.press("f12", "enter", "ctrl+q")
    other = home / "bench" / "wren.toml"
    other.parent.mkdir()
    shutil.copy(wren, other)
    async with opened(other, size=NARROW) as grid:
        await grid.press("f12")
        await retype(grid, "mine")
        await grid.press("enter")
        assert grid.desk.path == other.with_name("mine.toml")


async def test_a_save_knows_what_it_wrote(wren: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Somebody who writes right after it is noticed, even before the journal is told."""
    put = document_file.put_bytes

    def and_another(data: bytes, path: Path) -> None:
        put(data, path)
        path.write_text("somebody else's", encoding="utf-8")

    async with opened(wren, size=NARROW) as grid:
        await change(grid)
        with monkeypatch.context() as patch:
            patch.setattr(document_file, "put_bytes", and_another)
            await grid.press("ctrl+s")
        grid.app.files.look_at_file()
        assert "was changed by another window or program" in grid.said
