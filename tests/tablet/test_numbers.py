"""What is typed at the desk: a number or none, and the words that are made of it."""

from typing import Any

import pytest
from playwright.sync_api import Page, expect
from tests.tablet.driving import choose, open_desk


@pytest.mark.parametrize(
    ("typed", "fault"),
    [
        ("1,200", "can be read in two ways: write 1200 or 1,2."),
        ("1.000", "can be read in two ways: write 1000 or 1.0."),
        ("12,125", "can be read in two ways: write 12125 or 12,1250."),
        ("1200", ""), ("120,50", ""), ("0.125", ""), ("1234,125", ""), ("12,1250", ""),
    ],
)  # fmt: skip
def test_what_can_be_read_in_two_ways_is_not_guessed(tablet: Page, desk: Any, typed: str, fault: str) -> None:
    """Thousands in one country, three decimals in the next: of a budget as of a size. A comma or a point is a decimal sign still."""
    open_desk(tablet, desk)
    choose(tablet, "Alder Lane", "Oil on linen")
    tablet.get_by_label("Or a budget, EUR").fill(typed)
    expect(tablet.locator("#budget-fault")).to_have_text(f"The budget {fault}" if fault else "")
    if fault:
        expect(tablet.locator("#fit")).to_be_empty()
    tablet.get_by_label("Height").fill(typed)
    expect(tablet.locator("#state")).to_have_text(f"The height {fault}" if fault else "Say the width.")


def test_the_words_beside_a_price_are_of_what_is_priced(tablet: Page, desk: Any) -> None:
    """A side that was typed for another outline, or for an item that is left out again, is in neither."""
    open_desk(tablet, desk)
    choose(tablet, "Alder Lane", "Oil on linen")
    tablet.get_by_label("Height").fill("60")
    tablet.get_by_label("Width").fill("80")
    words = tablet.locator("#said-work")
    expect(words).to_have_text("Oil on linen, 60 x 80 cm")
    choose(tablet, "Round")
    expect(words).to_have_text("Oil on linen, 60 cm, round")
    choose(tablet, "Muddlefern", "Stoneware vessel")
    tablet.get_by_label("Height").fill("25")
    choose(tablet, "Firing")
    tablet.get_by_label("Width").fill("18")
    tablet.get_by_label("Depth").fill("18")
    expect(words).to_have_text("Stoneware vessel, 25 x 18 x 18 cm, Firing")
    choose(tablet, "Firing")
    expect(words).to_have_text("Stoneware vessel, 25 cm")


def test_what_is_no_number_and_what_is_refused_is_said(tablet: Page, desk: Any) -> None:
    open_desk(tablet, desk)
    choose(tablet, "Alder Lane", "Oil on linen")
    tablet.get_by_label("Height").fill("6o")
    expect(tablet.locator("#state")).to_have_text("The height is no number: write 60 or 60,5.")
    tablet.get_by_label("Height").fill("60000")
    tablet.get_by_label("Width").fill("80")
    expect(tablet.locator("#price")).to_have_attribute("data-state", "refused")
    assert "100 m" in tablet.inner_text("#state")
    assert tablet.inner_text("#amount") == ""
