"""Standard sizes as they are looked up: complete, in the unit asked for, with their source."""

from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenhang.engine.formats import FAMILIES, list_formats, shown_size
from evenhang.engine.money import Amount
from evenhang.engine.refusals import OutOfRange
from evenhang.engine.sizes import FORMATS, MM, Size

# Traditional French canvases, cm (read in the trade's tables): number, figure, paysage, marine.
CANVASES = """
0 18x14 18x12 18x10   1 22x16 22x14 22x12   2 24x19 24x16 24x14   3 27x22 27x19 27x16   4 33x24 33x22 33x19
5 35x27 35x24 35x22   6 41x33 41x27 41x24   8 46x38 46x33 46x27   10 55x46 55x38 55x33  12 61x50 61x46 61x38
15 65x54 65x50 65x46  20 73x60 73x54 73x50  25 81x65 81x60 81x54  30 92x73 92x65 92x60  40 100x81 100x73 100x65
50 116x89 116x81 116x73  60 130x97 130x89 130x81  80 146x114 146x97 146x89  100 162x130 162x114 162x97  120 195x130 195x114 195x97
"""
# ISO 216, mm (read): the shorter side first, as the standard writes them.
ISO = """
a0 841x1189 a1 594x841 a2 420x594 a3 297x420 a4 210x297 a5 148x210 a6 105x148
b0 1000x1414 b1 707x1000 b2 500x707 b3 353x500 b4 250x353 b5 176x250 b6 125x176
"""


def test_every_french_canvas() -> None:
    words = CANVASES.split()
    wanted = {}
    for number, *sizes in zip(words[::4], words[1::4], words[2::4], words[3::4], strict=True):
        for series, size in zip(("figure", "paysage", "marine"), sizes, strict=True):
            wanted[int(number), series] = size
    rows = list_formats(family="french-canvas")
    assert {(row.canvas, row.series): f"{row.size.height}x{row.size.width}" for row in rows} == wanted
    assert len(rows) == 60
    assert {row.size.unit for row in rows} == {"cm"}


def test_every_paper_of_iso_216() -> None:
    words = ISO.split()
    rows = list_formats(family="iso-216")
    assert [(row.name, f"{row.size.width}x{row.size.height}") for row in rows] == list(zip(words[::2], words[1::2], strict=True))
    assert [row.series for row in rows] == ["a"] * 7 + ["b"] * 7


def test_the_system_of_iso_216() -> None:
    """Each size is half of the one before, its longer side cut in two and rounded down to the millimetre (ISO 216, read)."""
    rows = {row.name: row.size for row in list_formats(family="iso-216")}
    for series in "ab":
        for n in range(6):
            larger, smaller = rows[f"{series}{n}"], rows[f"{series}{n + 1}"]
            assert (int(smaller.width), smaller.height) == (int(larger.height) // 2, larger.width)


@pytest.mark.parametrize(
    ("unit", "height", "width"),
    [("mm", "297", "210"), ("cm", "29.7", "21"), ("m", "0.297", "0.21"), ("in", "11.6929", "8.2677")],
)
def test_a4_in_each_unit(unit: str, height: str, width: str) -> None:
    """297 / 25.4 = 11.69291..., 210 / 25.4 = 8.26771... (1 in = 25.4 mm exactly)."""
    a4 = next(row.size for row in list_formats(unit) if row.name == "a4")
    assert (a4.height, a4.width, a4.depth, a4.unit) == (height, width, None, unit)


def test_all_without_a_choice_each_with_its_source() -> None:
    rows = list_formats()
    assert {row.name for row in rows} == set(FORMATS)
    assert [kind.family for kind in FAMILIES] == list(dict.fromkeys(row.family for row in rows))
    assert all(kind.source and kind.known == "read" for kind in FAMILIES)


def test_a_size_of_nothing() -> None:
    with pytest.raises(OutOfRange):
        shown_size(Size(Amount("0"), "cm"))


@given(st.decimals(D("0.1"), D(9999), places=1), st.sampled_from(list(MM)), st.sampled_from(list(MM)))
def test_there_and_back(side: D, one: str, other: str) -> None:
    """A size in another unit is off by half of the last digit at most."""
    shown = shown_size(Size(Amount(str(side)), one), other) if side * MM[one] <= 100_000 else None
    if shown:
        assert abs(D(shown.height) * MM[other] - side * MM[one]) <= D("0.00005") * MM[other]
        assert shown.text() == f"{shown.height} {other}"
