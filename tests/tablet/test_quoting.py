"""A walk-in is priced: few touches, public words only, on a line that goes, comes back and answers late."""

from datetime import date
from typing import Any

import pytest
from playwright.sync_api import Page, Route, expect
from tests.tablet.conftest import KEY
from tests.tablet.driving import choose, expect_price, open_desk, plain, type_on_pad


def test_four_touches_for_a_usual_size_framed(tablet: Page, desk: Any) -> None:
    """The guide's own row: 30 x 40 cm, framed (openapi/examples/readGuide/all-media)."""
    open_desk(tablet, desk)
    choose(tablet, "Alder Lane", "Oil on linen", "30 x 40 cm", "Framed")
    expect_price(tablet, "EUR 310.00")
    assert tablet.evaluate("window.touches") == 4
    assert tablet.faults == []
    assert [asked.url for asked in tablet.asked if not asked.url.startswith((desk.address, "data:"))] == []


def test_four_touches_and_the_digits_for_any_size(tablet: Page, desk: Any) -> None:
    """README, "One request, explained": 60 x 80 cm, framed, 840.00 and 100.83, 940.00 in all. A comma is a point."""
    open_desk(tablet, desk)
    choose(tablet, "Alder Lane", "Oil on linen")
    type_on_pad(tablet, "60,0>80")
    choose(tablet, "Framed")
    expect_price(tablet, "EUR 940.00")
    assert tablet.evaluate("window.touches") == 4 + len("60,080")
    rows = [plain(row).split("\t") for row in tablet.locator("#lines tr").all_inner_texts()]
    assert rows == [
        ["The work", "EUR 840.00"], ["Frame", "EUR 100.83"], ["Rounding", "-EUR 0.83"], ["of which tax", "EUR 85.45"],
    ]  # fmt: skip
    assert "940.00" in tablet.inner_text("#sentence")
    assert "JPY 151,000" in plain(tablet.inner_text("#elsewhere"))


def test_by_keyboard_alone(tablet: Page, desk: Any) -> None:
    """Tab and arrows, a decimal comma; the focus stays where the hands are."""
    open_desk(tablet, desk)
    keys = tablet.keyboard
    tablet.get_by_role("radio", name="Alder Lane").focus()
    keys.press("Space")
    tablet.get_by_role("radio", name="Oil on linen", exact=True).wait_for()
    keys.press("Tab")
    keys.press("ArrowRight")  # from drawing, the first, to oil
    tablet.get_by_label("Height").wait_for()
    for _ in range(3):  # past the usual and the standard sizes, into the height
        keys.press("Tab")
    keys.type("60")
    keys.press("Tab")
    keys.type("80,0")
    expect_price(tablet, "EUR 840.00")
    expect(tablet.locator("#width")).to_be_focused()
    tablet.get_by_role("radio", name="Plain").focus()
    keys.press("ArrowRight")
    expect_price(tablet, "EUR 970.00")  # Close work: 840 x 1.15 = 966.00, to the nearest 10


def test_grade_extras_and_what_else_needs_to_be_known(tablet: Page, desk: Any) -> None:
    """A vessel needs its height alone; fired, width and depth as well. A study by hours is the workshop's to price."""
    open_desk(tablet, desk)
    choose(tablet, "Muddlefern", "Stoneware vessel")
    type_on_pad(tablet, "45")
    expect_price(tablet, "EUR 540.00")  # 520 (points), + 4 % on 1 April 2026 = 540.80, to the nearest 10
    choose(tablet, "Firing")
    expect(tablet.locator("#state")).to_have_text("Say the width.")
    choose(tablet, "Weftanderel", "Study on the small loom")
    expect(tablet.locator("#state")).to_have_text("Priced by the time that it takes: ask the workshop.")
    choose(tablet, "Alder Lane", "Charcoal drawing", "30 x 40 cm")
    expect_price(tablet, "EUR 190.00")  # 20 + 2.40 x 70 = 188.00, to the nearest 5
    tablet.get_by_role("button", name="One Gilded edge more").tap()
    tablet.get_by_role("button", name="One Gilded edge more").tap()
    expect_price(tablet, "EUR 220.00")  # + 2 x 18 = 224.00, to the nearest 10


def test_a_budget_hides_nothing_that_is_wrong_with_a_size(tablet: Page, desk: Any) -> None:
    open_desk(tablet, desk)
    choose(tablet, "Muddlefern", "Wall platter")
    tablet.get_by_label("Or a budget, EUR").fill("500")
    expect(tablet.locator("#state")).to_have_text("Take the size that the budget pays for, or say one.")
    tablet.get_by_label("Height").fill("30")
    expect(tablet.locator("#state")).to_have_text("Say the width.")
    tablet.get_by_label("Width").fill("40")
    expect(tablet.locator("#price")).to_have_attribute("data-state", "confirmed")
    choose(tablet, "Firing")
    expect(tablet.locator("#state")).to_have_text("Say the depth.")


def test_a_usual_size_is_a_rectangle_and_a_round_work_has_none(tablet: Page, desk: Any) -> None:
    open_desk(tablet, desk)
    choose(tablet, "Alder Lane", "Oil on linen", "Round")
    expect(tablet.locator("#state")).to_have_text("Say the diameter.")
    choose(tablet, "30 x 40 cm")
    expect_price(tablet, "EUR 250.00")
    expect(tablet.get_by_role("radio", name="Rectangle")).to_be_checked()
    choose(tablet, "Round")
    expect(tablet.locator("#state")).to_have_text("Say the diameter.")
    expect(tablet.locator("input[name=format]:checked")).to_have_count(0)


PRIVATE = {"hours", "costs", "view", "proceeds", "earnings", "yield_per_hour", "settlements", "outcome", "working", "rule", "commission"}


def fields_of(said: Any) -> set[str]:
    """Every field name in it."""
    if isinstance(said, dict):
        return set(said) | {name for value in said.values() for name in fields_of(value)}
    return {name for row in said for name in fields_of(row)} if isinstance(said, list) else set()


def test_nothing_private_is_asked_or_shown_and_the_key_stays_away(tablet: Page, desk: Any) -> None:
    answers: list[Any] = []
    tablet.on("response", lambda answer: answers.append(answer) if "/v1/" in answer.url else None)
    open_desk(tablet, desk)
    choose(tablet, "Alder Lane", "Oil on linen", "30 x 40 cm", "Framed", "Close work")
    expect(tablet.locator("#price")).to_have_attribute("data-state", "confirmed")
    asked = [request.post_data_json for request in tablet.asked if request.method == "POST"]
    assert asked
    assert fields_of(asked) & PRIVATE <= {"costs"}
    assert "amount" not in fields_of(asked)
    assert {name for answer in answers for name in fields_of(answer.json())} & PRIVATE == set()
    shown = tablet.locator("body").inner_text().lower()
    assert [word for word in ("commission", "earnings", "proceeds", "yield", "per hour", "hours") if word in shown] == []
    assert not [request for request in tablet.asked if "authorization" in request.headers]
    assert KEY not in tablet.content()


@pytest.mark.parametrize("aborts", [True, False])
def test_a_late_answer_never_overwrites_a_newer_question(tablet: Page, desk: Any, aborts: bool) -> None:
    """The first answer is held back until the second is shown. Without aborting, the count of questions alone must see to it."""
    if not aborts:
        tablet.add_init_script("AbortController.prototype.abort = () => {}")
    held: list[Route] = []

    def hold(route: Route) -> None:
        if '"30"' in (route.request.post_data or ""):
            held.append(route)
        else:
            route.continue_()

    open_desk(tablet, desk)
    choose(tablet, "Alder Lane", "Oil on linen")
    tablet.route("**/quotes", hold)
    tablet.get_by_label("Width").fill("80")
    tablet.get_by_label("Height").fill("30")
    expect(tablet.locator("#price")).to_have_attribute("data-state", "asking")
    tablet.get_by_label("Height").fill("60")
    expect_price(tablet, "EUR 840.00")
    assert len(held) == 1
    if aborts:
        assert held[0].request.failure is not None
    else:
        with tablet.expect_response("**/quotes"):
            held[0].continue_()
        tablet.wait_for_timeout(100)
    expect_price(tablet, "EUR 840.00")


def test_without_a_line_the_last_price_is_unconfirmed_and_comes_back_by_itself(tablet: Page, desk: Any, house: Any) -> None:
    open_desk(tablet, desk)
    choose(tablet, "Alder Lane", "Oil on linen", "30 x 40 cm")
    expect_price(tablet, "EUR 250.00")
    service, desk.service = desk.service, "http://127.0.0.1:9"
    choose(tablet, "80 x 100 cm")
    expect(tablet.locator("#price")).to_have_attribute("data-state", "away")
    assert tablet.inner_text("#amount") == ""
    assert "Oil on linen, 30 x 40 cm, EUR 250.00, on 1 May 2026" in plain(tablet.inner_text("#state"))
    choose(tablet, "30 x 40 cm")
    expect_price(tablet, "EUR 250.00", "unconfirmed")
    assert "the price of 1 May 2026" in tablet.inner_text("#state")
    expect(tablet.get_by_text("The price service cannot be reached.")).to_be_visible()
    expect(tablet.get_by_role("button", name="Seal and make the slip")).to_be_hidden()
    house.today = date(2026, 5, 2)
    desk.service = service
    expect_price(tablet, "EUR 250.00")
    expect(tablet.locator("#state")).to_have_text("Price of 2 May 2026")
    expect(tablet.get_by_text("The price service cannot be reached.")).to_be_hidden()


def test_a_tablet_without_network_opens_again_on_what_it_knows(tablet: Page, desk: Any) -> None:
    """The page is this machine's own; only the service is away."""
    open_desk(tablet, desk)
    choose(tablet, "Alder Lane", "Oil on linen", "30 x 40 cm")
    expect_price(tablet, "EUR 250.00")
    desk.service = "http://127.0.0.1:9"
    open_desk(tablet, desk)
    choose(tablet, "Alder Lane", "Oil on linen", "30 x 40 cm")
    expect_price(tablet, "EUR 250.00", "unconfirmed")
    tablet.context.set_offline(True)
    choose(tablet, "80 x 100 cm")
    expect(tablet.locator("#price")).to_have_attribute("data-state", "away")


def test_a_budget_in_four_touches_and_its_digits(tablet: Page, desk: Any) -> None:
    """What 500 pays for, framed: taken with one touch, and its price is the quote's own. The next size is dearer than the budget."""
    open_desk(tablet, desk)
    choose(tablet, "Alder Lane", "Oil on linen", "Framed")
    tablet.get_by_label("Or a budget, EUR").tap()
    type_on_pad(tablet, "500")
    take = tablet.get_by_role("button", name="Take ")
    take.wait_for()
    offered = plain(take.inner_text())
    take.tap()
    assert tablet.evaluate("window.touches") == 5 + len("500")
    size, amount = offered.removeprefix("Take ").split(": ")
    expect_price(tablet, amount)
    assert plain(tablet.inner_text("#said-work")) == f"Oil on linen, {size}, framed"
    assert float(amount.removeprefix("EUR ")) <= 500 < float(plain(tablet.inner_text("#fit .hint")).split("EUR ")[1].rstrip("."))
    tablet.get_by_label("Or a budget, EUR").fill("5")
    expect(tablet.locator("#fit")).to_contain_text("Nothing: the smallest")
    choose(tablet, "Muddlefern", "Stoneware sculpture")
    tablet.get_by_label("Or a budget, EUR").fill("800")
    tablet.get_by_role("button", name="Take ").tap()
    expect(tablet.locator("#price")).to_have_attribute("data-state", "confirmed")
