"""The scripts on a terminal of some width: no amount is ever cut, whose row it is always stays, and what is to be copied can be."""

import fcntl
import importlib
import io
import json
import os
import pty
import re
import struct
import subprocess
import sys
import termios
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path
from types import ModuleType

import pytest
from rich.console import Console

FOLDER = Path(__file__).parents[2] / "demo_clients" / "scripts"
ALDER, FERN, SALES, RUNGS = (FOLDER / name for name in ("alder-lane.csv", "muddlefern.csv", "muddlefern-sales.csv", "rungs.csv"))
Run = Callable[..., subprocess.CompletedProcess[bytes]]
JOBS: dict[str, tuple[str | Path, ...]] = {
    "settle": ("settle", SALES, "--member", "muddlefern"),
    "price": ("price", ALDER, "--member", "alder-lane"),
    "price --mine": ("price", ALDER, "--member", "alder-lane", "--mine"),
    "season": ("season", SALES, "--member", "muddlefern", "--income", "18000.00", "--rungs", RUNGS),
    "review": ("review", FERN, "--member", "muddlefern", "--as-of", "2027-05-01"),
    "feel": ("feel", ALDER, "--member", "alder-lane"),
    "check": ("check", ALDER, "--member", "alder-lane", "--mend", "raise-only"),
}
LESS = {"tax", "growth"}  # the only figures that may be left away, where that is said


def seen(server: str, width: int, *words: str | Path) -> str:
    """What a terminal of that width shows, without its colours."""
    ours, theirs = pty.openpty()
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", 40, width, 0, 0))
    env = {"PATH": os.environ["PATH"], "EVENHANG_SERVICE": server, "TERM": "xterm-256color"}
    command = [sys.executable, FOLDER / "evenhang_scripts.py", *words]
    with subprocess.Popen(command, stdin=theirs, stdout=theirs, stderr=theirs, env=env) as running:
        os.close(theirs)
        out = b""
        while True:
            try:
                part = os.read(ours, 65536)
            except OSError:  # Linux says so when the other end is closed
                break
            if not part:
                break
            out += part
        os.close(ours)
    assert running.returncode in (0, 1), out.decode()
    return re.sub(r"\x1b\[[0-9;?]*[a-zA-Z]", "", out.decode()).replace("\r\n", "\n")


@pytest.fixture(scope="module")
def laying() -> Iterator[ModuleType]:
    """demo_clients/scripts/laying.py, which is beside a script and in no package."""
    sys.path.insert(0, str(FOLDER))
    yield importlib.import_module("laying")
    sys.path.remove(str(FOLDER))
    del sys.modules["laying"]


def laid(laying: ModuleType, width: int, tables: dict[str, list[dict[str, str]]]) -> str:
    """The tables as they are laid out for that width."""
    out = io.StringIO()
    console = Console(width=width, file=out, highlight=False, markup=False)
    for name, lines in tables.items():
        if lines:
            laying.lay(console, name, list(lines[0]), lines)
    return out.getvalue()


@pytest.mark.parametrize("job", JOBS)
def test_no_amount_is_cut_and_ids_and_titles_stay(run: Run, laying: ModuleType, job: str) -> None:
    """At every width from 40 to 160 each figure, id and word of a title stands there whole, as often as it was answered."""
    tables: dict[str, list[dict[str, str]]] = json.loads(run(*JOBS[job], "--json").stdout)["tables"]
    schedules = [line["schedule"] for lines in tables.values() for line in lines if line.get("schedule")]
    assert bool(schedules) == (job == "feel")
    copied = {line for schedule in schedules for line in schedule.splitlines()}
    for width in range(40, 161, 5):
        shown = laid(laying, width, tables)
        gone = {name for found in re.findall(r"Left away[^:]*: ([^.]*)\.", shown) for name in re.split(r",\s", found)}
        less = LESS & {" ".join(name.split()) for name in gone}
        wanted: Counter[str] = Counter()
        for column, cell in (row for lines in tables.values() for line in lines for row in line.items()):
            if column in ("id", "title") or (column != "line" and column not in less and re.fullmatch("-?[0-9]+([.][0-9]+)?", cell)):
                wanted.update(cell.split())
        assert wanted
        assert wanted - Counter(shown.split()) == Counter(), width
        for schedule in schedules:  # ready to copy: as it is, at the start of lines
            assert f"\n{schedule}\n" in shown
        assert [line for line in shown.splitlines() if len(line) > width and line not in copied] == []


@pytest.mark.parametrize("width", [60, 80])
def test_a_terminal_says_how_wide_it_is(server: str, width: int) -> None:
    shown = seen(server, width, *JOBS["settle"])
    assert {"mf-s2", "310.00", "225.49", "164.49", "18.28"} <= set(shown.split())
    assert width - 20 < max(len(line) for line in shown.splitlines()) <= width


def test_what_fits_is_a_table_with_every_column(server: str) -> None:
    wide = seen(server, 150, *JOBS["settle"])
    assert re.search(r"^mf-s2  Tall jar with its shadow  quay-gallery  520.00 +52.00 +42.55 .* 225.49 +164.49 +18.28$", wide, re.M)
    assert "Left away" not in wide
    assert "settlements, muddlefern, EUR" in wide
    assert "made of, rules" in seen(server, 100, *JOBS["price --mine"])


def test_a_long_id_and_wide_letters_stay_whole(server: str, tmp_path: Path) -> None:
    """An id of 50 letters makes records of the rows; Japanese letters take two cells each."""
    file = tmp_path / "wide.csv"
    file.write_text(f"id,title,medium,height,width\n{'w' * 50},霧の中の門と長い生け垣と冬の小屋,oil,30,40\n", encoding="utf-8")
    shown = seen(server, 60, "price", file, "--member", "alder-lane")
    assert "w" * 50 in shown
    assert "price: 250.00" in shown


def test_a_terminal_gets_a_table_that_obeys_nothing(server: str, tmp_path: Path) -> None:
    """A table for people, the caution under it, and --csv is CSV there too; what a title holds is shown, not obeyed."""
    table = seen(server, 160, *JOBS["price"])
    for part in ("Low tide, two posts", "940.00", "Arithmetic, not advice", "asking"):  # the last is the bar
        assert part in table
    assert "line,member,id,title" in seen(server, 160, *JOBS["price"], "--csv")
    hostile = tmp_path / "hostile.csv"
    hostile.write_text("title,medium,height,width\n[red]x[/red] \x1b]0;y\x07,oil,30,40\n")
    for width in (160, 40):
        shown = seen(server, width, "price", hostile, "--member", "alder-lane")
        assert "[red]x[/red]" in shown
        assert "\x1b]0;" not in shown
