"""What the scripts read and write: bad rows, bad files, and a CSV that does no harm in a spreadsheet."""

import csv
import io
import json
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

FOLDER = Path(__file__).parents[2] / "demo_clients" / "scripts"
ALDER, SALES = FOLDER / "alder-lane.csv", FOLDER / "muddlefern-sales.csv"
Run = Callable[..., subprocess.CompletedProcess[bytes]]


def lines(raw: bytes, delimiter: str = ",") -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(raw.decode("utf-8-sig"), newline=""), delimiter=delimiter))


BAD = """id,medium,height,width,price,hours,extras,note
good,oil,30,40,250.00,3,,keep
comma,oil,"30,5",40,250.00,3,,
unknown,fresco,30,40,250.00,3,,
many,oil,30,40,250.00,3,,a,b
,oil,30,40,250.00,3,gilded-edge * x,
UPPER,Oil,30,40,250.00,3,,
"""


@pytest.mark.parametrize("job", ["price", "check", "review", "feel"])
def test_a_bad_row_is_told_with_its_line_and_sinks_no_other(run: Run, job: str) -> None:
    done = run(job, "-", "--member", "alder-lane", "--json", stdin=BAD.encode())
    said = json.loads(done.stdout)
    gone = {one["line"]: one["why"] for one in said["left_out"]}
    told = {int(line.split()[1]) for line in done.stderr.decode().splitlines() if line.startswith("line ")}
    assert done.returncode == 1
    assert told == set(gone)
    assert set(gone) == {3, 4, 5, 6, 7}
    assert "--decimal-comma" in gone[3]
    assert "quotes" in gone[5]
    assert "gilded-edge * 4" in gone[6]
    assert "fresco" in gone[4]
    if job in ("price", "review"):
        assert [row["id"] for row in next(iter(said["tables"].values()))] == ["good"]


def test_what_is_left_out_stands_in_the_csv_too(run: Run) -> None:
    rows = lines(run("price", "-", "--member", "alder-lane", stdin=BAD.encode()).stdout)
    assert [(row["line"], bool(row["price"]), bool(row["problem"])) for row in rows] == [
        ("2", True, False), *((str(line), False, True) for line in (3, 4, 5, 6, 7)),
    ]  # fmt: skip


def test_the_csv_opens_in_a_spreadsheet_and_does_nothing_there(run: Run) -> None:
    titles = ["=HYPERLINK(1)", "+1", "-x", "@y", 'Möwe, "zwei"', "a\nb"]
    out = io.StringIO()
    csv.writer(out).writerows([("title", "medium", "height", "width"), *((title, "oil", 30, 40) for title in titles)])
    done = run("price", "-", "--member", "alder-lane", "--bom", stdin=out.getvalue().encode())
    assert done.stdout.startswith(b"\xef\xbb\xbfline,member,")
    assert [row["title"] for row in lines(done.stdout)] == ["'=HYPERLINK(1)", "'+1", "'-x", "'@y", *titles[4:]]
    # What was made harmless is read back as it was: the apostrophe is the spreadsheet's, not the title's.
    safe = b"\xef\xbb\xbftitle,medium,height,width\n'=HYPERLINK(1),oil,30,40\n"
    again = run("price", "-", "--member", "alder-lane", "--json", stdin=safe)
    assert json.loads(again.stdout)["tables"]["prices"][0]["title"] == "=HYPERLINK(1)"


def test_decimal_commas_are_read_and_written(run: Run) -> None:
    file = b"id;medium;height;width\r\na;oil;30,0;40\r\n"
    done = run("price", "-", "--member", "alder-lane", "--decimal-comma", stdin=file)
    assert (done.returncode, lines(done.stdout, ";")[0]["price"]) == (0, "250,00")


@pytest.mark.parametrize(
    ("file", "said"),
    [
        (b"id,medium,hieght,width\na,oil,3,4\n", 'is it "height"?'),
        (b"id,id,medium\n", "stands twice"),
        (b"x,y\n1,2\n", "names none of the columns"),
        ("id,medium,title\na,oil,Möwe".encode("latin-1"), "not in UTF-8"),
        (b'id,medium\na,"oil\n', "line 2"),
        (b"", "names none of the columns"),
    ],
)
def test_a_file_that_is_none_is_told_so(run: Run, file: bytes, said: str) -> None:
    done = run("price", "-", "--member", "alder-lane", stdin=file)
    assert (done.returncode, done.stdout) == (2, b"")
    assert said in done.stderr.decode()


@pytest.mark.parametrize(("job", "column"), [("price", "price"), ("feel", "medium"), ("check", "severity"), ("review", "state")])
def test_the_columns_are_the_same_whatever_is_found(run: Run, job: str, column: str) -> None:
    """With a bad row first, with none, and with no row at all; `problem` comes last."""
    head, good = b"id,medium,height,width,price,hours\n", b"good,oil,30,40,250.00,3\n"
    bad = b"comma,oil,30.,40,250.00,3\n"
    heads = [run(job, "-", "--member", "alder-lane", stdin=head + rows).stdout.splitlines()[0] for rows in (bad + good, good, b"")]
    assert len(set(heads)) == 1
    columns = heads[0].decode().split(",")
    assert (columns[:3], columns[-1]) == (["line", "member", "id"], "problem")
    assert column in columns


def test_a_file_without_works_says_so(run: Run) -> None:
    done = run("price", "-", "--member", "alder-lane", stdin=b"id,medium,height,width\n")
    assert done.returncode == 0
    assert b"there are no works" in done.stderr
    assert done.stdout.startswith(b"line,member,id,title,")
    assert lines(done.stdout) == []


@pytest.mark.parametrize("job", ["price", "settle", "season", "check", "review", "feel"])
def test_a_member_who_is_unknown_is_told_once(run: Run, job: str) -> None:
    file = b"id,medium,outlet,sold_on,height,width,price,hours\n" + b"w,oil,studio,2026-04-01,30,40,250.00,3\n" * 3
    done = run(job, "-", "--member", "alderlane", stdin=file)
    assert (done.returncode, done.stdout) == (2, b"")
    assert done.stderr.decode().count("There is no such member.") == 1
    assert '--member "alderlane"' in done.stderr.decode()


def test_nothing_is_written_over_what_is_read(run: Run, tmp_path: Path) -> None:
    """By its own name, by another, and through a link; nor two answers into one file, nor into a folder that is not there."""
    file = tmp_path / "works.csv"
    file.write_bytes(ALDER.read_bytes())
    (tmp_path / "link.csv").symlink_to(file)
    mend = ("--mend", "raise-only", "--write-mended")
    same = (
        ("price", file, "--out", file), ("price", file, "--out", tmp_path / "." / "link.csv"),
        ("check", tmp_path / "link.csv", *mend, file), ("season", SALES, "--rungs", file, "--out", file),
        ("check", file, *mend, tmp_path / "x.csv", "--out", tmp_path / "x.csv"),
        ("price", file, "--out", tmp_path / "nowhere" / "x.csv"), ("check", file, *mend, tmp_path / "nowhere" / "x.csv"),
    )  # fmt: skip
    for words in same:
        done = run(*words, "--member", "alder-lane")
        said = done.stderr.decode()
        assert (done.returncode, done.stdout, "Traceback" in said) == (2, b"", False), said
        assert re.search("is the file that is read|are the same file|there is no folder", said)
    with file.open("rb") as pipe:  # through "-" as well
        words = [sys.executable, FOLDER / "evenhang_scripts.py", "price", "-", "--member", "alder-lane", "--out", file]
        assert subprocess.run(words, stdin=pipe, capture_output=True, check=False, timeout=60).returncode == 2
    assert file.read_bytes() == ALDER.read_bytes()
    assert sorted(path.name for path in tmp_path.iterdir()) == ["link.csv", "works.csv"]


def test_a_misspelt_column_is_asked_for_plainly(run: Run) -> None:
    done = run("price", "-", "--member", "alder-lane", stdin=b"id,medium,hieght,width\na,oil,3,4\n")
    assert done.stderr.decode().rstrip().endswith('is it "height"?')


def test_decimal_commas_go_into_what_a_price_is_made_of_and_not_into_a_schedule(run: Run) -> None:
    out = io.StringIO()
    cells = csv.reader(io.StringIO(ALDER.read_text()))
    csv.writer(out, delimiter=";").writerows([re.sub("(?<=[0-9])[.](?=[0-9])", ",", cell) for cell in line] for line in cells)
    file = out.getvalue().encode()
    done = run("price", "-", "--member", "alder-lane", "--decimal-comma", stdin=file)
    made = {row["id"]: row["made_of"] for row in lines(done.stdout, ";")}
    assert made["al-05"] == "The work 840,00; Frame 100,83; Rounding -0,83"
    assert [cell for cell in made.values() if "." in cell] == []
    feel = lines(run("feel", "-", "--member", "alder-lane", "--decimal-comma", stdin=file).stdout, ";")
    assert any("exponent = 0." in row["schedule"] for row in feel)
