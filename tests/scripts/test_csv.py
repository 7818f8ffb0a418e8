"""What the scripts read and write: bad rows, bad files, and a CSV that does no harm in a spreadsheet."""

import csv
import io
import json
import subprocess
from collections.abc import Callable

import pytest

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
    assert set(gone) | ({4} if job == "check" else set()) == {3, 4, 5, 6, 7}  # a check says of the unknown medium in a finding of its own
    assert "--decimal-comma" in gone[3]
    assert "quotes" in gone[5]
    assert "gilded-edge * 4" in gone[6]
    if job == "check":
        assert any(row["works"] == "unknown" and "fresco" in row["detail"] for row in said["tables"]["findings"])
    else:
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
