"""The maker's book: what is read of a folder, what a flute taught, and what that is worth to the next one."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from pathlib import Path

import numpy as np
import pytest

from scaledesign import locations
from scaledesign.errors import EditError
from scaledesign.files import design_folder, document_file
from scaledesign.model.document import Design, Embouchure, Instrument, LogEntry, Voicing
from scaledesign.physics.mouth import GUESS_DOUBT
from scaledesign.solver.problem import unread, voicing_of
from scaledesign.workshop.book import Book, read_book
from scaledesign.workshop.book_advice import _doubts, advise, odd_ones, stated, taken
from scaledesign.workshop.book_words import habits, outlooks, warnings
from scaledesign.workshop.calibration import bare_tube
from scaledesign.workshop.from_book import doubts, new_from_book, story
from scaledesign.workshop.start import Wanted
from tests.workshop.makers import WORLDS, Maker, blown, filled, maker, tube

WHEN = datetime(2026, 3, 1, 9, 30)
WREN = locations.EXAMPLES / "marsh-wren.toml"


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(locations.HOME_VARIABLE, str(tmp_path / "home"))


@pytest.fixture(scope="module")
def finished(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Eight flutes of a maker whose mouths add a quarter more than their measures say."""
    folder = tmp_path_factory.mktemp("flutes")
    filled(folder, Maker(0.22, 0.0, 0.0, 0.05), 8, np.random.default_rng(1))
    return folder


@pytest.fixture
def flutes(finished: Path, tmp_path: Path) -> Path:
    """The same in a folder of one's own."""
    folder = tmp_path / "flutes"
    folder.mkdir()
    for path in finished.glob("*.toml"):
        (folder / path.name).write_bytes(path.read_bytes())
    return folder


# What a flute taught


def test_what_was_believed_before_is_taken_out_again() -> None:
    """One reading teaches the same of a mouth, whatever the file stated before it was blown."""
    random = np.random.default_rng(2)
    design = tube(random)
    found = []
    for stated_length, uncertainty in ((None, None), (0.032, 0.002), (0.034, 0.004)):
        voicing = replace(design.voicing, added_length=stated_length, uncertainty=uncertainty)
        done = blown(replace(design, voicing=voicing), 0.040, np.random.default_rng(3))
        found.append((_flute(done).learnt, _flute(done).doubt, done.voicing.added_length))
    learnt = [each[0] for each in found]
    assert learnt == pytest.approx([learnt[0]] * 3, abs=1.5e-4)
    assert [each[1] for each in found] == pytest.approx([found[0][1]] * 3, rel=0.2)
    assert found[1][2] is not None
    assert abs(found[1][2] - learnt[1]) > 1e-3  # what the file says leans towards what was stated


def _flute(design: Design):
    from scaledesign.workshop.book import _facts
    from scaledesign.workshop.book import _flute as made

    return made(Path("x.toml"), _facts(design))


def test_readings_that_say_nothing_of_the_mouth_do_not_count() -> None:
    design = blown(tube(np.random.default_rng(4)), 0.04, np.random.default_rng(4))
    before = voicing_of(unread(design)).uncertainty
    vague = replace(design, voicing=replace(design.voicing, uncertainty=0.95 * before))
    assert _flute(design).counts
    assert not _flute(vague).counts
    assert not _flute(unread(design)).counts


@pytest.mark.parametrize("path", sorted(locations.EXAMPLES.glob("*.toml")), ids=lambda path: path.stem)
def test_the_doubt_that_is_shared_out_is_that_of_the_estimate(path: Path) -> None:
    design = document_file.load(path)
    plain = replace(design, voicing=replace(design.voicing, added_length=None, uncertainty=None))
    estimate = voicing_of(plain)
    assert np.hypot(*_doubts(plain)) == pytest.approx(estimate.uncertainty / estimate.added_length)
    assert np.hypot(*_doubts(replace(plain, voicing=Voicing()))) == pytest.approx(GUESS_DOUBT)


# The folder


def test_a_folder_is_read_with_those_right_below_it_and_damaged_files_are_named(flutes: Path) -> None:
    (flutes / "old" / "older").mkdir(parents=True)
    (flutes / "flute-01.toml").rename(flutes / "old" / "first.toml")
    (flutes / "flute-02.toml").rename(flutes / "old" / "older" / "second.toml")
    (flutes / "broken.toml").write_text("units = 3\n")
    (flutes / ".hidden.toml").write_text("units = 3\n")
    (flutes / "notes.txt").write_text("no design\n")
    (flutes / "plan.toml").write_bytes(WREN.read_bytes())
    book = read_book(flutes)
    assert [flute.path.name for flute in book.flutes][-2:] == ["plan.toml", "first.toml"]
    assert len(book.taught) == 7
    (passed,) = book.passed_over
    assert "broken.toml" in passed
    assert any(passed in said for said in warnings(book))


def test_a_copy_counts_once(flutes: Path) -> None:
    (flutes / "a copy.toml").write_bytes((flutes / "flute-03.toml").read_bytes())
    book = read_book(flutes)
    assert len(book.taught) == 8
    ((copy, kept),) = book.copies
    assert {copy.name, kept.name} == {"a copy.toml", "flute-03.toml"}
    assert any("counted once" in said for said in warnings(book))


def test_no_more_are_read_than_a_book_holds(flutes: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(design_folder, "MOST", 5)
    book = read_book(flutes)
    assert (len(book.flutes), book.more) == (5, 3)
    assert any("3 files more" in said for said in warnings(book))


def test_no_more_names_are_looked_at_than_a_folder_has(flutes: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for number in range(3):
        (flutes / f"{number}").mkdir()
        (flutes / f"{number}" / "one.toml").write_bytes(WREN.read_bytes())
    monkeypatch.setattr(design_folder, "MOST_SEEN", 12)
    assert len(read_book(flutes).flutes) == 9  # eight and three folders, then one name more


def test_what_was_read_is_not_read_again_until_it_changes(
    flutes: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = read_book(flutes)
    read: list[str] = []

    def load(path: Path) -> Design:
        read.append(path.name)
        return document_file.loads(path.read_text(encoding="utf-8"))

    monkeypatch.setattr(design_folder.document_file, "load", load)
    again = read_book(flutes)
    assert read == []
    assert [flute.learnt for flute in again.flutes] == [flute.learnt for flute in first.flutes]
    path = flutes / "flute-04.toml"
    path.write_text(path.read_text(encoding="utf-8") + "# more\n", encoding="utf-8")
    read_book(flutes)
    assert read == ["flute-04.toml"]
    for damage in (b"", b"{", b"[]", b'{"format": 1, "version": "1", "files": {"x": 3}}'):
        read.clear()
        (locations.user_state() / design_folder.NOTES).write_bytes(damage)
        assert len(read_book(flutes).taught) == 8
        assert len(read) == 8


def test_notes_that_are_damaged_inside_are_read_anew(flutes: Path) -> None:
    read_book(flutes)
    notes = locations.user_state() / design_folder.NOTES
    notes.write_text(notes.read_text().replace('"tube"', '"pipe"'))
    assert len(read_book(flutes).taught) == 8


def test_a_folder_that_is_none_is_refused(tmp_path: Path) -> None:
    with pytest.raises(EditError, match="is no folder"):
        read_book(tmp_path / "nowhere")


# What it is worth


def test_twenty_flutes_halve_the_error_of_the_next_and_the_doubt_says_so(tmp_path: Path) -> None:
    """Three makers whose habit hangs on the window too; ``tests/bench/book.py`` tries two hundred."""
    without, with_it, stated_so = [], [], []
    for number in range(3):
        random = np.random.default_rng(50 + number)
        who, folder = maker(WORLDS[1], random), tmp_path / f"maker {number}"
        folder.mkdir()
        filled(folder, who, 20, random)
        book = read_book(folder)
        for _ in range(15):
            design = tube(random)
            truth, advice = who.truth(design, random), advise(book, design)
            without.append(advice.estimate.added_length - truth)
            with_it.append(advice.added_length - truth)
            stated_so.append(advice.uncertainty)
            assert advice.uncertainty < 0.5 * advice.estimate.uncertainty

    def rms(values: list[float]) -> float:
        return float(np.sqrt(np.mean(np.square(values))))

    far = np.abs(np.array(with_it) / np.array(stated_so))
    assert rms(with_it) <= 0.5 * rms(without)
    assert 0.5 <= np.mean(far < 1) <= 0.9
    assert np.mean(far < 2) >= 0.88


def test_other_mouths_say_nothing(flutes: Path) -> None:
    book = read_book(flutes)
    rim = replace(tube(np.random.default_rng(5)), instrument=Instrument(mouth="rim"), voicing=Voicing())
    advice = advise(book, rim)
    assert advice.alike == ()
    assert (advice.added_length, advice.uncertainty) == (
        advice.estimate.added_length,
        advice.estimate.uncertainty,
    )
    with pytest.raises(EditError, match="nothing like this flute"):
        taken(rim, advice, WHEN)
    with pytest.raises(EditError, match="ideal open end"):
        advise(book, replace(rim, instrument=Instrument(mouth="open")))


def test_a_flute_says_nothing_of_itself(flutes: Path) -> None:
    book = read_book(flutes)
    path = flutes / "flute-05.toml"
    design = document_file.load(path)
    assert len(book.without(path).taught) == 7
    assert len(book.without(None, design).taught) == 7
    assert len(book.without(None, tube(np.random.default_rng(6))).taught) == 8


def test_an_opening_that_is_not_cut_yet_is_taken_as_the_maker_cuts_it(flutes: Path) -> None:
    book = read_book(flutes)
    design = replace(tube(np.random.default_rng(7)), voicing=Voicing())
    advice = advise(book, design)
    assert "as you cut them" in advice.words
    assert advice.uncertainty < 0.5 * advice.estimate.uncertainty
    few = Book(flutes, book.flutes[:2])
    assert "as you cut them" not in advise(few, design).words


def test_a_lip_that_was_measured_is_known_by_its_hole(tmp_path: Path) -> None:
    random = np.random.default_rng(9)
    for number in range(4):
        plain = tube(random, number)
        bore = plain.tube.bore[0].value
        hole = Embouchure(0.6 * bore, 0.5 * bore, covered=0.3)
        design = replace(plain, instrument=Instrument(mouth="transverse"), voicing=Voicing(embouchure=hole))
        done = blown(design, 0.9 * voicing_of(design).added_length, random, number)
        document_file.save(done, tmp_path / f"{number}.toml")
    book = read_book(tmp_path)
    assert book.kinds() == ("transverse",)
    advice = advise(book, replace(design, voicing=Voicing()))
    assert "its mouth hole" in advice.words
    assert advice.added_length == pytest.approx(0.9 * voicing_of(design).added_length, rel=0.05)


# Taking it


def test_what_the_book_says_is_stated_and_the_log_says_from_which_flutes(flutes: Path) -> None:
    book = read_book(flutes)
    design = document_file.load(WREN)
    advice = advise(book, design)
    done = taken(design, advice, WHEN)
    assert (done.voicing.added_length, done.voicing.uncertainty) == (advice.added_length, advice.uncertainty)
    assert not done.voicing.calibrated
    assert done.log[-1] == LogEntry(WHEN, "note", note=done.log[-1].note)
    assert "8 flutes of yours, most like it Flute" in done.log[-1].note
    assert document_file.loads(document_file.dumps(done)) == done
    without, with_it = doubts(design, advice)
    assert with_it < 0.6 * without
    assert bare_tube(done)[1] < 0.6 * bare_tube(design)[1]
    again = taken(done, advise(book, done), WHEN)
    assert again.voicing == done.voicing  # what the file states changes nothing
    assert "was stated" in again.log[-1].note


def test_a_flute_that_was_blown_takes_nothing(flutes: Path) -> None:
    book = read_book(flutes)
    design = document_file.load(flutes / "flute-01.toml")
    with pytest.raises(EditError, match="was blown already"):
        taken(design, advise(book.without(None, design), design), WHEN)


def test_a_new_flute_begins_with_the_book(flutes: Path) -> None:
    want = Wanted(0.016, 0.0035, "A4", "pentatonic minor", "six-hole pentatonic")
    book = read_book(flutes)
    plain, found = new_from_book(want, None), new_from_book(want, book, WHEN)
    assert found.notes[0].startswith("Your book: ± ")
    assert found.design.voicing.added_length is not None
    assert found.design.log[-1].when == WHEN
    assert found.design.tube.length < plain.design.tube.length  # its mouths add more
    assert float(found.prediction.uncertainty.max()) < 0.7 * float(plain.prediction.uncertainty.max())
    other = new_from_book(replace(want, mouth="notch"), book)
    assert other.design.log == ()
    assert "nothing like it" in other.notes[0]


# In words


def test_habits_are_told_where_the_flutes_bear_them_out(flutes: Path) -> None:
    book = read_book(flutes)
    (first, *rest) = habits(book, "mm")
    assert first.startswith("Your windows add 2")
    assert "more tube than their measures say" in first
    assert "going by 8 flutes; one flute differs from the next by about" in first
    assert any("metric 0.5 bits (8 of 8 flutes)" in said for said in rest)
    assert not any("bores come out" in said for said in rest)  # no row was read
    (outlook,) = outlooks(book)
    without, with_it = outlook.advice.cents
    assert with_it < 0.5 * without


def test_what_rows_taught_of_the_measuring_is_told_only_when_clear(flutes: Path) -> None:
    for number, path in enumerate(sorted(flutes.glob("*.toml"))):
        design = document_file.load(path)
        document_file.save(replace(design, learned=replace(design.learned, bore=(100 + number) * 1e-6)), path)
    book = read_book(flutes)
    read = Book(flutes, tuple(replace(flute, rows_read=5) for flute in book.flutes))
    assert any("bores come out 0.1 mm wider than you measure" in said for said in habits(read, "mm"))
    mixed = tuple(replace(f, bore=f.bore * (-1) ** i) for i, f in enumerate(read.flutes))
    assert not any("bores come out" in said for said in habits(Book(flutes, mixed), "mm"))


def test_what_the_habit_hangs_on_is_told(tmp_path: Path) -> None:
    filled(tmp_path, Maker(0.1, -1.0, 0.0, 0.03), 14, np.random.default_rng(11))
    said = habits(read_book(tmp_path), "mm")
    (hangs,) = [each for each in said if each.startswith("It hangs on the window's length: +")]
    assert " % at 4" in hangs
    assert ", -" in hangs


def test_a_flute_that_contradicts_the_others_is_named(flutes: Path) -> None:
    path = flutes / "flute-06.toml"
    design = document_file.load(path)
    assert design.voicing.added_length is not None
    far = replace(design, voicing=replace(design.voicing, added_length=2.2 * design.voicing.added_length))
    document_file.save(far, path)
    book = read_book(flutes)
    ((flute, z),) = odd_ones(book)
    assert flute.path.name == "flute-06.toml"
    assert z > 3
    assert any("contradicts the others" in said for said in warnings(book))


def test_the_story_of_a_good_one(flutes: Path) -> None:
    design = document_file.load(WREN)
    rows = (replace(design.rows[0], measured="A4 -4"), *design.rows[1:])
    log = (*design.log, LogEntry(WHEN, "opened", hole=2, diameter=0.0072, was=0.0065, note="filed the rim"))
    told = dict(story(replace(design, rows=rows, log=log), "mm"))
    assert told["the notes it played"] == ("A4 XXX XXX played A4 -4: -4 cents",)
    assert told["its log"][-1] == "2026-03-01 opened hole 3 to 7.2 mm filed the rim"
    assert "window 4.8 mm long, 9.5 mm wide" in told["what it is"]


def test_stated_changes_the_mouth_alone() -> None:
    design = document_file.load(WREN)
    advice = advise(Book(Path()), design)
    assert replace(stated(design, advice), voicing=design.voicing) == design
