"""A desk that nobody touches: it asks, counts down where it is seen, and starts over."""

from datetime import UTC, datetime, timedelta
from typing import Any

from playwright.sync_api import Page, expect
from tests.tablet.driving import choose, expect_price, open_desk


def test_an_idle_desk_asks_and_starts_over(tablet: Page, desk: Any) -> None:
    tablet.clock.install()
    open_desk(tablet, desk)
    choose(tablet, "Alder Lane", "Oil on linen", "30 x 40 cm")
    tablet.clock.run_for(500)
    expect_price(tablet, "EUR 250.00")
    tablet.clock.fast_forward(91_000)
    tablet.clock.run_for(600)
    expect(tablet.get_by_text("Is anybody here?")).to_be_visible()
    tablet.get_by_role("button", name="Keep this quote").tap()
    expect(tablet.get_by_text("Is anybody here?")).to_be_hidden()
    expect_price(tablet, "EUR 250.00")
    tablet.clock.fast_forward(91_000)
    tablet.clock.run_for(600)
    expect(tablet.get_by_text("Is anybody here?")).to_be_visible()
    with tablet.expect_request("**/v1/members"):  # rules may have changed since the page was opened
        tablet.clock.run_for(20_500)
    expect(tablet.locator("#state")).to_have_text("Choose a maker.")
    assert tablet.inner_text("#amount") == ""
    assert tablet.locator("input:checked[name=member]").count() == 0


def test_the_question_gets_the_focus_and_counts_down_politely(tablet: Page, desk: Any) -> None:
    """Each second is shown; a screen reader hears the question as the focus comes to it, and then only at 10 and at 5."""
    tablet.clock.install()
    open_desk(tablet, desk)
    choose(tablet, "Alder Lane", "Oil on linen", "30 x 40 cm")
    tablet.clock.run_for(500)
    expect_price(tablet, "EUR 250.00")
    tablet.get_by_label("Height").focus()
    tablet.evaluate(
        "window.heard = []; new MutationObserver(() => window.heard.push(document.getElementById('idle-spoken').textContent))"
        ".observe(document.getElementById('idle-spoken'), { childList: true })"
    )
    now = datetime.fromtimestamp(tablet.evaluate("Date.now()") / 1000, UTC)
    tablet.clock.pause_at(now + timedelta(seconds=90))  # from here on no second passes but those of the test
    tablet.clock.run_for(1_000)
    keep = tablet.get_by_role("alertdialog").get_by_role("button", name="Keep this quote")
    expect(keep).to_be_focused()
    seen = []
    for _ in range(18):
        tablet.clock.run_for(1_000)
        seen.append(int(tablet.inner_text("#idle-words").split("In ")[1].split()[0]))
    assert seen[0] > 15
    assert seen == list(range(seen[0], seen[0] - 18, -1))
    assert tablet.evaluate("window.heard") == ["10 seconds left.", "5 seconds left."]
    tablet.keyboard.press("Escape")
    expect(tablet.get_by_role("alertdialog")).to_be_hidden()
    expect(tablet.get_by_label("Height")).to_be_focused()
    expect_price(tablet, "EUR 250.00")
