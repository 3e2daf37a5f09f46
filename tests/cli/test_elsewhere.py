"""Every kind of command on a system that is not ours: other letters, no network, nothing that only Unix has.

One process runs them all, where what only some systems have is taken away first (``AWAY``), any connection
is a fault, and the terminal's letters are those of an old console.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

AWAY = """
import os, sys
for name in ("fork", "forkpty", "getuid", "geteuid", "getpgid", "setsid", "chown", "fchown", "fchmod",
             "mkfifo", "O_DIRECTORY", "O_NOFOLLOW", "O_CLOEXEC", "O_NONBLOCK", "getloadavg"):
    if hasattr(os, name):
        delattr(os, name)
for name in ("fcntl", "termios", "tty", "pty", "pwd", "grp", "resource", "syslog"):
    sys.modules[name] = None
def no_network(event, arguments):
    if event in ("socket.connect", "socket.getaddrinfo", "socket.sendto"):
        os.write(2, f"NETWORK {event} {arguments}\\n".encode())
        os._exit(77)
sys.addaudithook(no_network)
from scaledesign.cli import main
for line in open(sys.argv[1], encoding="utf-8"):
    words = line.rstrip("\\n").split("|")
    code = main(words)
    print(f"RAN {code} {words[0]}", flush=True)
"""
COMMANDS = (
    ("tube", "16 mm x 3 mm x 500 mm", "--json"),
    ("new", "--tube", "16 mm x 3 mm", "--key", "A4", "-o", "flöte 笛.toml"),
    ("check", "flöte 笛.toml"),
    ("predict", "flöte 笛.toml"),
    ("chances", "flöte 笛.toml", "--flutes", "100"),
    ("solve", "flöte 笛.toml", "--in-place"),
    ("calibrate", "flöte 笛.toml", "--bare", "A4 -4", "--length", "355 mm", "--in-place"),
    ("bench", "flöte 笛.toml"),
    ("registers", "flöte 笛.toml"),
    ("holes", "flöte 笛.toml"),
    ("chart", "flöte 笛.toml", "-o", "tafel é.svg"),
    ("template", "flöte 笛.toml", "-o", "schablone é.pdf"),
    ("fingerings", "flöte 笛.toml", "--note", "A4"),
    ("hear", "flöte 笛.toml", "-o", "klang é.wav"),
    ("scales",),
    ("systems",),
    ("plugins",),
    ("read",),
)
MADE = ("flöte 笛.toml", "tafel é.svg", "schablone é.pdf", "klang é.wav")


def test_every_kind_of_command_runs_elsewhere(tmp_path: Path) -> None:
    place = tmp_path / "flûtes 笛 and more"
    place.mkdir()
    (place / "commands").write_text("\n".join("|".join(words) for words in COMMANDS), encoding="utf-8")
    wanted = {
        **os.environ,
        "SCALEDESIGN_HOME": str(tmp_path / "mine"),
        "PYTHONIOENCODING": "cp437:strict",
        "PYTHONUTF8": "0",
        "TERM": "dumb",
    }
    found = subprocess.run(
        [sys.executable, "-c", AWAY, "commands"], cwd=place, env=wanted, capture_output=True, timeout=120
    )
    said, wrong = found.stdout.decode("cp437"), found.stderr.decode("cp437")
    ran = [line.split(" ")[1:] for line in said.splitlines() if line.startswith("RAN ")]
    assert [name for _, name in ran] == [words[0] for words in COMMANDS], wrong[-2000:]
    assert {code for code, _ in ran} <= {"0", "1"}, (ran, wrong[-2000:])
    assert "Traceback" not in wrong
    for name in MADE:
        assert (place / name).stat().st_size > 100, name
    assert sorted(path.name for path in place.iterdir()) == sorted((*MADE, "commands"))
