"""plugins: what each adds and how it fared; one begun, checked, switched off or on.

Apart from the lists of scales and systems, which say what there is to choose from, whoever offers it.
"""

from __future__ import annotations

import argparse
import os
from collections.abc import Mapping
from pathlib import Path

from scaledesign import locations
from scaledesign.cli.exit_codes import CANNOT_USE, OK
from scaledesign.errors import EditError, UnknownNameError
from scaledesign.extend import switches
from scaledesign.extend.catalogue import PluginStatus, comparable, nearest
from scaledesign.extend.conformance import check_plugin
from scaledesign.extend.finding import candidates
from scaledesign.extend.registry import catalogue
from scaledesign.extend.skeleton import write_skeleton
from scaledesign.files.own_files import reason
from scaledesign.paper.text import bullets, paragraph

INDENT = "    "


def show(args: argparse.Namespace) -> int:
    """List the plug-ins and how each fared."""
    found = catalogue().plugins()
    if args.json:
        _print_json({"plugins": [_object(plugin) for plugin in found]})
        return OK
    for plugin in found:
        about = [plugin.origin, *([plugin.version] if plugin.version else [])]
        if plugin.hooks or plugin.seconds:
            about.append(f"{plugin.seconds:.2f} s")
        print(f"{plugin.name} ({', '.join(about)})")
        if not plugin.ok:
            print(paragraph(f"switched off: {plugin.problem}", INDENT))
        for line in _offers(plugin.contributes) if plugin.ok else ():
            print(paragraph(line, INDENT))
        for remark in plugin.remarks:
            print(paragraph(f"but it {remark}", INDENT))
    return OK


def _offers(contributes: tuple[str, ...]) -> tuple[str, ...]:
    """What a plug-in offers, a line a kind: ``"scales: major, minor"``."""
    kinds: dict[str, list[str]] = {}
    for what in contributes:
        kind, _, name = what.partition(" ")
        kinds.setdefault(kind, []).append(name)
    lines = (f"{kind}{'s' if len(names) > 1 else ''}: {', '.join(names)}" for kind, names in kinds.items())
    return tuple(lines) or ("offers nothing",)


def _object(plugin: PluginStatus) -> dict[str, object]:
    return {
        "name": plugin.name,
        "origin": plugin.origin,
        "where": plugin.where,
        "version": plugin.version,
        "ok": plugin.ok,
        "off": plugin.off,
        "problem": plugin.problem,
        "load_seconds": plugin.seconds,
        "hooks": list(plugin.hooks),
        "contributes": list(plugin.contributes),
        "remarks": list(plugin.remarks),
    }


def new(args: argparse.Namespace) -> int:
    """Write a plug-in to begin with, check it, and say what to do next."""
    folders = locations.user_folders()
    home = Path() if args.package else folders[0]
    into = Path(args.into).expanduser() if args.into else home
    written = write_skeleton(" ".join(args.name), into, package=args.package, folders=folders)
    plugin = written[0]
    problems = check_plugin(plugin)
    if args.json:
        _print_json({"written": [str(path) for path in written], "problems": list(problems)})
        return CANNOT_USE if problems else OK
    print("Written:", *(f"{INDENT}{path}" for path in written), sep="\n")
    print(bullets(problems) if problems else "It loads and passes every check.")
    name = plugin.stem.replace("_", " ")
    steps = [f"Open {plugin.name}: put in what you know, take out what you do not need."]
    if args.package:
        steps.append(
            f"In its folder, pip install -e . and then scaledesign plugins check {name}; pytest runs "
            "its tests."
        )
    elif into.resolve() in {folder.resolve() for folder in folders}:
        steps.append(f"scaledesign plugins check {name} says what is wrong with it.")
    else:
        steps.append(
            f"{into} is not among your folders of plug-ins: name it in {locations.FOLDER_VARIABLE}, or "
            f"scaledesign plugins check {plugin} looks at it where it is."
        )
    steps.append("python -m pydoc scaledesign.extend.hookspecs.register_scales explains that hook.")
    print("\nNext:", bullets(steps), sep="\n")
    return CANNOT_USE if problems else OK


def check(args: argparse.Namespace) -> int:
    """Say what is wrong with one plug-in."""
    name = " ".join(args.name)
    path = Path(name).expanduser()
    known = _known()
    named = next((one for one in known if comparable(one) == comparable(name)), "")
    if not named and (not name.strip() or not path.exists()):
        looks_like_a_path = path.suffix or os.sep in name
        if looks_like_a_path:
            raise EditError(f"There is no file or folder {name}", "check the name")
        raise UnknownNameError("plug-in", name, known, nearest(name, known))
    problems = check_plugin(named or path)
    if args.json:
        _print_json({"plugin": named or str(path), "problems": list(problems)})
    elif problems:
        print(f"{named or path}:")
        print(bullets(f"{problem}{'' if problem.endswith('.') else '.'}" for problem in problems))
    else:
        print(f"{named or path}: nothing is wrong with it.")
    return CANNOT_USE if problems else OK


def off(args: argparse.Namespace) -> int:
    """Switch a plug-in off."""
    return _switched(args, off=True)


def on(args: argparse.Namespace) -> int:
    """Switch a plug-in on."""
    return _switched(args, off=False)


def _switched(args: argparse.Namespace, *, off: bool) -> int:
    name = " ".join(args.name)
    known = _known()
    named = next((one for one in known if comparable(one) == comparable(name)), "")
    listed = comparable(name) in switches.switched_off()[0]  # one that is gone may still be on the list
    if not named and (off or not listed):
        raise UnknownNameError("plug-in", name, known, nearest(name, known))
    named = named or name
    try:
        changed = switches.switch(named, off=off)
    except (OSError, ValueError) as error:
        raise EditError(
            f"{switches.list_path()} cannot be changed ({reason(error)})", "mend or delete it"
        ) from None
    if args.json:
        _print_json({"plugin": named, "off": off, "changed": changed})
        return OK
    state = "off" if off else "on"
    again = f" scaledesign plugins on {named} switches it on." if off else ""
    print(paragraph(f"{named} is {state}.{again}" if changed else f"{named} was {state} already."))
    return OK


def _print_json(value: Mapping[str, object]) -> None:
    from scaledesign.cli.as_json import print_json  # brings the solver with it, which nothing here needs

    print_json(value)


def _known() -> tuple[str, ...]:
    """Names of the plug-ins that there are, none of them imported."""
    return tuple(dict.fromkeys(one.name for one in candidates(locations.user_folders())))
