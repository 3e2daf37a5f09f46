"""template, sheet, holes, chart and print: what leaves as a file, and two of them printed as text.

Apart from the commands that say something about a design. What is made is made by ``outputs``; here is which
form an ending means, where it goes, and what is said of it.
"""

from __future__ import annotations

import argparse
import shlex
import sys
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TypeVar

from scaledesign.cli.as_json import design_object, json_text, print_json
from scaledesign.cli.exit_codes import NOT_MET, OK
from scaledesign.cli.files import design_path, kept, next_file, output_path, read_design
from scaledesign.cli.signs import can_show
from scaledesign.errors import EditError, QuantityError
from scaledesign.files.document_file import put_bytes
from scaledesign.files.settings import LONGEST_MAKER, Settings
from scaledesign.model.document import Design
from scaledesign.outputs import usual
from scaledesign.outputs.coming_out import warning
from scaledesign.outputs.filing import check, check_folder, write
from scaledesign.outputs.kinds import BY_KIND, FORM_WORDS, Form, Kind
from scaledesign.outputs.make import Made, Work, base_name, can_make, make, numbered, one_of
from scaledesign.paper.choices import PaperChoices
from scaledesign.paper.press import PPI
from scaledesign.paper.text import bullets, paragraph
from scaledesign.wanted import each

PIXELS = (36.0, 1200.0)
"""An inch, from what can just be read to what no printer passes."""
AS: dict[str, Form] = {"text": "txt", "csv": "csv", "tsv": "tsv"}
"""Forms by their words in ``--as``."""
CHOSEN = {
    "paper": "paper", "units": "units", "origin": "origin", "names": "names", "style": "style",
    "large": "large", "overblown": "registers", "others": "alternates", "trills": "trills", "maker": "maker",
}  # fmt: skip
"""Arguments, and what they are called among the choices."""
TRUE_SIZE = "Print {} at 100 %, not fitted to the page, and measure the bar before you cut."
"""What is said of a template as PDF."""
Word = TypeVar("Word", bound=str)
DRAWN: tuple[Form, ...] = ("pdf", "svg", "png", "html")
"""Forms that show the maker's picture."""


def template(args: argparse.Namespace) -> int:
    """Write the drilling template."""
    return _one(args, "template")


def sheet(args: argparse.Namespace) -> int:
    """Write the shop sheet."""
    return _one(args, "sheet")


def holes(args: argparse.Namespace) -> int:
    """Print or write the hole list of the design as it stands."""
    design = read_design(args)
    output = _list_path(args)
    form = AS["text"] if args.json and not args.form else _form(args, "holes")
    work = _work(args, design)
    if args.json:
        prediction = work.prediction
        text = json_text(design_object(design, prediction, prediction.notes)) + "\n"
        return _hand_out(args, text.encode("utf-8"), output)
    (made,) = make(work, "holes", form, replace(PaperChoices(), units=args.units, origin=args.origin))
    return _hand_out(args, made.data, output)


def chart(args: argparse.Namespace) -> int:
    """Print or write the fingering chart: in letters where the terminal has no circles."""
    design = read_design(args)
    output = _list_path(args)
    form = _form(args, "chart")
    choices = _choices(args, (form,))
    work = _work(args, design)
    if output and form in ("pdf", "svg", "png", "html"):
        return _written(args, work, "chart", form, choices, output)
    (made,) = make(work, "chart", form, choices, ascii_only=args.ascii, narrow=args.narrow)
    if not output and not can_show(sys.stdout, made.data.decode("utf-8")):
        (made,) = make(work, "chart", form, choices, ascii_only=True, narrow=args.narrow)
    _hand_out(args, made.data, output)
    return _ended(args, work)


def print_all(args: argparse.Namespace) -> int:
    """Write everything, or what is asked for, into one folder.

    What of everything cannot be made of this flute is left out and said; of what was asked for only a form
    that is not installed.
    """
    wanted = _wanted(args)
    design = read_design(args)
    choices = _choices(args, [form for _, form in wanted])
    work, ppi = _work(args, design), _ppi(args)
    folder = Path(args.into) if args.into else Path(base_name(design, work.stem))
    check_folder(folder, new=True)
    for kind, form in wanted:  # before the work is done; pages that are numbered are looked at by ``write``
        check(folder / work.file_name(kind, form), force=args.force, own=design_path(args))
    made, left = list[tuple[Kind, Form, tuple[Made, ...]]](), list[str]()
    for kind, form in each(wanted):
        try:
            made.append((kind, form, make(work, kind, form, choices, ppi=ppi)))
        except EditError as error:
            asked = args.only is not None or args.forms is not None
            if asked and (can_make(form) or len(wanted) == 1):
                raise
            left.append(f"Left out: {work.file_name(kind, form)}: {error}")
    files = [each for _, _, some in made for each in some]
    write(folder, files, new=True, force=args.force, own=design_path(args))
    if args.json:
        objects = [_object(kind, form, folder, each) for kind, form, some in made for each in some]
        print_json({"folder": str(folder), "files": objects, "left_out": left})
    else:
        said = [f"{_named(some)}: {_words(kind, form)}" for kind, form, some in made]
        if any((kind, form) == ("template", "pdf") for kind, form, _ in made):
            left.insert(0, TRUE_SIZE.format("the template"))
        print("\n".join((f"Written to {folder}:", bullets(said), *map(paragraph, left))))
    return OK if all(kind == "template" for kind, _, _ in made) else _ended(args, work)


def _one(args: argparse.Namespace, kind: Kind) -> int:
    """One kind to one file, or one a page."""
    design = read_design(args)
    form = _form(args, kind)
    work = _work(args, design)
    output = output_path(args) or Path(work.file_name(kind, form))
    check(output, force=args.force, own=design_path(args))
    return _written(args, work, kind, form, _choices(args, (form,)), output)


def _written(
    args: argparse.Namespace, work: Work, kind: Kind, form: Form, choices: PaperChoices, output: Path
) -> int:
    made = make(work, kind, form, choices, ppi=_ppi(args))
    files = [Made(name, each.data) for name, each in zip(numbered(output.name, len(made)), made, strict=True)]
    write(output.parent, files, force=args.force, own=design_path(args))
    if getattr(args, "json", False):
        print_json({"files": [_object(kind, form, output.parent, each) for each in files]})
    else:
        named = f"{output.parent / files[0].name}"
        if len(files) > 1:
            named = f"{named} to {files[-1].name}, one a page"
        said = f"Written to {named}."
        if kind == "template" and form == "pdf":
            said += f" {TRUE_SIZE.format('it')}"
        print(paragraph(said))
    return OK if kind == "template" else _ended(args, work)


def _ended(args: argparse.Namespace, work: Work) -> int:
    """Whether the notes come out; where one does not, it is said beside what was written."""
    example: str | None = getattr(args, "example", None)
    flute = f"--example {example}" if example else shlex.quote(str(args.file))
    said = warning(work.design, work.prediction, f"scaledesign predict {flute}")
    if said:
        print(said, file=sys.stderr)
    return NOT_MET if said else OK


def _work(args: argparse.Namespace, design: Design) -> Work:
    file, first = next_file(args, None)
    return Work(
        design, file=file, first=first, stem=design_path(args).stem, units=getattr(args, "units", None)
    )


def _form(args: argparse.Namespace, kind: Kind) -> Form:
    """The form that is asked for: by ``--as``, by the ending of OUT, else the usual one to print or write.

    Raises
    ------
    EditError
        when the ending says nothing, or something else than ``--as``.
    """
    forms = BY_KIND[kind].forms
    ending = Path(args.output or "").suffix.lower().removeprefix(".")
    if getattr(args, "form", None):
        form = AS[args.form]
        if ending in FORM_WORDS and ending not in (form, "txt"):  # a table is text too
            raise EditError(
                f"--as {args.form} and {args.output} do not agree on what to write",
                f"end it with .{form}, or leave --as out",
            )
        return form
    if args.output is None:
        return "txt" if kind in ("holes", "chart") else forms[0]
    if ending in forms:
        return ending
    if not ending and "txt" in forms:
        return "txt"
    raise EditError(
        f"{args.output} does not say by its ending what to write",
        f"end it with {one_of([f'.{form}' for form in forms])}",
    )


def _choices(args: argparse.Namespace, forms: Sequence[Form]) -> PaperChoices:
    """What is chosen: by an option, else by the settings, else as usual. What is wrong there is said."""
    chosen, faults = usual.settings()
    for fault in faults:
        print(fault, file=sys.stderr)
    given = {name: getattr(args, option, None) for option, name in CHOSEN.items()}
    shown = any(form in DRAWN for form in forms)
    own = getattr(args, "picture", None)
    if own is not None or not shown:
        chosen = Settings(paper=replace(chosen.paper, picture=""))
    choices = replace(
        usual.choices(chosen), **{name: value for name, value in given.items() if value is not None}
    )
    if len(choices.maker) > LONGEST_MAKER:
        raise QuantityError(
            f"--maker {choices.maker}", "is too long a name", f"write at most {LONGEST_MAKER} characters"
        )
    if not choices.maker.isprintable():
        raise QuantityError(
            f"--maker {choices.maker}", "has signs that no line shows", "write it on one line"
        )
    if not own or not shown:
        return choices
    return replace(choices, picture=usual.picture(Path(own)), picture_file=own)


def _ppi(args: argparse.Namespace) -> float:
    asked: float | None = getattr(args, "ppi", None)
    if asked is not None and not PIXELS[0] <= asked <= PIXELS[1]:
        raise QuantityError(
            f"--ppi {asked:g}", "is no picture", f"write {PIXELS[0]:g} to {PIXELS[1]:g} pixels an inch"
        )
    return PPI if asked is None else asked


def _wanted(args: argparse.Namespace) -> list[tuple[Kind, Form]]:
    """Kinds and forms to make, in the order of the table.

    Raises
    ------
    QuantityError
        when a word is none of them.
    EditError
        when no kind has such a form.
    """
    kinds = _among("--only", args.only, tuple(BY_KIND))
    if args.forms is None:
        return [(kind, form) for kind, form in usual.FOLDER if kind in kinds]
    forms = _among("--forms", args.forms, tuple(FORM_WORDS))
    wanted = [(kind, form) for kind in kinds for form in BY_KIND[kind].forms if form in forms]
    for form in forms:
        if form not in {each for _, each in wanted}:
            known = dict.fromkeys(f".{each}" for kind in kinds for each in BY_KIND[kind].forms)
            raise EditError(f"nothing of that is made as .{form}", f"there is {one_of(list(known))}")
    return wanted


def _among(option: str, text: str | None, known: Sequence[Word]) -> list[Word]:
    """Words of a list with commas, in the order of those known; all where nothing was said."""
    if text is None:
        return list(known)
    words = [word.strip().lower().removeprefix(".") for word in text.split(",") if word.strip()]
    for word in words or [""]:
        if word not in known:
            raise QuantityError(
                f"{option} {text}", f"{word or 'that'} is none of them", f"there are {', '.join(known)}"
            )
    return [each for each in known if each in words]


def _named(made: Sequence[Made]) -> str:
    first, last = made[0].name, made[-1].name
    return first if len(made) == 1 else f"{first} to {last.rpartition('-')[2]}"


def _words(kind: Kind, form: Form) -> str:
    """What it is: the kind's own words for what is printed, else what the form is for."""
    output = BY_KIND[kind]
    if form == "pdf":
        return f"{output.words[0].lower()}{output.words[1:]}"
    return f"{output.title}, {FORM_WORDS[form]}."


def _object(kind: Kind, form: Form, folder: Path, made: Made) -> dict[str, object]:
    return {"file": str(folder / made.name), "kind": kind, "form": form, "bytes": len(made.data)}


def _list_path(args: argparse.Namespace) -> Path | None:
    """Where a list is written; None when it is printed.

    Raises
    ------
    EditError
        when it would replace a file that the maker has not given up, or the design itself.
    """
    path = output_path(args)
    if path and path.exists() and path.samefile(design_path(args)):
        raise EditError(f"{path} is the design itself", "give the list another name")
    return path


def _hand_out(args: argparse.Namespace, data: bytes, output: Path | None) -> int:
    """Write text or print it, to the byte: its lines are ended as they should be."""
    if output:
        put_bytes(data, output)
        print(kept(args, output))
    else:
        if hasattr(sys.stdout, "reconfigure"):
            sys.stdout.reconfigure(newline="\n")
        print(data.decode("utf-8"), end="")
    return OK
