"""The wheel, built through the sdist, works in an empty environment and offers what the checkout offers."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import sysconfig
import zipfile
from pathlib import Path

import pytest

from scaledesign.cli.options import example_names

CHECKOUT = Path(__file__).parents[2]

pytestmark = pytest.mark.slow


def clean_environment() -> dict[str, str]:
    """Environment of the tests without what could lend the new one our packages."""
    return {name: value for name, value in os.environ.items() if name not in {"PYTHONPATH", "VIRTUAL_ENV"}}


def run(*command: str | Path, cwd: Path) -> str:
    """Standard output of a command that must succeed, away from the checkout."""
    done = subprocess.run(
        [str(word) for word in command], cwd=cwd, env=clean_environment(), capture_output=True, text=True
    )
    assert done.returncode == 0, f"{command}\n{done.stdout}\n{done.stderr}"
    return done.stdout


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel that ``python -m build`` makes from the sdist it makes."""
    folder = tmp_path_factory.mktemp("dist")
    run(sys.executable, "-m", "build", "--no-isolation", "--outdir", folder, CHECKOUT, cwd=folder)
    assert [path.name for path in folder.glob("*.tar.gz")]
    (built,) = folder.glob("*.whl")
    return built


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Folder of an empty environment with nothing but the wheel and what it asks for."""
    folder = tmp_path_factory.mktemp("empty")
    run(sys.executable, "-m", "venv", folder / "venv", cwd=folder)
    constraints = CHECKOUT / "constraints.txt"
    run(folder / "venv/bin/pip", "install", "--quiet", "-c", constraints, wheel, cwd=folder)
    return folder


def test_the_wheel_holds_the_package_and_nothing_else(wheel: Path) -> None:
    names = zipfile.ZipFile(wheel).namelist()
    assert {name.partition("/")[0].partition("-")[0] for name in names} == {"scaledesign"}
    assert not [name for name in names if "__pycache__" in name or name.startswith("scaledesign/tests")]
    for source, target in (("plugins", "scaledesign/bundled"), ("scales", "scaledesign/scales")):
        wanted = [path for path in (CHECKOUT / source).rglob("*") if path.suffix in {".py", ".toml", ".md"}]
        assert wanted
        for path in wanted:
            assert f"{target}/{path.relative_to(CHECKOUT / source).as_posix()}" in names


def test_the_wheel_holds_the_accuracy_page_and_its_sources(wheel: Path) -> None:
    names = zipfile.ZipFile(wheel).namelist()
    folder = CHECKOUT / "scaledesign/accuracy"
    sources = [path.relative_to(CHECKOUT).as_posix() for path in folder.rglob("*.toml")]
    assert len(sources) > 10
    assert {*sources, "scaledesign/accuracy/accuracy.md"} <= set(names)
    solved = [path.name for path in (CHECKOUT / "tests/fields/data").glob("*.json")]
    assert solved
    assert {f"scaledesign/accuracy/fields/{name}" for name in solved} <= set(names)


def test_accuracy_works_out_the_same_there(installed: Path) -> None:
    there = run(installed / "venv/bin/scaledesign", "accuracy", cwd=installed)
    assert there == run(sys.executable, "-m", "scaledesign", "accuracy", cwd=CHECKOUT)


def test_solve_runs_there(installed: Path) -> None:
    name = example_names()[0]
    text = run(installed / "venv/bin/scaledesign", "solve", "--example", name, cwd=installed)
    assert "±" in text
    assert "Before you start" in text
    found = json.loads(
        run(
            installed / "venv/bin/python",
            "-m",
            "scaledesign",
            "solve",
            "--example",
            name,
            "--json",
            cwd=installed,
        )
    )
    assert all(abs(row["cents"]) < 2 for row in found["rows"] if row["role"] == "scale")


def test_print_makes_the_same_bytes_there(installed: Path) -> None:
    """Sheets, fonts and the web page's parts are in the wheel; DXF needs an extra, and says so."""
    words = ("print", "--example", "marsh-wren", "--trills", "--paper", "a4")
    run(installed / "venv/bin/scaledesign", *words, "--into", "there", cwd=installed)
    run(sys.executable, "-m", "scaledesign", *words, "--into", installed / "here", cwd=CHECKOUT)
    made = [
        {path.name: path.read_bytes() for path in (installed / folder).iterdir()}
        for folder in ("here", "there")
    ]
    assert len(made[0]) >= 8
    assert made[0] == made[1]
    program = installed / "venv/bin/scaledesign"
    done = subprocess.run(
        [str(program), "template", "--example", "marsh-wren", "-o", "a.dxf"],
        cwd=installed, env=clean_environment(), capture_output=True, text=True,
    )  # fmt: skip
    assert (done.returncode, done.stdout) == (3, "")
    assert done.stderr.count("\n") == 1
    assert "pip install" in done.stderr
    assert not (installed / "a.dxf").exists()


@pytest.mark.parametrize("command", ["plugins", "scales", "systems"])
def test_it_offers_what_the_checkout_offers(installed: Path, command: str) -> None:
    there = json.loads(run(installed / "venv/bin/scaledesign", command, "--json", cwd=installed))
    here = json.loads(run(sys.executable, "-m", "scaledesign", command, "--json", cwd=CHECKOUT))
    assert here[command]
    for one in (*here[command], *there[command]):
        one.pop("load_seconds", None)
    assert there == here


def test_the_wheel_runs_its_own_code(installed: Path) -> None:
    where = run(
        installed / "venv/bin/python", "-c", "import scaledesign; print(scaledesign.__file__)", cwd=installed
    )
    assert Path(where.strip()).is_relative_to(installed / "venv")


def test_an_editable_checkout_works_and_sees_edits(tmp_path: Path) -> None:
    """A copy of the checkout is installed editable; a scale taken out of it is gone at once."""
    copy = tmp_path / "checkout"
    copy.mkdir()
    for name in ("scaledesign", "plugins", "scales", "pyproject.toml", "README.md", "LICENSE"):
        run("cp", "-R", CHECKOUT / name, copy / name, cwd=tmp_path)
    (copy / "tests/fields").mkdir(parents=True)
    run("cp", "-R", CHECKOUT / "tests/fields/data", copy / "tests/fields/data", cwd=tmp_path)
    run(sys.executable, "-m", "venv", tmp_path / "venv", cwd=tmp_path)
    (site,) = (tmp_path / "venv/lib").glob("python*/site-packages")
    # Dependencies come from the environment of the tests; scaledesign itself does not,
    # since the .pth of its own editable install is not read along such a line.
    (site / "dependencies.pth").write_text(sysconfig.get_path("purelib") + "\n")
    run(
        tmp_path / "venv/bin/pip", "install", "--quiet", "--no-deps", "-e", copy,
        cwd=tmp_path,
    )  # fmt: skip
    program = tmp_path / "venv/bin/scaledesign"
    where = run(
        tmp_path / "venv/bin/python", "-c", "import scaledesign; print(scaledesign.__file__)", cwd=tmp_path
    )
    assert Path(where.strip()).is_relative_to(copy)
    before = json.loads(run(program, "scales", "--json", cwd=tmp_path))["scales"]
    gone = min((copy / "scales").glob("*.toml"))
    gone.unlink()
    after = json.loads(run(program, "scales", "--json", cwd=tmp_path))["scales"]
    assert len(after) == len(before) - 1
