"""Small files in place in one step; locks."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from scaledesign.files.own_files import draft_of, lock, put, reason


def test_a_file_is_made_and_replaced(tmp_path: Path) -> None:
    file = tmp_path / "a.toml"
    put(file, b"one\r\n\0")
    assert file.read_bytes() == b"one\r\n\0"
    put(file, b"")
    assert file.read_bytes() == b""
    assert list(tmp_path.iterdir()) == [file]


def test_whoever_has_it_open_keeps_what_was_there(tmp_path: Path) -> None:
    file = tmp_path / "a.toml"
    put(file, b"before")
    with file.open("rb") as stream:
        put(file, b"after")
        assert stream.read() == b"before"


def test_a_draft_left_by_a_kill_is_in_nobodys_way(tmp_path: Path) -> None:
    file = tmp_path / "a.toml"
    draft_of(file).write_bytes(b"half of something that was longer")
    put(file, b"whole")
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == {"a.toml": b"whole"}


def test_what_cannot_be_written_leaves_the_file_and_no_draft(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "a.toml"
    put(file, b"before")
    write = os.write

    def fills_up(descriptor: int, data: memoryview) -> int:
        if len(data) < 5:
            raise OSError(28, "No space left on device")
        return write(descriptor, data[:3])

    monkeypatch.setattr(os, "write", fills_up)
    with pytest.raises(OSError, match="No space") as caught:
        put(file, b"after all")
    assert reason(caught.value) == "no space left on device"
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == {"a.toml": b"before"}


def test_a_disk_that_takes_a_little_at_a_time_gets_it_all(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write = os.write
    monkeypatch.setattr(os, "write", lambda descriptor, data: write(descriptor, data[:3]))
    put(tmp_path / "a", b"ten bytes!")
    assert (tmp_path / "a").read_bytes() == b"ten bytes!"


def test_a_lock_is_had_once_and_ends_when_its_file_is_closed(tmp_path: Path) -> None:
    first, second = (os.open(tmp_path / "lock", os.O_RDWR | os.O_CREAT) for _ in range(2))
    assert lock(first)
    assert not lock(second)
    os.close(first)
    assert lock(second)
    os.close(second)
