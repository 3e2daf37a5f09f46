"""What is offered to be opened, and what is opened first."""

from __future__ import annotations

from pathlib import Path

import scaledesign
from scaledesign.locations import EXAMPLES, is_example
from scaledesign.view.opening import FIRST, MOST, example_paths, first_path, offers


def test_the_examples_can_be_opened() -> None:
    assert len(example_paths()) == 5
    for path in example_paths():
        assert is_example(path)
        assert scaledesign.load(path).rows
    assert EXAMPLES / f"{FIRST}.toml" in example_paths()


def test_recent_files_first_then_the_folder_then_the_examples(tmp_path: Path) -> None:
    mine, other, gone = tmp_path / "mine.toml", tmp_path / "other.toml", tmp_path / "gone.toml"
    for path in (mine, other):
        path.write_text("format = 1\n")
    (tmp_path / "notes.txt").write_text("not a flute")
    (tmp_path / "folder.toml").mkdir()
    found = offers((gone, mine), tmp_path)
    assert [(offer.name, offer.kind) for offer in found[:2]] == [("mine", "recent"), ("other", "here")]
    assert {offer.kind for offer in found[2:]} == {"example"}
    assert found[0].words == str(tmp_path)
    assert [offer.path for offer in found[2:]] == list(example_paths())


def test_a_folder_that_is_gone_or_endless(tmp_path: Path) -> None:
    assert len(offers((), tmp_path / "nowhere")) == len(example_paths())
    for i in range(MOST + 5):
        (tmp_path / f"{i:03}.toml").touch()
    assert sum(offer.kind == "here" for offer in offers((), tmp_path)) == MOST


def test_the_last_flute_that_is_still_there_is_opened_first(tmp_path: Path) -> None:
    mine = tmp_path / "mine.toml"
    mine.touch()
    assert first_path((tmp_path / "gone.toml", mine)) == mine
    assert first_path((tmp_path / "gone.toml",)) == EXAMPLES / f"{FIRST}.toml"
    assert not is_example(mine)
