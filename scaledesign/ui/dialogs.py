"""Every dialog of the program, made from what is open: its words, its answers, what it hands back.

Apart from what follows from an answer, which is with the files and the app; imported when the first one is
asked for, since most days begin without any.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from scaledesign.files.journal import Leftover
from scaledesign.files.remembered import load_remembered
from scaledesign.model.document import Design, Units
from scaledesign.model.saying import counted
from scaledesign.ui.chooser import Chooser, Item
from scaledesign.ui.dialog import Deciding, Reading, wrapped
from scaledesign.ui.look import Look
from scaledesign.ui.question_screen import QuestionScreen
from scaledesign.view import new_flute
from scaledesign.view.actions import ACTIONS, Action, key_words
from scaledesign.view.asking import Asking
from scaledesign.view.bare_tube import BareTube, Outcome, before_after
from scaledesign.view.desk import Desk
from scaledesign.view.file_questions import SaveAs, file_name
from scaledesign.view.help import blow_next, help_lines, why_lines
from scaledesign.view.lines import Line, Signs, Span
from scaledesign.view.new_flute import NewFlute, ReadBook
from scaledesign.view.opening import offers
from scaledesign.view.screen_words import drafts_words
from scaledesign.workshop import ask

if TYPE_CHECKING:
    from scaledesign.files.document_recover import Recovered

Keys = Mapping[str, tuple[str, ...]]
"""Keys of every action."""


# A question with a few answers


def left_over(look: Look, left: Leftover, count: int) -> Deciding:
    """Unsaved work of a window that is gone: go on with it, later, or never; ``count`` of them in all."""
    name = left.path.name if left.path else "a new flute"
    when = left.when.astimezone().strftime("%d %B, %H:%M")
    words = f"The program was stopped before {name} was saved. Its last state, of {when}, was kept."
    if left.changed:
        words += " The file itself has been written to since."
    if count > 1:
        words += f" {count - 1} more will be asked about the next time."
    answers = (("go", "Go on with it"), ("later", "Leave it for later"), ("drop", "Throw it away"))
    return Deciding(look, "Unsaved work", words, answers)


def unsaved(look: Look, desk: Desk) -> Deciding:
    """Save first what is given up, leave it, or go back."""
    answers: tuple[tuple[str, str], ...]
    answers = (("save", "Save it"), ("leave", "Leave without saving"), ("stay", "Go back"))
    words = f"{desk.title} has changes that are not saved."
    if desk.drafts:
        words = f"{drafts_words(desk)} No file can hold that; correct it, or go on without it."
    if not desk.unsaved:
        answers = (("leave", "Leave without it"), ("stay", "Go back"))
    return Deciding(look, "Save first?" if desk.unsaved else "A text is left", words, answers)


def changed_file(look: Look, path: Path) -> Deciding:
    """Somebody else wrote to the file that is to be saved to."""
    words = f"{path.name} was changed by another window or program since you opened it."
    answers = (("as", "Save under another name"), ("over", "Write over it"), ("stay", "Go back"))
    return Deciding(look, "The file changed", words, answers)


def file_there(look: Look, path: Path) -> Deciding:
    """Another file of that name is there."""
    answers = (("stay", "Keep it"), ("over", "Replace it"))
    return Deciding(look, "Replace the file?", f"{path} is there already.", answers)


def files_there(look: Look, paths: tuple[Path, ...]) -> Deciding:
    """Other files of these names are there."""
    if len(paths) == 1:
        return file_there(look, paths[0])
    answers = (("stay", "Keep them"), ("over", "Replace them"))
    names = ", ".join(path.name for path in paths)
    return Deciding(
        look, f"Replace {len(paths)} files?", f"There already in {paths[0].parent}: {names}.", answers
    )


def damaged(look: Look, name: str, found: Recovered) -> Deciding:
    """A file that cannot be opened whole: open the rest of it, or go back."""
    first, more = found.faults[0], len(found.faults) - 1
    also = f" {counted(more, 'thing')} more cannot be read." if more else ""
    words = (
        f"{replace(first, file='')}{also} The rest opens as a flute without a file of its own; "
        f"{name} stays as it is."
    )
    answers = (("rest", "Open the rest"), ("stay", "Go back"))
    return Deciding(look, f"{name} is damaged", words[0].upper() + words[1:], answers)


# A text to read


def file_faults(look: Look, name: str, text: str) -> Reading:
    """Why a file cannot be opened."""
    return Reading(look, f"{name} cannot be opened", lambda width: _sentences(text.splitlines(), width))


def left_out(look: Look, name: str, found: Recovered) -> Reading:
    """What could not be read of a file whose rest is open now."""
    told = [str(replace(fault, file="")) for fault in found.faults]
    count = counted(len(told), "thing")
    last = f"{name} is as it was. What you see here has no file yet; saving it asks for a name."
    sentences = [*(f"{one[0].upper()}{one[1:]}" for one in told), last]
    return Reading(look, f"{count} in {name} cannot be read", lambda width: _sentences(sentences, width))


def _sentences(sentences: Sequence[str], width: int) -> tuple[Line, ...]:
    """Sentences to read, a line free behind each."""
    return tuple(line for sentence in sentences for line in (*wrapped(sentence, width), ()))


def help_for(look: Look, desk: Desk, keys: Keys) -> Reading:
    """Help for where the cursor is, and every key."""
    return Reading(look, "Help", lambda width: help_lines(desk, keys, width))


def why(look: Look, desk: Desk) -> Reading:
    """Everything there is to say of the flute."""
    blowing = blow_next(desk)
    return Reading(look, "What there is to say", lambda width: why_lines(desk, width, blowing))


def handbook_page(look: Look, name: str) -> Reading:
    """A page of the handbook; its pictures are named, not shown."""
    from scaledesign.files.handbook import page
    from scaledesign.view.page_lines import page_lines

    text = page(name).text
    return Reading(look, f"The handbook: {name}", lambda width: page_lines(text, width))


# One of many


def handbook(look: Look) -> Chooser:
    """A page of the handbook to read."""
    from scaledesign.files.handbook import pages

    items = tuple(Item(page.name, page.name, page.words, page.kind) for page in pages())
    return Chooser(look, "The handbook", items, hint="a part of a name, or of what it is about", whole=True)


def flutes(look: Look, folder: Path, title: str = "Open a flute", first: str = "") -> Chooser:
    """A design to open; ``first`` stands before the files, where there is something else to choose."""
    items = tuple(
        Item(str(offer.path), offer.name, offer.words, offer.kind)
        for offer in offers(load_remembered().recent, folder)
    )
    own = (Item(first, first, "before what you changed since"),) if first else ()
    return Chooser(look, title, (*own, *items), free=True, hint="a part of its name, or a path")


def commands(look: Look, desk: Desk, keys: Keys) -> Chooser:
    """Every command by name."""
    every = tuple(each for each in ACTIONS if each.name != "palette")
    return _actions(look, "Commands", desk, keys, every, whole=True)


def bench_tasks(look: Look, desk: Desk, keys: Keys) -> Chooser:
    """Everything there is to do at the bench."""
    every = tuple(each for each in ACTIONS if each.group == "the bench" and each.name != "benchwork")
    return _actions(look, "At the bench", desk, keys, every, whole=True)


def _actions(
    look: Look, title: str, desk: Desk, keys: Keys, actions: tuple[Action, ...], *, whole: bool = False
) -> Chooser:
    steps = {"undo": desk.history.undo_name, "redo": desk.history.redo_name}
    items = tuple(
        Item(
            action.name,
            f"{action.title} {steps.get(action.name, '')}".rstrip(),
            action.words,
            " ".join(key_words(k) for k in keys[action.name][:1]),
            action.name.replace("_", " "),
        )
        for action in actions
    )
    return Chooser(look, title, items, whole=whole)


# A few questions


def save_as(look: Look, desk: Desk, folder: Path) -> QuestionScreen[Path]:
    """A file to write the design to."""
    name = desk.path.name if desk.path else file_name(desk.title, folder)
    asking: Asking[SaveAs, Path] = Asking(
        "Save as", SaveAs.questions, SaveAs.tail, lambda answers: answers.ready,
        lambda answers: answers.path, "save", 1,
    )  # fmt: skip
    return QuestionScreen(look, asking, SaveAs(folder, name, desk.path))


def new(look: Look, units: Units | None, book: ReadBook) -> QuestionScreen[Design]:
    """A few questions, and a flute laid out, its mouth as the maker's book has it where there is one."""

    def preview(flute: NewFlute, width: int) -> tuple[Line, ...]:
        good = flute.wanted() is not None
        return wrapped(flute.preview(), width, "true" if good else "plain") or ((Span(""),),)

    asking: Asking[NewFlute, Design] = Asking(
        "A new flute",
        lambda flute: (*flute.questions(), *flute.extras()),
        preview,
        lambda flute: flute.wanted() is not None,
        lambda flute: new_flute.made(flute).design,
        "lay it out",
        len(new_flute.QUESTIONS),
    )
    return QuestionScreen(look, asking, NewFlute(ask.offers(), units, book=book))


def blow(look: Look, desk: Callable[[], Desk]) -> QuestionScreen[Outcome]:
    """Blow the bare tube, type what the tuner shows, and the ± shrinks."""
    asking: Asking[BareTube, Outcome] = Asking(
        "Blow the bare tube",
        BareTube.questions,
        lambda tube, width: _blown(tube, desk().signs, width),
        lambda tube: tube.outcome() is not None,
        _outcome_of,
        "keep it",
        2,  # the length too: a tube is seldom as long as planned when it is blown
        to_mend=BareTube.to_mend,
    )
    return QuestionScreen(look, asking, BareTube(desk().design))


def _outcome_of(tube: BareTube) -> Outcome:
    outcome = tube.outcome()
    assert outcome is not None  # the dialog asks only when there is one
    return outcome


def _blown(tube: BareTube, signs: Signs, width: int) -> tuple[Line, ...]:
    """What the bare tube should sound; once the tuner has spoken, the ± before and after."""
    outcome = tube.outcome()
    if outcome is None:
        refusal = tube.refusal()
        told = refusal or tube.missing() or tube.expected()
        return wrapped(told, width, "wrong" if refusal else "plain")
    odd = (line for note in outcome.notes for line in wrapped(note, width, "reach"))
    return (*before_after(outcome, signs, width), (), *wrapped(outcome.words, width, "true"), *odd)
