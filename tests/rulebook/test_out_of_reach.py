"""A target that a schedule cannot meet at any size is warned of, also where the schedule has no edges to look at."""

import pytest
from tests.rulebook.folders import OWN, check, edited

PRINT = 'schedule = { kind = "power", reference_price = 120, reference_measure = 600, exponent = 0.6 }'
BOOK = 'schedule = { kind = "listed", prices = { octavo = 85, a4 = 165 } }'


def warned(old: str, new: str) -> list[tuple[str, str]]:
    checked = check(edited(OWN, old, new))
    assert checked.refusals == ()
    return [(fault.key, fault.reason.partition(":")[0]) for fault in checked.faults]


@pytest.mark.parametrize(
    ("rate", "base", "met"),
    [
        ("0.2", "0", False),  # an hour for each cm2 leaves less than 0.2 of any size
        ("40", "0", False),  # at most 24 of 40 are left by the gallery
        ("90", "0", True),
        ("90", "100", True),  # too little of a small work, enough of a large one
    ],
)
def test_a_flat_rate(rate: str, base: str, met: bool) -> None:
    found = warned(PRINT, f'schedule = {{ kind = "flat", rate = {rate} }}\nhours = {{ kind = "flat", base = {base}, rate = 1 }}')
    assert found == ([] if met else [("media.print.hours", "the target of 30 is met at none of its sizes in quay")])


@pytest.mark.parametrize(("base", "met"), [("9", False), ("2", True)])
def test_listed_prices(base: str, met: bool) -> None:
    found = warned(BOOK, f'{BOOK}\nhours = {{ kind = "flat", base = {base}, rate = 0.0001 }}')
    assert found == ([] if met else [("media.book.hours", "the target of 30 is met at none of its sizes in quay")])
