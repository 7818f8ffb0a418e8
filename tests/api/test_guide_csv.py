"""The price guide as a table: by pencil, as RFC 4180 has it, and no title that starts a formula."""

import csv
import io

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.api.guides import guide_titled

from evenhang.api.guide_csv import COLUMNS, STARTERS, csv_of, harmless


def test_the_table_by_pencil() -> None:
    answer = guide_titled("Oil, on linen")
    rows = list(csv.DictReader(io.StringIO(csv_of(answer).decode())))
    assert [(row["medium"], row["format"], row["height"], row["width"], row["unit"], row["unframed"], row["framed"]) for row in rows] == [
        ("oil", "small", "30", "40", "cm", "1250.00", "1310.00"),
        ("oil", "huge", "", "", "", "", ""),
        ("vessel", "", "12.5", "", "in", "40.00", ""),
        ("mural", "", "", "", "", "", ""),
    ]
    assert [row["reason"] for row in rows] == ["", "Oil, on linen", "", "Ask."]
    assert {(row["currency"], row["valid_from"], row["valid_until"]) for row in rows} == {("EUR", "2026-04-01", "2027-04-01")}


def test_lines_end_as_rfc_4180_has_it_and_every_line_has_every_column() -> None:
    """RFC 4180, section 2: rules 1 (CRLF), 4 (the same number of fields), 6 and 7 (quotes)."""
    raw = csv_of(guide_titled('He said "a, b"'))
    assert raw.endswith(b"\r\n")
    assert raw.count(b"\n") == raw.count(b"\r\n") == 5
    assert b'"He said ""a, b"""' in raw
    assert {len(row) for row in csv.reader(io.StringIO(raw.decode()))} == {len(COLUMNS)}


@pytest.mark.parametrize(
    ("cell", "safe"),
    [
        ("=1+1", "'=1+1"), ("+1", "'+1"), ("-1", "'-1"), ("@SUM(A1)", "'@SUM(A1)"), ("\t=1", "'\t=1"), ("\r=1", "'\r=1"),
        (" =1", "' =1"), ("\u200f=1", "'\u200f=1"), ("\ufeff@a", "'\ufeff@a"), ("＝1", "'＝1"),
        ("a=1", "a=1"), ("30 x 40", "30 x 40"), ("", ""), ("'=1", "'=1"), ("“=1", "“=1"),
    ],
)  # fmt: skip
def test_formulas_are_made_harmless(cell: str, safe: str) -> None:
    assert harmless(cell) == safe


@given(st.text(max_size=20))
@settings(max_examples=200)
def test_no_title_starts_a_formula_and_none_is_lost(title: str) -> None:
    cell = harmless(title)
    assert cell in (title, "'" + title)
    assert cell.lstrip()[:1] not in STARTERS or not cell.strip()
    if "\r" not in title and "\n" not in title and "\x00" not in title:
        rows = list(csv.DictReader(io.StringIO(csv_of(guide_titled(title)).decode(), newline="")))
        assert rows[0]["medium_title"] == cell
