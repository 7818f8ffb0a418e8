"""Which rows the scripts leave out and what they say of them, and which prices are mended."""

import csv
import io
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

Run = Callable[..., subprocess.CompletedProcess[bytes]]
ONE = b"id,medium,height,width,price\ngood,oil,30,40,250.00\n"


def lines(raw: bytes, delimiter: str = ",") -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(raw.decode("utf-8-sig"), newline=""), delimiter=delimiter))


def test_a_checked_row_that_the_rules_cannot_read_is_left_out(run: Run) -> None:
    """A medium that is unknown, no size, an id twice: none of their findings can be looked for. Each is told once, with its line."""
    done = run(
        "check", "-", "--member", "alder-lane", stdin=ONE + b"colour,fresco,30,40,250.00\nsizeless,oil,,,250.00\ngood,oil,50,60,300.00\n"
    )
    told = done.stderr.decode().splitlines()
    assert done.returncode == 1
    assert [line.partition(" is")[0] for line in told] == ["line 3 (colour)", "line 4 (sizeless)", "line 5 (good)"]
    assert "counted once" in told[2]
    assert {row["line"] for row in lines(done.stdout) if row["problem"]} == {"3", "4", "5"}
    assert not [row for row in lines(done.stdout) if row["works"] in ("colour", "sizeless")]


def test_nothing_stands_twice_word_for_word(run: Run) -> None:
    """Rules that were not in force when the price was listed stop two findings, for one reason."""
    file = b"id,medium,height,width,price,listed_on\nold,oil,30,40,250.00,1999-01-01\n"
    found = lines(run("check", "-", "--member", "alder-lane", stdin=file).stdout)
    assert [row["code"] for row in found if row["works"] == "old" and "no rules" in row["detail"]] == ["incomplete"]
    assert len({tuple(row.items()) for row in found}) == len(found)


@pytest.mark.parametrize("bad", [b"a,oil,30.,40", b"a,oil,30,40,x", b"a,fresco,30,40"])
def test_what_is_left_out_says_whose_it_is(run: Run, bad: bytes) -> None:
    done = run("price", "-", stdin=b"member,id,medium,height,width\nalder-lane," + bad + b"\n")
    assert [(row["line"], row["member"], bool(row["problem"])) for row in lines(done.stdout)] == [("2", "alder-lane", True)]


def test_a_mended_price_belongs_to_the_row_that_was_counted(run: Run, tmp_path: Path) -> None:
    """Of two rows of one id the first is counted; the other stays as it was."""
    file = b"id,medium,height,width,price\nsmall,oil,30,40,400.00\nlarge,oil,50,60,300.00\nlarge,oil,100,100,2000.00\n"
    mended = tmp_path / "mended.csv"
    done = run("check", "-", "--member", "alder-lane", "--mend", "raise-only", "--write-mended", mended, "--table", "mended", stdin=file)
    changed = {row["line"]: row["mended"] for row in lines(done.stdout)}
    assert list(changed) == ["3"]
    assert [row["price"] for row in lines(mended.read_bytes())] == ["400.00", changed["3"], "2000.00"]


def test_a_mended_price_keeps_its_currency_and_takes_equal_outlets_along(run: Run, tmp_path: Path) -> None:
    """An outlet that asked what was listed would undercut the mended price; one that asks something else is the member's own doing."""
    outlets = "studio = 300.00 + quay-gallery=300 EUR + shed-shop = 310.00"
    file = f"id,medium,height,width,price,outlet_prices\nsmall,oil,30,40,400.00 EUR,\nlarge,oil,50,60,300.00 EUR,{outlets}\n"
    mended = tmp_path / "mended.csv"
    asked = ("check", "-", "--member", "alder-lane", "--mend", "raise-only", "--write-mended", mended, "--table", "mended")
    (change,) = lines(run(*asked, stdin=file.encode()).stdout)
    new = change["mended"]
    small, large = lines(mended.read_bytes())
    assert (small["price"], large["price"]) == ("400.00 EUR", f"{new} EUR")
    assert large["outlet_prices"] == f"studio = {new} + quay-gallery={new} EUR + shed-shop = 310.00"
