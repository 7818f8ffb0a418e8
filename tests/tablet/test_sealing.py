"""What is sealed is what the buyer was shown: its price, its work, whatever is asked or computed meanwhile."""

from datetime import date
from typing import Any

from playwright.sync_api import Page, expect
from tests.tablet.driving import choose, expect_price, open_desk, plain, sealed_token

NOWHERE = "http://127.0.0.1:9"  # nobody listens on "discard"


def test_a_price_that_has_changed_is_shown_before_it_is_sealed(tablet: Page, desk: Any, house: Any) -> None:
    """A vessel of 45 cm: 520 until the rise of 4 % on 1 April 2026, then 540.80, to the nearest 10. One more touch seals it."""
    house.today = date(2026, 3, 31)
    open_desk(tablet, desk)
    choose(tablet, "Muddlefern", "Stoneware vessel")
    tablet.get_by_label("Height").fill("45")
    expect_price(tablet, "EUR 520.00")
    house.today = date(2026, 5, 1)
    tablet.get_by_role("button", name="Seal and make the slip").tap()
    expect(tablet.locator("#seal-fault")).to_contain_text("it was EUR 520.00, it is EUR 540.00 now. Touch once more")
    expect_price(tablet, "EUR 540.00")
    expect(tablet.locator("#slip svg")).to_have_count(0)
    assert plain(tablet.inner_text("#said-work")) == "Stoneware vessel, 45 cm"
    sealed_token(tablet)
    assert "EUR 540.00" in plain(tablet.inner_text("#slip"))
    tablet.get_by_role("link", name="Back to the price").tap()
    expect_price(tablet, "EUR 540.00")
    desk.service = NOWHERE
    tablet.get_by_label("Height").fill("45,0")
    expect_price(tablet, "EUR 540.00", "unconfirmed")  # the last that was confirmed


def seal_an_oil(page: Page, desk: Any) -> None:
    open_desk(page, desk)
    choose(page, "Alder Lane", "Oil on linen")
    page.get_by_label("Height").fill("60")
    page.get_by_label("Width").fill("80")
    expect_price(page, "EUR 840.00")
    sealed_token(page)


def test_another_language_is_the_same_slips(tablet: Page, desk: Any) -> None:
    """Whatever is asked by then: a wider work, and nothing at all."""
    seal_an_oil(tablet, desk)
    tablet.get_by_role("link", name="Back to the price").tap()
    for width, language in (("100", "de"), ("", "fr")):
        tablet.get_by_label("Width").fill(width)
        expect(tablet.locator("#state")).to_contain_text("Price of" if width else "Say the width.")
        tablet.go_back()
        tablet.get_by_label("Buyer's language").select_option(language)
        expect(tablet.locator("#slip")).to_have_attribute("lang", language)
        assert "60 x 80 cm" in tablet.inner_text("#slip")
        assert "840,00 EUR" in plain(tablet.inner_text("#slip"))
        tablet.get_by_role("link", name="Back to the price").tap()
    tablet.get_by_label("Width").fill("100")
    expect(tablet.locator("#amount")).to_contain_text("000,00")  # 60 x 100 cm: what is asked is untouched


def test_a_slip_that_cannot_be_sealed_again_stays_and_says_why(tablet: Page, desk: Any) -> None:
    seal_an_oil(tablet, desk)
    service, desk.service = desk.service, NOWHERE
    tablet.get_by_label("Buyer's language").select_option("de")
    expect(tablet.locator("#slip-fault")).to_have_text("Nothing can be sealed now: the service does not answer.")
    expect(tablet.locator("#slip-fault")).to_be_visible()
    expect(tablet.get_by_label("Buyer's language")).to_have_value("en")
    expect(tablet.locator("#slip")).to_have_attribute("lang", "en")
    desk.service = service
    tablet.get_by_label("Buyer's language").select_option("de")
    expect(tablet.locator("#slip")).to_have_attribute("lang", "de")
    expect(tablet.locator("#slip-fault")).to_be_empty()
    expect(tablet.get_by_label("Buyer's language")).to_have_value("de")


def test_a_slip_keeps_its_price_when_the_rules_change(tablet: Page, desk: Any, house: Any) -> None:
    house.today = date(2026, 3, 31)
    open_desk(tablet, desk)
    choose(tablet, "Muddlefern", "Stoneware vessel")
    tablet.get_by_label("Height").fill("45")
    expect_price(tablet, "EUR 520.00")
    sealed_token(tablet)
    house.today = date(2026, 5, 1)
    tablet.get_by_label("Buyer's language").select_option("de")
    expect(tablet.locator("#slip-fault")).to_contain_text("this slip offers EUR 520.00, today it is EUR 540.00.")
    assert "EUR 520.00" in plain(tablet.inner_text("#slip"))
    expect(tablet.get_by_label("Buyer's language")).to_have_value("en")
