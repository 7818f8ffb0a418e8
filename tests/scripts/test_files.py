"""Files as people have them: stray quotes, blank columns, columns of their own; and where an answer may be written."""

import csv
import io
import os
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

FOLDER = Path(__file__).parents[2] / "demo_clients" / "scripts"
ALDER = FOLDER / "alder-lane.csv"
Run = Callable[..., subprocess.CompletedProcess[bytes]]
HEAD = "id,title,medium,height,width\n"


def lines(raw: bytes, delimiter: str = ",") -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(raw.decode("utf-8-sig"), newline=""), delimiter=delimiter))


def priced(run: Run, file: str) -> tuple[list[str], list[str]]:
    """The ids that have a price, and what is told."""
    done = run("price", "-", "--member", "alder-lane", stdin=file.encode())
    return [row["id"] for row in lines(done.stdout) if row["price"]], done.stderr.decode().splitlines()


def test_a_stray_quote_sinks_no_other_row(run: Run) -> None:
    """Where it swallows a line break, the lines that went with it are said."""
    good = 'b,"Low, tide",oil,30,40\n'
    ids, told = priced(run, f'{HEAD}a,"Low" tide,oil,30,40\n{good}')
    assert ids == ["b"]
    assert [line.partition(" is")[0] for line in told] == ["line 2 (line-2)"]
    assert "twice" in told[0]
    ids, told = priced(run, f'{HEAD}a,"Low tide,oil,30,40\n{good}{good.replace("b", "c")}')
    assert ids == ["c"]
    assert [line.partition(" is")[0] for line in told] == ["line 2 (line-2)"]
    assert "up to line 3" in told[0]


def test_a_quote_that_stays_open_is_told_where_it_opens(run: Run) -> None:
    ids, told = priced(run, f'{HEAD}a,x,oil,30,40\nb,"y,oil,30,40\nc,z,oil,30,40\nd,z,oil,30,40\n')
    assert ids == []
    assert "line 3: a quote opens there" in told[-1]


def test_what_is_empty_beside_the_table_is_no_fault(run: Run, tmp_path: Path) -> None:
    """Columns without a name and cells without a column; what stands in the former goes into the mended file as well."""
    file = "id,medium,,height,width,price,,\nsmall,oil,,30,40,400.00,one,two\nlarge,oil,,50,60,300.00,,,,,\n,,,,,,,,,\n"
    assert priced(run, file) == (["small", "large"], [])
    mended = tmp_path / "mended.csv"
    run("check", "-", "--member", "alder-lane", "--mend", "raise-only", "--write-mended", mended, stdin=file.encode())
    assert mended.read_text().splitlines()[:2] == file.splitlines()[:2]


@pytest.mark.parametrize("own", ["weight", "note", "form", "colour", "year", "tilted"])
def test_a_column_of_the_members_own_is_no_slip(run: Run, own: str) -> None:
    assert priced(run, f"id,medium,height,width,{own}\na,oil,30,40,x\n") == (["a"], [])


@pytest.mark.parametrize("slip", ["hieght", "heigth", "hight", "heigght", "heihgt", "heighx", "prices", "titel"])
def test_a_slip_is_asked_for(run: Run, slip: str) -> None:
    ids, told = priced(run, f"id,medium,{slip},width\na,oil,30,40\n")
    assert ids == []
    assert 'is not known; is it "' in told[-1]


@pytest.mark.parametrize("title", ["＝1+1", "\u200b=1+1", "\ufeff＋1", "\u00ad-x", "=1"])
def test_no_title_is_a_formula_in_disguise(run: Run, title: str) -> None:
    """As in the table of the guide; and what was made harmless is read back as it was."""
    file = f"{HEAD}a,{title},oil,30,40\n"
    once = run("price", "-", "--member", "alder-lane", stdin=file.encode())
    assert lines(once.stdout)[0]["title"] == f"'{title}"
    again = run("price", "-", "--member", "alder-lane", stdin=file.replace(title, f"'{title}").encode())
    assert again.stdout == once.stdout


def test_a_link_stays_one_and_what_it_names_is_written(run: Run, tmp_path: Path) -> None:
    """Also where that is not there yet."""
    folder = tmp_path / "elsewhere"
    folder.mkdir()
    (folder / "old.csv").write_text("old")
    for name in ("old.csv", "new.csv"):
        link = tmp_path / name
        link.symlink_to(folder / name)
        assert run("price", ALDER, "--member", "alder-lane", "--out", link).returncode == 0
        assert link.is_symlink()
        assert (folder / name).read_bytes().startswith(b"line,member,")
    assert sorted(path.name for path in folder.iterdir()) == ["new.csv", "old.csv"]


def test_what_is_no_file_is_not_replaced_by_one(run: Run, tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    for words in (("price", ALDER, "--out", pipe), ("check", ALDER, "--mend", "raise-only", "--write-mended", pipe)):
        done = run(*words, "--member", "alder-lane")
        assert (done.returncode, done.stdout) == (2, b"")
        assert b"is no file that could be written whole" in done.stderr
    assert pipe.is_fifo()
