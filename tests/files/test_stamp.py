"""Whether somebody else has written to a file."""

from __future__ import annotations

import os
from pathlib import Path

from scaledesign.files.stamp import changed, stamp_of, stamp_of_text


def test_the_same_size_and_time_do_not_hide_a_change(tmp_path: Path) -> None:
    file = tmp_path / "a.toml"
    file.write_text("at = 150")
    stamp, times = stamp_of(file), file.stat()
    file.write_text("at = 151")
    os.utime(file, ns=(times.st_atime_ns, times.st_mtime_ns))
    assert changed(stamp, file)


def test_a_touched_file_and_one_written_again_are_unchanged(tmp_path: Path) -> None:
    file = tmp_path / "a.toml"
    file.write_text("at = 150")
    stamp = stamp_of(file)
    os.utime(file, (1, 1))
    assert not changed(stamp, file)
    file.unlink()
    file.write_text("at = 150")
    assert not changed(stamp, file)


def test_a_text_has_the_stamp_of_the_file_it_is_saved_in(tmp_path: Path) -> None:
    text = "\ufeff# Flöte\r\nat = 150\n"
    file = tmp_path / "a.toml"
    file.write_bytes(text.encode("utf-8"))
    assert stamp_of(file) == stamp_of_text(text)


def test_a_file_that_comes_or_goes_has_changed(tmp_path: Path) -> None:
    file = tmp_path / "a.toml"
    assert stamp_of(file) is None
    assert not changed(None, file)
    file.write_text("")
    assert changed(None, file)
    stamp = stamp_of(file)
    file.unlink()
    assert changed(stamp, file)


def test_what_is_no_file_has_no_stamp(tmp_path: Path) -> None:
    assert stamp_of(tmp_path) is None
    assert stamp_of(Path(os.devnull)) is None
    assert stamp_of(tmp_path / "a\0b") is None


def test_a_link_has_the_stamp_of_its_file(tmp_path: Path) -> None:
    (tmp_path / "a.toml").write_text("at = 150")
    (tmp_path / "link").symlink_to(tmp_path / "a.toml")
    assert stamp_of(tmp_path / "link") == stamp_of(tmp_path / "a.toml")
