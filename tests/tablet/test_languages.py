"""The buyer's language: asked for, and each part of the page says whose language it is (WCAG 2.2, 3.1.2)."""

from typing import Any

from playwright.sync_api import Page, expect
from tests.tablet.driving import check_token, choose, expect_price, open_desk, plain, sealed_token


def language_of(page: Page, text: str) -> str:
    """The language that a screen reader takes for the one visible element with this text."""
    found = page.get_by_text(text).filter(visible=True)
    expect(found).to_have_count(1)
    return str(found.evaluate("one => one.closest('[lang]').lang"))


def speak(page: Page, language: str) -> None:
    page.get_by_label("Buyer's language").select_option(language)


def test_the_buyers_language_is_asked_for_and_marked(tablet: Page, desk: Any) -> None:
    open_desk(tablet, desk)
    choose(tablet, "Alder Lane", "Oil on linen", "30 x 40 cm")
    expect_price(tablet, "EUR 250.00")
    with tablet.expect_request("**/quotes") as asked:
        tablet.get_by_label("Buyer's language").select_option("de")
    assert asked.value.headers["accept-language"] == "de"
    expect_price(tablet, "250,00 EUR")  # CLDR: German writes the comma, and the code last
    assert tablet.locator("#sentence").get_attribute("lang") == "de"


def test_each_part_of_a_quote_says_its_language(tablet: Page, desk: Any) -> None:
    open_desk(tablet, desk)
    choose(tablet, "Alder Lane", "Oil on linen", "30 x 40 cm")
    speak(tablet, "de")
    expect_price(tablet, "250,00 EUR")
    rows = [plain(row).split("\t")[0] for row in tablet.locator("#lines tr").all_inner_texts()]
    assert rows == ["Das Werk", "Rundung", "davon Steuer"]
    for text in ("Das Werk", "davon Steuer", "Dieses Werk kostet", "keine Beratung"):
        assert language_of(tablet, text) == "de", text
    assert tablet.locator("#state").get_attribute("lang") == "en"
    assert tablet.locator("#lines caption").evaluate("one => one.closest('[lang]').lang") == "en"
    choose(tablet, "Round")
    tablet.get_by_label("Diameter").fill("60000")
    expect(tablet.locator("#price")).to_have_attribute("data-state", "refused")
    assert tablet.locator("#state").get_attribute("lang") == "de"  # the service's own refusal
    tablet.get_by_label("Diameter").fill("6o")
    expect(tablet.locator("#state")).to_have_attribute("lang", "en")


def test_each_part_of_a_slip_says_its_language(tablet: Page, desk: Any) -> None:
    open_desk(tablet, desk)
    choose(tablet, "Alder Lane", "Oil on linen", "30 x 40 cm")
    speak(tablet, "de")
    expect_price(tablet, "250,00 EUR")
    sealed_token(tablet)
    assert language_of(tablet, "Mit dem Schlüssel der Vorführung versiegelt") == "de"
    assert language_of(tablet, "Oil on linen, 30 x 40 cm") == "en"  # sealed words are English in every language
    assert tablet.locator("#slip svg").get_attribute("aria-label") == "Der Code des Angebots"


def test_a_verdict_follows_the_language_and_says_it(tablet: Page, desk: Any) -> None:
    open_desk(tablet, desk)
    choose(tablet, "Alder Lane", "Oil on linen", "30 x 40 cm")
    expect_price(tablet, "EUR 250.00")
    check_token(tablet, sealed_token(tablet))
    expect(tablet.locator("#verdict-words")).to_contain_text("This offer is genuine")
    speak(tablet, "de")
    expect(tablet.locator("#verdict-words")).to_contain_text("Dieses Angebot ist echt")
    for text in ("Dieses Angebot ist echt", "Mit dem Schlüssel der Vorführung versiegelt"):
        assert language_of(tablet, text) == "de"
    assert language_of(tablet, "Genuine, and it stands") == "en"
    assert tablet.evaluate("document.activeElement.id") != "verdict-title"  # whoever chose the language is still there
    tablet.get_by_label("The text of the slip's code").fill("a.b.c")
    tablet.get_by_role("button", name="Check", exact=True).tap()
    expect(tablet.locator("#token-fault span")).to_have_attribute("lang", "de")
    assert language_of(tablet, "This is no offer's code.") == "en"
