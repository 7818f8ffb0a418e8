"""The line to the service: what comes back by itself, what is no answer, and what is kept."""

import json
from typing import Any

import httpx
import pytest
from playwright.sync_api import Page, Route, expect
from tests.tablet.driving import choose, expect_price, open_desk

NOWHERE = "http://127.0.0.1:9"  # nobody listens on "discard"
BANNER = "The price service cannot be reached."


@pytest.mark.parametrize(
    ("names", "height", "state"),
    [
        (("Muddlefern", "Stoneware sculpture"), "", "Say the height."),
        (("Muddlefern", "Stoneware sculpture"), "6o", "The height is no number: write 60 or 60,5."),
        (("Weftanderel", "Study on the small loom"), "", "Priced by the time that it takes: ask the workshop."),
    ],
)
def test_the_line_is_tried_again_where_no_price_is_due(tablet: Page, desk: Any, names: tuple[str, ...], height: str, state: str) -> None:
    open_desk(tablet, desk)
    tablet.wait_for_load_state("networkidle")  # what may be asked of every maker is known before the line goes
    choose(tablet, "Alder Lane", "Oil on linen", "30 x 40 cm")
    expect_price(tablet, "EUR 250.00")
    service, desk.service = desk.service, NOWHERE
    choose(tablet, "80 x 100 cm")
    expect(tablet.get_by_text(BANNER)).to_be_visible()
    choose(tablet, *names[:1])
    choose(tablet, *names[1:])
    if height:
        tablet.get_by_label("Height").fill(height)
    expect(tablet.locator("#state")).to_have_text(state)
    expect(tablet.get_by_text(BANNER)).to_be_visible()
    desk.service = service
    expect(tablet.get_by_text(BANNER)).to_be_hidden()
    expect(tablet.locator("#state")).to_have_text(state)


def test_a_late_answer_to_something_else_confirms_no_price(tablet: Page, desk: Any) -> None:
    """What was asked before the line went comes after it: nobody is told that all is well, and the price is tried until it is confirmed."""
    held: list[Route] = []
    tablet.route("**/v1/members/weftanderel/choices", lambda route: held.append(route))
    open_desk(tablet, desk)
    choose(tablet, "Alder Lane", "Oil on linen", "80 x 100 cm")
    expect_price(tablet, "EUR 1,350.00")
    choose(tablet, "30 x 40 cm")
    expect_price(tablet, "EUR 250.00")
    tablet.wait_for_function("performance.getEntriesByType('resource').some(entry => entry.name.endsWith('/weftanderel/guide'))")
    answer = httpx.get(f"{desk.service}/v1/members/weftanderel/choices", trust_env=False).json()
    service, desk.service = desk.service, NOWHERE
    choose(tablet, "80 x 100 cm")
    expect_price(tablet, "EUR 1,350.00", "unconfirmed")
    held.pop().fulfill(json=answer)
    expect(tablet.get_by_text(BANNER)).to_be_hidden()
    expect(tablet.get_by_text(BANNER)).to_be_visible()
    expect_price(tablet, "EUR 1,350.00", "unconfirmed")
    desk.service = service
    expect_price(tablet, "EUR 1,350.00")
    expect(tablet.get_by_text(BANNER)).to_be_hidden()


@pytest.mark.parametrize("said", [{"welcome": "sign in"}, [], None, {"price": {"amount": "1", "currency": "EUR"}, "as_of": "today"}])
def test_a_page_that_is_no_quote_is_neither_shown_nor_kept(tablet: Page, desk: Any, said: Any) -> None:
    open_desk(tablet, desk)
    choose(tablet, "Alder Lane", "Oil on linen", "30 x 40 cm")
    expect_price(tablet, "EUR 250.00")
    tablet.route("**/v1/**", lambda route: route.fulfill(status=200, content_type="application/json", body=json.dumps(said)))
    choose(tablet, "80 x 100 cm")
    expect(tablet.locator("#price")).to_have_attribute("data-state", "away")
    choose(tablet, "30 x 40 cm")
    expect_price(tablet, "EUR 250.00", "unconfirmed")
    assert [fault for fault in tablet.faults if "Failed to load" not in fault] == []
    tablet.unroute("**/v1/**")
    expect_price(tablet, "EUR 250.00")
    open_desk(tablet, desk)  # nothing of that page is kept: the makers are still there
    expect(tablet.get_by_role("radio", name="Alder Lane")).to_be_visible()


def test_a_price_that_was_confirmed_in_another_language_is_kept_for_all(tablet: Page, desk: Any) -> None:
    """German was asked last, so it is German that is shown, and says so."""
    open_desk(tablet, desk)
    choose(tablet, "Alder Lane", "Oil on linen", "30 x 40 cm")
    expect_price(tablet, "EUR 250.00")
    tablet.get_by_label("Buyer's language").select_option("de")
    expect_price(tablet, "250,00 EUR")
    desk.service = NOWHERE
    tablet.get_by_label("Buyer's language").select_option("ja")
    expect_price(tablet, "250,00 EUR", "unconfirmed")
    expect(tablet.locator("#sentence")).to_contain_text("Dieses Werk kostet")
    assert tablet.locator("#sentence").get_attribute("lang") == "de"
    tablet.get_by_label("Buyer's language").select_option("en")
    expect_price(tablet, "EUR 250.00", "unconfirmed")


def test_a_key_that_is_not_known_is_the_services_own_reason(tablet: Page, desk: Any) -> None:
    """Of the makers, and of what may be asked of one."""
    key, desk.key = desk.key, "another-key"
    tablet.goto(desk.address)
    reason = httpx.get(f"{desk.address}/v1/members", trust_env=False).json()["detail"]
    expect(tablet.locator("#price")).to_have_attribute("data-state", "refused")
    expect(tablet.locator("#state")).to_have_text(reason)
    desk.key = key
    tablet.route("**/alder-lane/choices", lambda route: route.fulfill(status=403, json={"detail": "Not with this key."}))
    tablet.get_by_role("button", name="Start over").tap()
    choose(tablet, "Alder Lane")
    expect(tablet.locator("#state")).to_have_text("Not with this key.")
    choose(tablet, "Muddlefern")
    expect(tablet.locator("#state")).to_have_text("Choose a medium.")


def test_many_prices_push_no_maker_off_the_shelf(tablet: Page, desk: Any) -> None:
    open_desk(tablet, desk)
    choose(tablet, "Alder Lane", "Oil on linen", "30 x 40 cm")
    expect_price(tablet, "EUR 250.00")
    tablet.wait_for_load_state("networkidle")
    tablet.evaluate(
        """async () => {
          const { quoteOf } = await import("/quoted.js");
          for (let wide = 20; wide < 230; wide++)
            await quoteOf("alder-lane", { medium: "oil", size: { height: "20", width: String(wide), unit: "cm" } }, "en");
        }"""
    )
    kept = tablet.evaluate("Object.values(localStorage).reduce((sum, shelf) => sum + Object.keys(JSON.parse(shelf)).length, 0)")
    assert 200 <= kept < 220  # the oldest prices have gone
    desk.service = NOWHERE
    open_desk(tablet, desk)
    choose(tablet, "Alder Lane", "Oil on linen")
    tablet.get_by_label("Height").fill("20")
    tablet.get_by_label("Width").fill("229")
    expect(tablet.locator("#price")).to_have_attribute("data-state", "unconfirmed")


@pytest.mark.parametrize("height", ["60", "60,0", "060.00"])
def test_one_size_is_one_size_however_it_is_typed(tablet: Page, desk: Any, height: str) -> None:
    open_desk(tablet, desk)
    choose(tablet, "Alder Lane", "Oil on linen")
    tablet.get_by_label("Height").fill("60.0")
    tablet.get_by_label("Width").fill("80,50")
    expect_price(tablet, "EUR 840.00")
    desk.service = NOWHERE
    tablet.get_by_label("Height").fill(height)
    tablet.get_by_label("Width").fill("80.5")
    expect_price(tablet, "EUR 840.00", "unconfirmed")
