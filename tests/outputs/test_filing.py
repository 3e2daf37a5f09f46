"""Files in a folder: all or none, nothing replaced that was not given up."""

from __future__ import annotations

from pathlib import Path

import pytest

from scaledesign.errors import EditError
from scaledesign.locations import EXAMPLES
from scaledesign.outputs.filing import check
from scaledesign.outputs.make import Made, write

TWO = (Made("a.txt", b"one"), Made("b.txt", b"two"))


def test_a_folder_is_made_and_filled(tmp_path: Path) -> None:
    bench = tmp_path / "bench"
    assert write(bench, TWO, new=True) == (bench / "a.txt", bench / "b.txt")
    assert [path.read_bytes() for path in sorted(bench.iterdir())] == [b"one", b"two"]


@pytest.mark.parametrize(("folder", "new"), [("bench", False), ("nowhere/bench", True)])
def test_a_mistyped_folder_is_not_made(tmp_path: Path, folder: str, new: bool) -> None:
    missing = (tmp_path / folder).parent if new else tmp_path / folder
    with pytest.raises(EditError, match=f"there is no folder {missing}; make it first, or choose another"):
        write(tmp_path / folder, TWO, new=new)
    assert not list(tmp_path.iterdir())


def test_one_that_is_there_stops_all(tmp_path: Path) -> None:
    (tmp_path / "b.txt").write_text("precious")
    with pytest.raises(EditError, match=r"b\.txt is there already; give another name, or --force"):
        write(tmp_path, TWO)
    assert [path.name for path in tmp_path.iterdir()] == ["b.txt"]
    write(tmp_path, TWO, force=True)
    assert (tmp_path / "b.txt").read_bytes() == b"two"


def test_the_design_and_the_examples_are_kept(tmp_path: Path) -> None:
    own = tmp_path / "a.txt"
    own.write_text("the design")
    link = tmp_path / "link"
    link.symlink_to(tmp_path, target_is_directory=True)
    with pytest.raises(EditError, match="is the design itself"):
        write(link, TWO, force=True, own=own)
    with pytest.raises(EditError, match="an example is not written to"):
        write(EXAMPLES, TWO, force=True)
    assert [path.name for path in sorted(tmp_path.iterdir())] == ["a.txt", "link"]


def test_a_folder_that_cannot_be_is_said(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(EditError, match="file is a file and no folder; give another name"):
        write(tmp_path / "file", TWO)
    with pytest.raises(EditError, match="file is a file and no folder; give another name"):
        write(tmp_path / "file/below", TWO, new=True)
    with pytest.raises(EditError, match="cannot be a folder"):
        write(tmp_path / ("x" * 300), TWO, new=True)
    (tmp_path / "b.txt").mkdir()
    with pytest.raises(EditError, match="is a folder"):
        write(tmp_path, TWO, force=True)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["b.txt", "file"]


@pytest.mark.parametrize("force", [False, True])
def test_a_folder_is_no_file_to_replace(tmp_path: Path, force: bool) -> None:
    with pytest.raises(EditError, match="is a folder; name a file in it, or another place"):
        check(tmp_path, force=force)
