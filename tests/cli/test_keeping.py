"""Getting a file back: what is left of a damaged one, an earlier version; nothing is written over unseen."""

import pytest

import scaledesign
from scaledesign.locations import EXAMPLES, user_state

WREN = (EXAMPLES / "marsh-wren.toml").read_text(encoding="utf-8")


@pytest.fixture(autouse=True)
def home(tmp_path, monkeypatch):
    monkeypatch.setenv("SCALEDESIGN_HOME", str(tmp_path / "home"))
    monkeypatch.chdir(tmp_path)


@pytest.fixture
def hurt(tmp_path):
    path = tmp_path / "hurt.toml"
    path.write_text(WREN.replace('finger   = "L2"', 'finger   = "2"', 1), encoding="utf-8")
    return path


def test_what_is_left_is_told_and_written_elsewhere(run, hurt):
    before = hurt.read_bytes()
    told = run("recover", "hurt.toml")
    assert told.code == 0
    assert told.out.startswith(
        'hurt.toml, line 37: holes[2].finger = "2": that is none of the words known here, so L2'
    )
    assert (
        "The rest is a flute with 6 holes and 15 rows. Not written; to keep it, add -o hurt-mended.toml."
        in told.out
    )
    assert run("recover", "hurt.toml", "-o", "hurt-mended.toml").code == 0
    assert scaledesign.load("hurt-mended.toml").holes[1].finger == "L2"
    assert run("recover", "hurt.toml", "-o", "hurt-mended.toml").code == 3  # it is there already
    for name in ("hurt.toml", "./hurt.toml"):
        refused = run("recover", "hurt.toml", "-o", name, "--force")
        assert (refused.code, "itself is not written to" in refused.err) == (3, True)
    assert hurt.read_bytes() == before


def test_what_is_left_for_programs(run, hurt):
    told = run("recover", hurt, "--json").object
    (out,) = told["left_out"]
    assert (out["line"], out["key"], told["holes"], told["written"]) == (37, "holes[2].finger", 6, None)


@pytest.mark.parametrize("name", ["nowhere.toml", "."])
def test_where_there_is_no_file(run, name):
    told = run("recover", name)
    assert (told.code, told.out) == (3, "")


def test_every_version_that_was_replaced_can_be_had_back(run, tmp_path):
    path = tmp_path / "wren.toml"
    assert run("solve", "--example", "marsh-wren", "-o", "wren.toml").code == 0
    assert "No earlier version of wren.toml is kept" in run("earlier", "wren.toml").out
    texts = [path.read_bytes()]
    for reading in ("A4 -4", "A4 -9"):
        blown = ("--bare", reading, "--length", "360.5 mm")
        assert run("calibrate", "wren.toml", *blown, "--in-place").code == 0
        texts.append(path.read_bytes())
    listed = run("earlier", "wren.toml").out
    assert listed.count("6 holes, 15 rows, Marsh wren") == 2
    assert "scaledesign earlier wren.toml --take 1 -o before.toml" in listed
    assert len(run("earlier", "wren.toml", "--json").object["versions"]) == 2
    assert run("earlier", "wren.toml", "--take", "2", "-o", "first.toml").code == 0
    assert (tmp_path / "first.toml").read_bytes() == texts[0]
    assert run("earlier", "wren.toml", "--take", "1", "--in-place").code == 0
    assert path.read_bytes() == texts[1]
    path.unlink()
    assert run("earlier", "wren.toml", "--take", "1").out.encode() == texts[2]  # what the taking replaced


@pytest.mark.parametrize(
    ("words", "said"),
    [(("--take", "1"), "there is none"), (("-o", "x.toml"), "add --take with its number")],
)
def test_a_version_that_is_not_there(run, words, said):
    told = run("earlier", "wren.toml", *words)
    assert (told.code, said in told.err) == (3, True)


def test_what_somebody_else_wrote_meanwhile_is_not_written_over(run, tmp_path, monkeypatch):
    path = tmp_path / "wren.toml"
    path.write_text(WREN, encoding="utf-8")
    solve = scaledesign.solve

    def slowly(design, **how):
        path.write_text(f"# mine\n{WREN}", encoding="utf-8")
        return solve(design, **how)

    monkeypatch.setattr(scaledesign, "solve", slowly, raising=False)
    told = run("solve", "wren.toml", "--in-place")
    assert told.code == 3
    assert (
        "wren.toml was changed by another program while this was worked out, so nothing was written"
        in told.err
    )
    assert path.read_text(encoding="utf-8").startswith("# mine\n")


def test_a_version_that_cannot_be_kept_is_told_and_the_result_written(run, tmp_path):
    user_state().mkdir(parents=True)
    (user_state() / "earlier").write_text("no folder", encoding="utf-8")
    assert run("solve", "--example", "marsh-wren", "-o", "wren.toml").err == ""
    before = (tmp_path / "wren.toml").read_bytes()
    told = run("calibrate", "wren.toml", "--bare", "A4 -4", "--length", "360.5 mm", "--in-place")
    assert told.code == 0
    assert told.err.startswith("wren.toml: What it replaces could not be kept as an earlier version: ")
    assert (tmp_path / "wren.toml").read_bytes() != before
