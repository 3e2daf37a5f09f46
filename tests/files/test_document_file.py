"""Design files: what is read is what is written, byte for byte where nothing changed."""

import os
import stat
import subprocess
import sys
from dataclasses import replace
from datetime import UTC, datetime
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from scaledesign.errors import DesignError
from scaledesign.files.document_file import dumps, load, loads, put_all, recover, save
from scaledesign.model.document import (
    Chamber,
    Design,
    Foot,
    Hand,
    Hole,
    Learned,
    LogEntry,
    Row,
    Station,
    Tube,
    Uncertainty,
    Window,
)
from tests.files.designs import designs, edited
from tests.files.samples import FULL, INCHES, ODD, SMALLEST

ANY = settings(deadline=None, max_examples=60, phases=[Phase.explicit, Phase.reuse, Phase.generate])


def test_every_key_is_read():
    design = loads(FULL)
    assert (design.format, design.units, design.name) == (1, "mm", "Reed warbler")
    assert design.notes == "first one\nfrom this cane"
    instrument = design.instrument
    assert (instrument.mouth, instrument.system) == ("notch", "six-hole pentatonic")
    assert (instrument.pad, instrument.material) == (0.25, "cane")
    tube = design.tube
    assert tube.length == 0.3554
    assert tube.bore == (Station(0.0, 0.0161), Station(0.2, 0.0158, 0.016), Station(0.2, 0.0155))
    assert tube.wall == (Station(0.0, 0.0038),)
    assert (tube.foot, tube.locked, tube.blank) == (Foot("node", 0.009), True, 0.52)
    assert (tube.avoid, tube.chamber) == (((0.171, 0.177),), Chamber(0.15, 0.005))
    voicing = design.voicing
    assert (voicing.added_length, voicing.cavity, voicing.drift) == (0.031, 0.002, -0.0001)
    assert (voicing.uncertainty, voicing.calibrated) == (0.003, True)
    assert voicing.window == Window(0.005, 0.009, 0.002, 0.012, 0.001)
    assert voicing.embouchure.covered == 0.33
    assert design.learned == Learned(-0.00005, 0.0001, 0.4, 0.028, 0.004, 0.0002, "row 1 (A4 +60)")
    air = design.air
    assert (air.temperature, air.humidity, air.altitude) == (18.5, 40.0, 250.0)
    assert (air.pressure, air.breath) == (98400.0, 0.5)
    tuning = design.tuning
    assert (tuning.reference, tuning.tonic, tuning.scale) == (442.0, "Bb4", "own")
    assert (tuning.degrees, tuning.tolerance) == (("1", "6/5", "498 c"), 7.5)
    shop = design.shop
    assert shop.bits == (0.005, 0.0055, 0.00635)
    assert (shop.smallest, shop.largest, shop.share_of_bore, shop.wood) == (0.0045, 0.011, 0.7, 0.006)
    assert shop.hand == Hand((0.03, 0.028, 0.03), 0.06, 0.015)
    assert design.uncertainty == Uncertainty(0.0001, 0.0002, 0.0003, 0.0001, 0.0005, 1.5, 2.0, 6.0)
    assert design.holes == (
        Hole(0.1503, 0.0079, None, 0.0, "L1", 0.003, 5.0, 0.0005, True, frozenset({"at", "diameter"})),
        Hole(0.18, 0.006, 0.007, 180.0, "LT", locked=frozenset({"at"})),
        Hole(0.3, 0.004, side=37.5),
    )
    assert design.rows == (
        Row("A4", ("X", "X"), -2.0, 2, 0.5, "chromatic", 0.4, "A4 -4"),
        Row("3/2", ("O", "H")),
    )
    assert design.log == (
        LogEntry(
            datetime(2026, 1, 5, 10, 20),
            "measured",
            ("X", "X"),
            "A4 -4",
            20.0,
            0.36,
            "bare",
            2,
            ("O", "X"),
            1,
            0.1805,
            0.0055,
            0.00025,
            0.005,
        ),
        LogEntry(datetime(2026, 1, 6, 8, tzinfo=UTC), "cut"),
    )


def test_what_is_left_out_is_at_its_default():
    assert loads(SMALLEST) == Design(Tube(0.3, (Station(0.0, 0.016),), (Station(0.0, 0.003),)))


def test_inches_in_and_out():
    design = loads(INCHES)
    assert design.tube.length == 0.3048
    assert design.tube.bore == (Station(0.0, 0.015875),)
    assert design.voicing.drift == 0.000396875
    assert [hole.at for hole in design.holes] == [0.1016, 0.1317625]
    text = dumps(replace(design, text=None))
    assert 'bore   = "5/8"' in text
    assert 'at       = "5 3/16"' in text
    assert loads(text) == design


def test_a_tube_of_the_trade_loads():
    """Common practice, no source: bore 5/8 in, wall 1/8 in, holes 1/4 in, first at 4 in, then 1 3/16 in."""
    holes = "".join(
        f'[[holes]]\nat = "{at}"\ndiameter = "1/4"\nfinger = "{finger}"\n'
        for at, finger in zip(
            ("4", "5 3/16", "6 3/8", "7 9/16", "8 3/4", "9 15/16"),
            ("L1", "L2", "L3", "R1", "R2", "R3"),
            strict=True,
        )
    )
    design = loads(f'units = "in"\n[instrument]\n[tube]\nlength = 12\nbore = "5/8"\nwall = "1/8"\n{holes}')
    assert [round(b.at - a.at, 9) for a, b in pairwise(design.holes)] == [0.0301625] * 5
    assert (design.tube.bore[0].value, design.tube.wall[0].value) == (0.015875, 0.003175)


@pytest.mark.parametrize("text", [FULL, SMALLEST, INCHES, ODD])
def test_unchanged_gives_the_same_bytes(text, tmp_path):
    for variant in (text, text.replace("\n", "\r\n"), "\ufeff" + text, text.rstrip("\n")):
        path = tmp_path / "flute.toml"
        path.write_bytes(variant.encode())
        save(load(path), path)
        assert path.read_bytes() == variant.encode()
        assert loads(variant) == loads(text)


def test_a_new_file_is_laid_out_by_us():
    design = replace(loads(FULL), name="", notes="", text=None, log=(), rows=loads(FULL).rows[:1])
    assert (
        dumps(design)
        == """\
format = 1
units  = "mm"

[instrument]
mouth    = "notch"
system   = "six-hole pentatonic"
pad      = 0.25
material = "cane"

[tube]
length  = 355.4
bore    = [[0, 16.1], [200, 15.8, 16], [200, 15.5]]
wall    = 3.8
foot    = 9
locked  = true
blank   = 520
avoid   = [[171, 177]]
chamber = { length = 150, wall = 5 }

[voicing]
added_length = 31
cavity       = 2
drift        = -0.1
uncertainty  = 3
calibrated   = true
window       = { length = 5, width = 9, wall = 2, flue_length = 12, flue_height = 1 }
embouchure   = { length = 12, width = 10, wall = 3.8, covered = 0.33 }

[learned]
bore               = -0.05
wall               = 0.1
warmth             = 0.4
stated_length      = 28
stated_uncertainty = 4
stated_drift       = 0.2
left_out           = "row 1 (A4 +60)"

[air]
temperature = "18.5 °C"
humidity    = 40
altitude    = "250 m"
pressure    = "98.4 kPa"
breath      = 0.5

[tuning]
reference = 442
tonic     = "Bb4"
scale     = "own"
degrees   = ["1", "6/5", "498 c"]
tolerance = 7.5

[shop]
bits          = [5, 5.5, 6.35]
smallest      = 4.5
largest       = 11
share_of_bore = 0.7
wood          = 6
hand          = { spread = [30, 28, 30], gap = 60, pad = 15 }

[uncertainty]
bore        = 0.1
wall        = 0.2
at          = 0.3
diameter    = 0.1
length      = 0.5
temperature = "1.5 K"
tuner       = 2
model       = 6

[[holes]]
at       = 150.3
diameter = 7.9
finger   = "L1"
wall     = 3
slant    = 5
undercut = 0.5
drilled  = true
locked   = true

[[holes]]
at       = 180
diameter = [6, 7]
side     = "back"
finger   = "LT"
locked   = ["at"]

[[holes]]
at       = 300
diameter = 4
side     = 37.5
finger   = "none"

[[rows]]
note       = "A4"
cents      = -2
holes      = "XX"
register   = 2
weight     = 0.5
role       = "chromatic"
open_share = 0.4
measured   = "A4 -4"
"""
    )


@ANY
@given(designs())
def test_any_design_can_be_written_and_read(design):
    assert loads(dumps(design)) == design


@ANY
@given(st.data())
def test_any_edit_can_be_written_into_any_text(data):
    design, other = data.draw(designs()), data.draw(designs())
    text = "# kept\n" + dumps(design)
    changed = replace(data.draw(edited(loads(text), other)), text=text)
    written = dumps(changed)
    assert loads(written) == changed
    assert written.startswith("# kept\n")


@ANY
@given(st.data(), st.sampled_from([FULL, ODD, INCHES]), st.booleans())
def test_any_edit_can_be_written_into_a_text_by_hand(data, text, windows):
    text = text.replace("\n", "\r\n") if windows else text
    changed = replace(data.draw(edited(loads(text), data.draw(designs()))), text=text)
    written = dumps(changed)
    assert loads(written) == changed
    assert "# kept" in written
    assert not windows or written.count("\n") == written.count("\r\n")


def test_loading_imports_nothing_heavy():
    code = (
        "import sys, scaledesign.files.document_file;"
        "print(sorted({'numpy', 'scipy', 'tomli_w', 'msgspec', 'music21'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


class TestOnDisk:
    """What can go wrong between a text and a disk."""

    def test_a_failing_write_leaves_the_file_whole(self, tmp_path, monkeypatch):
        path = tmp_path / "flute.toml"
        path.write_text(FULL, encoding="utf-8")
        design = replace(load(path), name="changed")
        for broken in ("fsync", "replace"):

            def fail(*_):
                raise OSError(28, "No space left on device")

            with monkeypatch.context() as patch:
                patch.setattr(os, broken, fail)
                with pytest.raises(DesignError, match=r"flute\.toml.*no space left.*untouched"):
                    save(design, path)
            assert path.read_text(encoding="utf-8") == FULL
            assert [item.name for item in tmp_path.iterdir()] == ["flute.toml"]
        save(design, path)
        assert load(path) == design

    def test_permissions_are_kept_and_links_followed(self, tmp_path):
        target, link = tmp_path / "real.toml", tmp_path / "link.toml"
        target.write_text(SMALLEST)
        target.chmod(0o640)
        link.symlink_to(target)
        save(replace(load(link), name="changed"), link)
        assert link.is_symlink()
        assert load(target).name == "changed"
        assert stat.S_IMODE(target.stat().st_mode) == 0o640

    def test_a_new_file_has_the_usual_permissions(self, tmp_path):
        (tmp_path / "plain").touch()
        save(loads(SMALLEST), tmp_path / "new.toml")
        assert (tmp_path / "new.toml").stat().st_mode == (tmp_path / "plain").stat().st_mode

    def test_what_could_not_be_loaded_is_not_saved(self, tmp_path):
        path = tmp_path / "flute.toml"
        path.write_text(SMALLEST)
        design = load(path)
        for wrong in (0.0, -1.0, float("nan"), float("inf")):
            with pytest.raises(DesignError, match=r"tube\.length"):
                save(replace(design, tube=replace(design.tube, length=wrong)), path)
        assert path.read_text() == SMALLEST

    def test_no_such_file(self, tmp_path):
        with pytest.raises(DesignError, match=r"nowhere\.toml: there is no such file; check the name"):
            load(tmp_path / "nowhere.toml")

    def test_a_folder(self, tmp_path):
        with pytest.raises(DesignError, match="that is not a file"):
            load(tmp_path)
        with pytest.raises(DesignError, match="that is a folder"):
            save(loads(SMALLEST), tmp_path)

    def test_a_pipe_is_not_waited_for(self, tmp_path):
        os.mkfifo(tmp_path / "pipe")
        with pytest.raises(DesignError, match="that is not a file"):
            load(tmp_path / "pipe")

    def test_no_folder_to_save_in(self, tmp_path):
        with pytest.raises(DesignError, match=r"nowhere/x\.toml: it cannot be written"):
            save(loads(SMALLEST), tmp_path / "nowhere" / "x.toml")

    def test_not_allowed(self, tmp_path, monkeypatch):
        path = tmp_path / "flute.toml"
        path.write_text(SMALLEST)

        def refuse(*_args, **_keywords):
            raise PermissionError(13, "Permission denied")

        monkeypatch.setattr("pathlib.Path.open", refuse)
        with pytest.raises(DesignError, match=r"flute\.toml: you may not read it"):
            load(path)

    def test_what_is_protected_is_not_replaced(self, tmp_path):
        """A maker who takes the right to write from a file means it, whatever the folder allows."""
        path = tmp_path / "flute.toml"
        path.write_text(SMALLEST)
        path.chmod(0o444)
        with pytest.raises(DesignError, match=r"protected against writing.*under another name"):
            save(replace(load(path), name="changed"), path)
        assert path.read_text() == SMALLEST
        assert [item.name for item in tmp_path.iterdir()] == ["flute.toml"]

    def test_devices_and_pipes_are_not_replaced(self, tmp_path):
        """A file that takes the place of /dev/null would be felt by every program there is."""
        os.mkfifo(tmp_path / "pipe")
        (tmp_path / "null").symlink_to("/dev/null")
        for path in (tmp_path / "pipe", tmp_path / "null"):
            with pytest.raises(DesignError, match="no file but a device or a pipe"):
                put_all(((path, b"new"),))
        assert stat.S_ISFIFO((tmp_path / "pipe").stat().st_mode)
        assert stat.S_ISCHR(Path("/dev/null").stat().st_mode)

    @pytest.mark.parametrize("letter", ["a", "é", "\U0001f426"])
    def test_a_name_may_be_as_long_as_the_disk_lets_it_be(self, tmp_path, letter):
        path = tmp_path / f"{letter * (250 // len(letter.encode()))}.toml"
        for name in ("one", "two"):
            save(replace(loads(SMALLEST), name=name), path)
        assert load(path).name == "two"
        assert list(tmp_path.iterdir()) == [path]

    def test_another_name_of_the_file_keeps_what_it_had(self, tmp_path):
        path, other = tmp_path / "flute.toml", tmp_path / "copy.toml"
        path.write_text(SMALLEST)
        other.hardlink_to(path)
        save(replace(load(path), name="changed"), path)
        assert (load(path).name, other.read_text()) == ("changed", SMALLEST)

    def test_a_private_file_is_private_all_the_while(self, tmp_path, monkeypatch):
        path = tmp_path / "flute.toml"
        path.write_text(SMALLEST)
        path.chmod(0o600)
        modes = []
        fsync = os.fsync
        monkeypatch.setattr(
            os, "fsync", lambda file: (modes.append(stat.S_IMODE(os.fstat(file).st_mode)), fsync(file))
        )
        save(replace(load(path), name="changed"), path)
        assert modes[0] == 0o600
        assert stat.S_IMODE(path.stat().st_mode) == 0o600

    def test_a_disk_that_is_full_leaves_the_file_whole(self, tmp_path):
        """The system itself says no: a process that may write 2000 bytes to a file, and no more."""
        path = tmp_path / "flute.toml"
        path.write_text(SMALLEST)
        code = (
            "import resource, sys; resource.setrlimit(resource.RLIMIT_FSIZE, (2000, 2000));"
            "import scaledesign; from dataclasses import replace; design = scaledesign.load(sys.argv[1]);"
            "scaledesign.save(replace(design, notes='x' * 9000), sys.argv[1])"
        )
        done = subprocess.run([sys.executable, "-c", code, path], capture_output=True, text=True, check=False)
        assert "DesignError" in done.stderr
        assert "flute.toml: it cannot be written (file too large); check the folder" in done.stderr
        assert path.read_text() == SMALLEST
        assert [item.name for item in tmp_path.iterdir()] == ["flute.toml"]

    def test_drafts_that_a_kill_left_go_with_a_later_save(self, tmp_path):
        path = tmp_path / "flute.toml"
        names = (
            ".flute.toml.0123abcd.part",
            ".flute.toml.89abcdef.part",
            ".other.toml.0123abcd.part",
            "flute.part",
        )
        for name in names:
            (tmp_path / name).write_text("half")
        for name in names[1:]:
            os.utime(tmp_path / name, (1, 1))
        save(loads(SMALLEST), path)
        left = sorted(item.name for item in tmp_path.iterdir())
        assert left == sorted(["flute.toml", names[0], *names[2:]])  # somebody may be writing the young one

    def test_not_text(self, tmp_path):
        path = tmp_path / "flute.toml"
        path.write_bytes(b'format = 1\nname = "Gr\xfcn"\n')
        with pytest.raises(DesignError, match=r"flute\.toml, line 2: the text is not UTF-8"):
            load(path)

    @pytest.mark.parametrize(
        ("data", "kind"),
        [
            (b"%PDF-1.7\n\xe2\xe3\n[", "no design file but a PDF;"),
            (b"\x89PNG\r\n\x1a\n\0\0", "no design file but a PNG picture;"),
            (b"RIFF\x24\0\0\0WAVEfmt ", "no design file but sound or film;"),
            (b"PK\x03\x04\x14\0", "no design file but a zip archive,"),
            (b"format = 1\n\0\0\xe4", "no design file: it holds no text;"),
        ],
    )
    def test_what_is_no_text_is_no_design_file(self, tmp_path, data, kind):
        path = tmp_path / "flute.pdf"
        path.write_bytes(data)
        for read in (load, recover):
            with pytest.raises(DesignError, match=f"flute\\.pdf: that is {kind}") as caught:
                read(path)
            assert len(caught.value.faults) == 1

    def test_a_torn_design_is_still_one(self, tmp_path):
        path = tmp_path / "flute.toml"
        path.write_bytes(SMALLEST.encode() + b"\0" * 200)
        assert recover(path).design.tube == loads(SMALLEST).tube

    def test_an_impossible_name(self):
        with pytest.raises(DesignError, match="cannot be opened"):
            load("a\0b")

    def test_too_large(self, tmp_path):
        path = tmp_path / "flute.toml"
        path.write_bytes(b"#" * 1_000_001)
        with pytest.raises(DesignError, match=r"too large.*1 MB"):
            load(path)
        with pytest.raises(DesignError, match=r"too large.*1 MB"):
            loads("#" * 1_000_001)


class TestSeveral:
    def test_all_or_none(self, tmp_path):
        """The second cannot be written, so the first is as it was, and nothing is left over."""
        there = tmp_path / "a.txt"
        there.write_text("old")
        with pytest.raises(DesignError, match=r"nowhere/b\.txt: it cannot be written"):
            put_all(((there, b"new"), (tmp_path / "nowhere/b.txt", b"new")))
        assert there.read_text() == "old"
        assert [path.name for path in tmp_path.iterdir()] == ["a.txt"]
        put_all(((there, b"new"), (tmp_path / "b.txt", b"too")))
        assert (there.read_bytes(), (tmp_path / "b.txt").read_bytes()) == (b"new", b"too")
