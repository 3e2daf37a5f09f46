"""The journal: kills at any moment, windows side by side, folders that cannot be written."""

from __future__ import annotations

import os
import random
import shutil
import subprocess
import sys
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from secrets import token_hex

import pytest

from scaledesign import locations
from scaledesign.files import journal_entry
from scaledesign.files.journal import Journal, leftovers
from scaledesign.files.journal_entry import Entry
from scaledesign.files.stamp import Stamp, changed, stamp_of, stamp_of_text

WHEN = datetime(2026, 1, 5, 10, 20, tzinfo=UTC)
KILLS = 40


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv(locations.HOME_VARIABLE, str(tmp_path / "home"))
    return tmp_path / "home" / "journal"


@pytest.fixture
def design(tmp_path: Path) -> Path:
    file = tmp_path / "wren.toml"
    file.write_text("saved")
    return file


def left(
    folder: Path,
    text: str | None,
    path: Path | None = None,
    stamp: Stamp | None = None,
    when: datetime = WHEN,
) -> Path:
    """What a killed window leaves: its entry and a lock that nobody holds."""
    folder.mkdir(parents=True, exist_ok=True)
    file = folder / f"{token_hex(8)}.toml"
    file.write_bytes(Entry(path, stamp, when, text).encode())
    file.with_suffix(".lock").touch()
    return file


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


class Window:
    """Another process, which does what it is told line by line and answers each with a line."""

    CODE = """
import sys
from pathlib import Path
from scaledesign.files.journal import Journal, leftovers
print("ready", flush=True)
for line in sys.stdin:
    print(eval(line), flush=True)
"""

    def __init__(self, code: str = CODE) -> None:
        self.process = subprocess.Popen(
            [sys.executable, "-c", code], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        )
        assert self.read() == "ready"

    def tell(self, line: str) -> None:
        assert self.process.stdin is not None
        self.process.stdin.write(f"{line}\n")
        self.process.stdin.flush()

    def read(self) -> str:
        assert self.process.stdout is not None
        return self.process.stdout.readline().rstrip("\n")

    def ask(self, line: str) -> str:
        self.tell(line)
        return self.read()

    def kill(self) -> str:
        """Kill the process; what it still had to say."""
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        self.process.kill()
        said = self.process.stdout.read()
        self.process.wait()
        self.process.stdin.close()
        self.process.stdout.close()
        return said


@pytest.fixture
def window() -> Iterator[Window]:
    opened = Window()
    yield opened
    if opened.process.returncode is None:
        opened.kill()


# one window


def test_a_quit_window_leaves_nothing(folder: Path, design: Path) -> None:
    journal = Journal.open(design)
    journal.write("unsaved")
    assert [name.partition(".")[2] for name in names(folder)] == ["lock", "toml"]
    journal.close()
    journal.close()
    journal.write("after all")
    assert names(folder) == []
    assert journal.problem == ""


def test_a_living_window_is_nobodys_leftover(folder: Path, design: Path, window: Window) -> None:
    journal = Journal.open(design)
    journal.write("unsaved")
    assert leftovers() == ()
    assert window.ask("leftovers()") == "()"
    journal.close()


def test_a_killed_window_leaves_its_last_text(design: Path, window: Window) -> None:
    window.ask(
        f"[journal := Journal.open(Path({str(design)!r})), journal.write('one'), journal.write('two')]"
    )
    assert leftovers() == ()
    window.kill()
    (leftover,) = leftovers()
    assert (leftover.path, leftover.text, leftover.changed) == (design, "two", False)
    assert leftover.when.tzinfo is UTC


def test_a_killed_window_that_had_saved_leaves_nothing(folder: Path, design: Path, window: Window) -> None:
    window.ask(f"[journal := Journal.open(Path({str(design)!r})), journal.write('one'), journal.clear()]")
    window.kill()
    assert len(names(folder)) == 2
    assert leftovers() == ()
    assert names(folder) == []


def test_save_as_moves_the_window_to_the_other_file(design: Path, tmp_path: Path) -> None:
    journal = Journal.open()
    assert (journal.path, journal.stamp) == (None, None)
    journal.write("unsaved")
    journal.saved(design)
    assert journal.path == design
    assert journal.stamp == stamp_of(design)
    other = tmp_path / "other.toml"
    journal.saved(other, "what was written")
    assert journal.path == other
    assert journal.stamp == stamp_of_text("what was written")
    journal.close()


def test_somebody_elses_save_is_noticed_even_before_the_journal_was_opened(design: Path) -> None:
    read = design.read_text()
    design.write_text("somebody else's")
    journal = Journal.open(design, read)
    assert changed(journal.stamp, design)
    journal.write("unsaved")
    journal.clear()
    assert changed(journal.stamp, design)
    journal.saved(design)
    assert not changed(journal.stamp, design)
    journal.close()


def test_a_name_from_here_is_kept_whole(
    design: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.chdir(tmp_path)
    journal = Journal.open(Path("wren.toml"))
    assert journal.path == design
    journal.close()


# kills

WRITER = """
from scaledesign.files.journal import Journal
journal = Journal.open()
print("ready", flush=True)
for number in range(1, 100_000):
    journal.write(f"{number} " * (977 * number % 4000))
    print(number, flush=True)
"""


def test_a_kill_at_any_moment_leaves_the_text_before_or_after(folder: Path) -> None:
    moments = random.Random(3)
    for _ in range(KILLS):
        writer = Window(WRITER)
        for _ in range(moments.randrange(60)):
            writer.read()
        for _ in range(moments.randrange(40_000)):
            pass
        said = writer.read(), *writer.kill().split()
        written = int(said[-1])
        (leftover,) = leftovers()
        assert leftover.text in {f"{number} " * (977 * number % 4000) for number in (written, written + 1)}
        assert leftover.discard()
    assert names(folder) == []


# leftovers


def test_the_newest_comes_first(folder: Path) -> None:
    for day in (2, 3, 1):
        left(folder, f"day {day}", when=WHEN + timedelta(days=day))
    assert [leftover.text for leftover in leftovers()] == ["day 3", "day 2", "day 1"]


def test_an_untitled_design_is_left_too(folder: Path) -> None:
    left(folder, "")
    (leftover,) = leftovers()
    assert (leftover.path, leftover.text, leftover.changed) == (None, "", False)


def test_a_file_that_was_changed_since_is_told(folder: Path, design: Path, tmp_path: Path) -> None:
    left(folder, "unsaved", design, stamp_of(design))
    (leftover,) = leftovers()
    assert not leftover.changed
    design.write_text("somebody else's")
    assert leftover.changed
    assert leftovers()[0].changed
    design.unlink()
    assert leftovers()[0].changed


def test_a_text_that_was_saved_before_the_kill_is_no_leftover(folder: Path, design: Path) -> None:
    left(folder, "saved", design, stamp_of_text("before"))
    assert leftovers() == ()
    assert names(folder) == []


def test_who_takes_it_goes_on_where_it_ended(folder: Path, design: Path) -> None:
    file = left(folder, "unsaved", design, stamp_of_text("before"))
    (leftover,) = leftovers()
    journal = leftover.take()
    assert journal is not None
    assert (journal.path, journal.stamp) == (design, stamp_of_text("before"))
    assert Entry.decode(file.read_bytes()).text == "unsaved"
    assert leftovers() == ()
    journal.write("more")
    assert Entry.decode(file.read_bytes()).text == "more"
    journal.close()
    assert names(folder) == []


def test_what_is_taken_cannot_be_taken_again(folder: Path) -> None:
    left(folder, "unsaved")
    (one,), (other,) = leftovers(), leftovers()
    journal = one.take()
    assert journal is not None
    assert other.take() is None
    assert not other.discard()
    journal.close()
    assert other.take() is None
    assert leftovers() == ()
    assert names(folder) == []


def test_what_another_window_took_and_left_again_must_be_looked_at_again(
    folder: Path, window: Window
) -> None:
    left(folder, "unsaved")
    (early,) = leftovers()
    window.ask("[journal := leftovers()[0].take(), journal.write('more')]")
    assert early.take() is None
    window.kill()
    assert early.take() is None
    assert [leftover.text for leftover in leftovers()] == ["more"]


def test_a_killed_taker_loses_nothing(folder: Path, window: Window) -> None:
    left(folder, "unsaved")
    assert window.ask("leftovers()[0].take() is None") == "False"
    assert leftovers() == ()
    window.kill()
    assert [leftover.text for leftover in leftovers()] == ["unsaved"]


def test_discarding_is_for_good(folder: Path) -> None:
    left(folder, "unsaved")
    (leftover,) = leftovers()
    assert leftover.discard()
    assert names(folder) == []
    assert not leftover.discard()


def test_of_windows_that_start_at_once_one_takes_each_leftover(folder: Path) -> None:
    texts = [f"unsaved {number}" for number in range(6)]
    for text in texts:
        left(folder, text)
    windows = [Window() for _ in range(5)]
    for window in windows:
        window.tell(
            "[f.text for f in leftovers() for j in [f.take()] if j and not globals().update({f.text: j})]"
        )
    taken = [text for window in windows for text in eval(window.read())]
    assert sorted(taken) == texts
    for window in windows:
        window.kill()
    assert sorted(leftover.text for leftover in leftovers()) == texts


def test_a_damaged_entry_is_kept_aside(folder: Path) -> None:
    file = left(folder, "unsaved text")
    whole = file.read_bytes()
    file.write_bytes(whole[:-3])
    left(folder, "good")
    assert [leftover.text for leftover in leftovers()] == ["good"]
    assert file.with_suffix(".damaged").read_bytes() == whole[:-3]
    assert not file.exists()
    assert not file.with_suffix(".lock").exists()
    assert [leftover.text for leftover in leftovers()] == ["good"]


def test_a_damaged_entry_of_a_living_window_is_left_to_it(folder: Path) -> None:
    journal = Journal.open()
    (file,) = folder.glob("*.toml")
    file.write_bytes(b"")
    assert leftovers() == ()
    assert file.exists()
    journal.write("unsaved")
    assert Entry.decode(file.read_bytes()).text == "unsaved"
    journal.close()


def test_the_entry_of_a_newer_program_is_left_alone(folder: Path) -> None:
    file = left(folder, None)
    newer = b"# Words of another day.\n# journal: 2\nanything\n"
    file.write_bytes(newer)
    before = names(folder)
    assert leftovers() == ()
    assert names(folder) == before
    assert file.read_bytes() == newer


def test_what_others_put_there_is_left_alone(folder: Path) -> None:
    folder.mkdir(parents=True)
    (folder / "my notes.toml").write_text("mine")
    (folder / "0123456789abcdef.toml").mkdir()
    assert leftovers() == ()
    assert {"my notes.toml", "0123456789abcdef.toml"} <= set(names(folder))


def test_a_kill_between_lock_and_entry_leaves_no_litter(folder: Path) -> None:
    file = left(folder, None)
    file.rename(file.with_suffix(".new"))
    assert leftovers() == ()
    assert names(folder) == []


def test_no_folder_has_no_leftovers(folder: Path) -> None:
    assert leftovers() == ()
    assert not folder.parent.exists()


def test_a_leftover_being_looked_at_elsewhere_can_still_be_taken(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    left(folder, "unsaved")
    (leftover,) = leftovers()
    real, refusals = journal_entry.lock, iter([True, True, False])
    monkeypatch.setattr(journal_entry, "lock", lambda file: not next(refusals) and real(file))
    monkeypatch.setattr(journal_entry, "_PAUSE", 0.0)
    journal = leftover.take()
    assert isinstance(journal, Journal)
    journal.close()


# windows side by side


def test_another_window_on_the_file_is_noticed_by_any_name(
    design: Path, tmp_path: Path, window: Window, monkeypatch: pytest.MonkeyPatch
) -> None:
    journal = Journal.open(design)
    assert not journal.others_open(design)
    link = tmp_path / "link.toml"
    link.symlink_to(design)
    (tmp_path / "bench").symlink_to(tmp_path, target_is_directory=True)
    window.ask(f"(journal := Journal.open(Path({str(link)!r}))).problem")
    monkeypatch.chdir(tmp_path)
    for name in (design, link, tmp_path / "bench" / "wren.toml", Path("wren.toml")):
        assert journal.others_open(name)
        assert window.ask(f"journal.others_open(Path({str(name.absolute())!r}))") == "True"
    assert not journal.others_open(tmp_path / "other.toml")
    window.kill()
    assert not journal.others_open(design)
    journal.close()


def test_a_file_that_is_not_there_yet_is_noticed_too(tmp_path: Path, window: Window) -> None:
    new = tmp_path / "new.toml"
    journal = Journal.open()
    window.ask(f"(journal := Journal.open(Path({str(new)!r}))).problem")
    (tmp_path / "bench").symlink_to(tmp_path, target_is_directory=True)
    assert journal.others_open(tmp_path / "bench" / "new.toml")
    window.ask("journal.saved(Path('/elsewhere.toml'))")
    assert not journal.others_open(new)
    window.ask(f"journal.saved(Path({str(new)!r}))")
    assert journal.others_open(new)
    window.ask(f"journal.saved(Path({str(tmp_path / 'bench' / 'new.toml')!r}))")
    assert journal.others_open(new)
    window.ask("journal.close()")
    assert not journal.others_open(new)
    journal.close()


def test_of_two_windows_that_start_at_once_one_at_least_sees_the_other(design: Path) -> None:
    for _ in range(5):
        windows = [Window() for _ in range(2)]
        path = f"Path({str(design)!r})"
        for window in windows:
            window.tell(f"(journal := Journal.open({path})).others_open({path})")
        assert "True" in [window.read() for window in windows]
        for window in windows:
            window.kill()


# when it cannot be kept


def test_a_folder_that_cannot_be_made_stops_nothing(folder: Path, design: Path) -> None:
    folder.parent.write_text("a file where the folder should be")
    journal = Journal.open(design)
    said = journal.problem
    assert said.startswith("Your unsaved changes are not kept safe: ")
    assert str(folder) in said
    assert said.endswith("; save often.")
    journal.write("unsaved")
    assert journal.problem == said
    assert not journal.others_open(design)
    assert leftovers() == ()
    folder.parent.unlink()
    journal.write("unsaved")
    assert journal.problem == ""
    assert len(names(folder)) == 2
    journal.close()
    assert names(folder) == []


FULL = """
import resource, signal, sys
from scaledesign.files.journal import Journal
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (5000, resource.RLIM_INFINITY))
journal = Journal.open()
print("ready", flush=True)
for line in sys.stdin:
    journal.write(line.rstrip())
    print(journal.problem, flush=True)
"""


@pytest.mark.skipif(sys.platform == "win32", reason="limits of a process are POSIX")
def test_a_full_disk_keeps_the_text_before_and_says_so(folder: Path) -> None:
    window = Window(FULL)
    assert window.ask("short") == ""
    assert "cannot be written (file too large)" in window.ask("long" * 2000)
    assert [name.partition(".")[2] for name in names(folder)] == ["lock", "toml"]
    window.kill()
    (leftover,) = leftovers()
    assert leftover.text == "short"


@pytest.mark.skipif(sys.platform == "win32", reason="limits of a process are POSIX")
def test_a_disk_with_room_again_is_used_again() -> None:
    window = Window(FULL)
    assert window.ask("long" * 2000)
    assert window.ask("short again") == ""
    window.kill()
    assert [leftover.text for leftover in leftovers()] == ["short again"]


@pytest.mark.skipif(sys.platform == "win32", reason="a folder in use cannot be removed")
def test_a_folder_that_was_removed_is_made_again(folder: Path) -> None:
    journal = Journal.open()
    journal.write("one")
    shutil.rmtree(folder)
    journal.write("two")
    assert journal.problem == ""
    (file,) = folder.glob("*.toml")
    assert Entry.decode(file.read_bytes()).text == "two"
    assert leftovers() == ()
    journal.close()
    assert names(folder) == []


def test_where_nothing_can_be_locked_there_is_no_journal_and_no_litter(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(file: int) -> bool:
        raise OSError(37, "No locks available")

    monkeypatch.setattr(journal_entry, "lock", refuse)
    journal = Journal.open()
    journal.write("unsaved")
    assert "(no locks available)" in journal.problem
    assert names(folder) == []
    journal.close()


def test_where_the_disk_is_read_only_what_is_left_stays(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = left(folder, "unsaved")
    before = file.read_bytes()
    (leftover,) = leftovers()
    real = os.open

    def read_only(path: Path, flags: int, mode: int = 0o777) -> int:
        if flags & (os.O_RDWR | os.O_WRONLY):
            raise OSError(30, "Read-only file system")
        return real(path, flags, mode)

    monkeypatch.setattr(os, "open", read_only)
    assert leftovers() == ()
    assert leftover.take() is None
    assert not leftover.discard()
    assert "(read-only file system)" in Journal.open().problem
    assert file.read_bytes() == before
