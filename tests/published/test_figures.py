"""Published figures, each with its source: sizes, minor digits, growth, rounding, sharing out."""

from datetime import date
from decimal import Decimal as D

import pytest
from iso4217 import Currency

from evenhang.engine.growth import anniversary, growth
from evenhang.engine.money import MINOR_DIGITS, ONE, Amount, share_out, to_minor
from evenhang.engine.rules import Increase
from evenhang.engine.sizes import FORMATS, Sides, Size, in_mm, measure_sides, per_unit


def test_minor_digits_are_those_of_iso_4217() -> None:
    """ISO 4217 maintenance agency's table of 2026-01-01, carried by the package `iso4217`."""
    assert {c.code: c.exponent for c in Currency if c.exponent is not None} == MINOR_DIGITS


def test_inches_are_exact() -> None:
    """1 in = 25.4 mm exactly; 24 x 36 in = 864 in2 = 5,574.1824 cm2 (international yard, 1 July 1959, read)."""
    area = measure_sides("area", [in_mm(Size(Amount("24"), "in", Amount("36")), "")], [""], true_curve=False)
    assert per_unit(area, "in2") == 864
    assert per_unit(area, "cm2") == D("5574.1824")


def test_united_inches() -> None:
    """8 x 10 in = 18 united inches (read)."""
    united = measure_sides("united", [in_mm(Size(Amount("8"), "in", Amount("10")), "")], [""], true_curve=False)
    assert per_unit(united, "in") == 18


@pytest.mark.parametrize(
    ("name", "height", "width"), [("a4", "297", "210"), ("b0", "1414", "1000"), ("30f", "92", "73"), ("120m", "195", "97")]
)
def test_standard_formats(name: str, height: str, width: str) -> None:
    """ISO 216 (mm) and the traditional French canvases (cm), read."""
    size = FORMATS[name].size
    assert (str(size.height), str(size.width)) == (height, width)


def test_canvas_number_from_its_size() -> None:
    """92 x 73 cm is number 30, either way up (read)."""
    assert measure_sides("canvas", [Sides(D(730), D(920), None)], [""], true_curve=False) == 30


@pytest.mark.parametrize(
    ("value", "rounded"), [("24.784", "24.78"), ("24.785", "24.79"), ("2.675", "2.68"), ("1.005", "1.01"), ("-1.005", "-1.01")]
)
def test_half_up(value: str, rounded: str) -> None:
    """Council Regulation (EC) 1103/97, Art. 4-5 (read); the last three computed."""
    assert str(to_minor(D(value), "EUR")) == rounded


def test_three_years_at_three_percent() -> None:
    """Three years at 3 % are 9.27 % in all (CARFAC, read; 9.2727 computed)."""
    assert growth(Increase(date(2020, 5, 1), D(3)), date(2023, 5, 1)) == D("1.092727")
    assert growth(Increase(date(2020, 5, 1), D(3)), date(2023, 4, 30)) == D("1.0609")


def test_leap_day() -> None:
    assert anniversary(date(2024, 2, 29), 2025) == date(2025, 2, 28)


def test_house_of_representatives_1790() -> None:
    """Largest remainder: US House 1790, 60 seats (read)."""
    people = (630560, 475327, 432879, 353523, 331589, 278514, 236841, 206236, 179570, 141822, 85533, 70835, 68705, 68446, 55540)
    assert share_out(D(60), [D(p) for p in people], ONE) == [11, 8, 7, 6, 6, 5, 4, 3, 3, 2, 1, 1, 1, 1, 1]


def test_a_hundred_in_three() -> None:
    assert list(map(str, share_out(D("100.00"), [ONE] * 3, D("0.01")))) == ["33.34", "33.33", "33.33"]
