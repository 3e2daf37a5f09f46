"""Entries of the journal: what is written is read, what is cut short is noticed."""

from __future__ import annotations

import os
from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

import scaledesign
from scaledesign.files import journal_entry
from scaledesign.files.journal_entry import Entry, UnreadableError, claim_of, names, new_claim
from scaledesign.files.stamp import stamp_of_text
from scaledesign.locations import PACKAGE

WHEN = datetime(2026, 1, 5, 10, 20, 0, 123456, UTC)
ENTRY = Entry(Path("/bench/wren.toml"), stamp_of_text("before"), WHEN, 'name = "wren"\r\n# Flöte\n')

paths = st.lists(st.binary(min_size=1, max_size=6), min_size=1, max_size=3).map(
    lambda parts: Path(os.fsdecode(b"/" + b"/".join(part.replace(b"\0", b"") for part in parts)))
)


@example(path=Path("/a\r\nb\n"), stamp=None, when=WHEN, text="\r\n\0")
@given(
    path=st.none() | paths,
    stamp=st.none() | st.text(max_size=4).map(stamp_of_text),
    when=st.datetimes(timezones=st.just(UTC)),
    text=st.none() | st.text(st.characters(exclude_categories=[])),
)
def test_what_is_written_is_read(path: Path, stamp: str, when: datetime, text: str) -> None:
    entry = Entry(path, stamp, when, text)
    assert Entry.decode(entry.encode()) == entry


@pytest.mark.parametrize("entry", [ENTRY, Entry(None, None, WHEN, ""), Entry(None, None, WHEN, None)])
def test_no_part_of_an_entry_passes_for_the_whole(entry: Entry) -> None:
    data = entry.encode()
    for cut in range(len(data)):
        with pytest.raises(UnreadableError) as caught:
            Entry.decode(data[:cut])
        assert not caught.value.newer


@pytest.mark.parametrize("place", range(-20, 0))
def test_a_changed_byte_of_the_text_is_noticed(place: int) -> None:
    data = bytearray(ENTRY.encode())
    data[place] ^= 1
    with pytest.raises(UnreadableError):
        Entry.decode(bytes(data))


@pytest.mark.parametrize(
    ("old", "new"),
    [(b"2026-01-05", b"yesterday"), (b"# journal: 1", b"# journal: x"), (b"# when", b"# then")],
)
def test_a_spoiled_head_is_noticed(old: bytes, new: bytes) -> None:
    data = ENTRY.encode()
    assert old in data
    with pytest.raises(UnreadableError) as caught:
        Entry.decode(data.replace(old, new))
    assert not caught.value.newer


def test_a_newer_entry_is_known_as_newer_whatever_else_it_says() -> None:
    with pytest.raises(UnreadableError) as caught:
        Entry.decode(b"# Other words.\n# journal: 2\nother things")
    assert caught.value.newer


def test_an_entry_is_a_design_file_that_says_where_it_belongs() -> None:
    text = (PACKAGE / "examples" / "marsh-wren.toml").read_text(encoding="utf-8")
    entry = Entry(Path("/bench/wren.toml"), None, WHEN, text).encode().decode()
    assert scaledesign.loads(entry).rows == scaledesign.loads(text).rows
    assert "# file: /bench/wren.toml\n" in entry


def test_a_claim_is_had_once(tmp_path: Path) -> None:
    claim = new_claim(tmp_path / "journal")
    assert names(claim.folder) == {claim.name}
    assert claim_of(claim.folder, claim.name) is None
    claim.release()
    again = claim_of(claim.folder, claim.name)
    assert again is not None
    again.remove()
    assert list(claim.folder.iterdir()) == []


def test_a_lock_that_was_removed_holds_nothing(tmp_path: Path) -> None:
    lost = new_claim(tmp_path)
    lost.lock.unlink()
    assert not lost.holds()
    taken = claim_of(tmp_path, lost.name)
    assert taken is not None
    assert taken.holds()
    assert not lost.holds()
    taken.entry.write_bytes(ENTRY.encode())
    lost.remove()
    assert taken.entry.exists()
    assert taken.holds()
    taken.remove()


def test_a_lock_opened_before_it_was_removed_is_no_claim(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = journal_entry.lock

    def slow(file: int) -> bool:
        (tmp_path / "0123456789abcdef.lock").unlink()
        return real(file)

    monkeypatch.setattr(journal_entry, "lock", slow)
    assert claim_of(tmp_path, "0123456789abcdef") is None


def test_only_entries_have_names(tmp_path: Path) -> None:
    for name in ("0123456789abcdef.toml", "0123456789abcdef.damaged", "flute.toml", "0123456789abcdef.toml~"):
        (tmp_path / name).touch()
    (tmp_path / "fedcba9876543210.lock").touch()
    assert names(tmp_path) == {"0123456789abcdef", "fedcba9876543210"}
    assert names(tmp_path / "missing") == frozenset()
