"""Completion is read back from the argument tree and works in the shells themselves."""

from __future__ import annotations

import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

from scaledesign.cli.completion import bash_script, command_tree, fish_script, zsh_script
from scaledesign.cli.parser import build_parser

COMMANDS = tuple(command.name for command in command_tree())


@pytest.mark.parametrize("write", [bash_script, fish_script, zsh_script])
def test_every_command_and_option_is_in_the_script(write: Callable[..., str]) -> None:
    script = write(command_tree())
    for command in command_tree():
        assert command.name in script
        for option in command.options:
            for flag in option.flags:
                assert flag.lstrip("-") in script


def test_the_tree_names_what_the_parser_takes() -> None:
    assert {"new", "solve", "predict", "calibrate", "holes", "chart", "scales", "systems", "plugins"} <= set(
        COMMANDS
    )
    for command in COMMANDS:
        with pytest.raises(SystemExit) as stop:
            build_parser().parse_args([command, "--help"])
        assert stop.value.code == 0


def bash_replies(folder: Path, *words: str) -> list[str]:
    (folder / "completion.bash").write_text(bash_script(command_tree()))
    typed = " ".join(f"'{word}'" for word in ("scaledesign", *words))
    script = (
        f"source completion.bash; COMP_WORDS=({typed}); COMP_CWORD={len(words)}; "
        '_scaledesign; printf "%s\\n" "${COMPREPLY[@]}"'
    )
    run = subprocess.run(["bash", "-c", script], cwd=folder, capture_output=True, text=True, check=True)
    assert run.stderr == ""
    return run.stdout.split()


@pytest.mark.system("bash")
def test_bash(tmp_path: Path) -> None:
    (tmp_path / "flute.toml").touch()
    assert sorted(bash_replies(tmp_path, "")) == sorted(COMMANDS)
    assert bash_replies(tmp_path, "cal") == ["calibrate"]
    assert bash_replies(tmp_path, "solve", "fl") == ["flute.toml"]
    assert bash_replies(tmp_path, "solve", "--uni") == ["--units"]
    assert bash_replies(tmp_path, "solve", "--units", "") == ["mm", "in"]
    assert bash_replies(tmp_path, "holes", "--from", "c") == ["cut-end"]
    assert bash_replies(tmp_path, "completion", "f") == ["fish"]


@pytest.mark.system("fish")
def test_fish(tmp_path: Path) -> None:
    (tmp_path / "flute.toml").touch()
    (tmp_path / "completion.fish").write_text(fish_script(command_tree()))

    def replies(line: str) -> list[str]:
        run = subprocess.run(
            ["fish", "--no-config", "-c", f"source completion.fish; complete -C '{line}'"],
            cwd=tmp_path,
            capture_output=True,
            text=True,
            check=True,
            env={"HOME": str(tmp_path), "PATH": "/usr/bin:/bin"},
        )
        assert run.stderr == ""
        return [reply.partition("\t")[0] for reply in run.stdout.splitlines()]

    assert sorted(replies("scaledesign ")) == sorted(COMMANDS)
    assert replies("scaledesign solve --uni") == ["--units"]
    assert sorted(replies("scaledesign solve --units ")) == ["in", "mm"]
    assert "flute.toml" in replies("scaledesign solve fl")
    assert replies("scaledesign completion f") == ["fish"]


ZSH_AT_A_PROMPT = r"""
zmodload zsh/zpty
zpty shell zsh -f -i
zpty -w shell "PS1=; unsetopt zle_bracketed_paste; fpath=(FOLDER \$fpath); cd FOLDER"
zpty -w shell "autoload -Uz compinit; compinit -u -d FOLDER/dump"
zpty -w shell "show() { print -r -- \"<\$BUFFER>\"; BUFFER= }; zle -N show; bindkey '^X' show"
zpty -w shell "print ready-\$((20+3))"
zpty -r shell reply '*ready-23*'
zpty -n -w shell $'LINE\t\x18'
zpty -r shell reply '*<*>*'
print -r -- $reply
"""


@pytest.mark.system("zsh")
def test_zsh(tmp_path: Path) -> None:
    """Zsh completes only at a prompt: one on a pseudo-terminal has Tab pressed."""
    (tmp_path / "flute.toml").touch()
    (tmp_path / "_scaledesign").write_text(zsh_script(command_tree()))

    def completed(line: str) -> str:
        probe = ZSH_AT_A_PROMPT.replace("FOLDER", str(tmp_path)).replace("LINE", line)
        run = subprocess.run(
            ["zsh", "-f", "-c", probe],
            capture_output=True,
            text=True,
            check=True,
            timeout=30,
            env={"HOME": str(tmp_path), "PATH": "/usr/bin:/bin"},
        )
        return run.stdout.rpartition("<")[2].partition(">")[0]

    assert completed("scaledesign cal") == "scaledesign calibrate "
    assert completed("scaledesign solve --uni") == "scaledesign solve --units "
    assert completed("scaledesign holes --from cut") == "scaledesign holes --from cut-end "
    assert completed("scaledesign solve flu") == "scaledesign solve flute.toml "
