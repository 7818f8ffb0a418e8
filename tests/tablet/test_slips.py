"""The slip: printed, its code read again from the paper, and checked when it comes back."""

from datetime import date
from typing import Any

import pypdfium2
import pytest
import zxingcpp
from playwright.sync_api import Page, expect
from tests.tablet.driving import check_token, choose, expect_price, open_desk, plain, sealed_token

DOTS = 203  # to the inch: a receipt printer's usual head
PAPERS = {"58 mm roll": 58, "80 mm roll": 80, "A6 sheet": 105}


def price_an_oil(page: Page, desk: Any) -> None:
    open_desk(page, desk)
    choose(page, "Alder Lane", "Oil on linen", "30 x 40 cm", "Framed")
    expect_price(page, "EUR 310.00")


def test_the_slip_fits_its_paper_and_its_code_is_read_from_it(tablet: Page, desk: Any) -> None:
    price_an_oil(tablet, desk)
    for paper, across in PAPERS.items():
        choose(tablet, paper)
        token = sealed_token(tablet)
        document = pypdfium2.PdfDocument(tablet.pdf(prefer_css_page_size=True))
        assert len(document) == 1
        width, height = (round(side / 72 * 25.4) for side in document[0].get_size())
        assert width == across
        assert height == 148 if paper == "A6 sheet" else 90 < height < 200
        text = plain(document[0].get_textpage().get_text_bounded()).replace("\r\n", " ")
        for said in ("Ozzlemoor Sheds", "Alder Lane", "EUR 310.00", "31 May 2026", "licensed adviser"):
            assert said in text
        assert "Seal and make" not in text
        codes = zxingcpp.read_barcodes(document[0].render(scale=DOTS / 72).to_pil())
        assert [code.text for code in codes] == [token]
        tablet.get_by_role("link", name="Back to the price").tap()
    assert tablet.faults == []


@pytest.mark.parametrize("language", ["en", "fr", "de", "es", "ja"])
def test_a_long_slip_fits_one_sheet_in_every_language(tablet: Page, desk: Any, language: str) -> None:
    """All that the desk can ask of one work, with a house and a maker of long names: one A6 sheet, and its code is read from it."""
    long = "Ausstellungsgemeinschaft Unterobersbacherstraßenbahnhofswerkstätten an der Wollgrasmoorbrücke"
    tablet.route("**/choices", lambda route: route.fulfill(json=renamed(route.fetch().json(), "collective", long)))
    open_desk(tablet, desk)
    choose(tablet, "Alder Lane", "Oil on linen", "Framed", "Close work")
    tablet.get_by_label("Height").fill("160,5")
    tablet.get_by_label("Width").fill("180,5")
    for _ in range(4):
        tablet.get_by_role("button", name="One Gilded edge more").tap()
    tablet.get_by_label("Buyer's language").select_option(language)
    expect(tablet.locator("#price")).to_have_attribute("data-state", "confirmed")
    choose(tablet, "A6 sheet")
    token = sealed_token(tablet)
    document = pypdfium2.PdfDocument(tablet.pdf(prefer_css_page_size=True))
    assert len(document) == 1
    assert [round(side / 72 * 25.4) for side in document[0].get_size()] == [105, 148]
    codes = zxingcpp.read_barcodes(document[0].render(scale=DOTS / 72).to_pil())
    assert [code.text for code in codes] == [token]


def renamed(said: dict[str, Any], name: str, value: str) -> dict[str, Any]:
    """The answer with that field of its choices said otherwise."""
    return {**said, "choices": {**said["choices"], name: value}}


def page_size(page: Page) -> tuple[int, int]:
    """Width and height in mm of what would be printed now."""
    width, height = pypdfium2.PdfDocument(page.pdf(prefer_css_page_size=True))[0].get_size()
    return round(width / 72 * 25.4), round(height / 72 * 25.4)


def test_only_a_slip_is_printed_on_the_slips_paper(tablet: Page, desk: Any) -> None:
    """A quote, a verdict and the next buyer's quote come out on the printer's own sheet; the slip, shown again, on its roll."""
    price_an_oil(tablet, desk)
    sheet = page_size(tablet)
    assert sheet[0] > 200
    token = sealed_token(tablet)
    roll = page_size(tablet)
    assert roll[0] == 80
    tablet.get_by_role("link", name="Back to the price").tap()
    expect(tablet.locator("#quote")).to_be_visible()
    assert page_size(tablet) == sheet
    tablet.go_back()
    expect(tablet.locator("#slip svg")).to_be_visible()
    assert page_size(tablet) == roll
    check_token(tablet, token)
    expect(tablet.locator("#verdict")).to_be_visible()
    assert page_size(tablet) == sheet
    tablet.get_by_role("link", name="Price a work").tap()
    sealed_token(tablet)
    tablet.get_by_role("button", name="Start over").tap()
    expect(tablet.locator("#state")).to_have_text("Choose a maker.")
    assert page_size(tablet) == sheet


def test_a_slip_in_the_buyers_language_prints_whole(tablet: Page, desk: Any) -> None:
    price_an_oil(tablet, desk)
    choose(tablet, "58 mm roll")
    token = sealed_token(tablet)
    tablet.get_by_label("Buyer's language").select_option("ja")
    expect(tablet.locator("#slip")).to_have_attribute("lang", "ja")
    assert "2026年5月31日" in tablet.inner_text("#slip")
    document = pypdfium2.PdfDocument(tablet.pdf(prefer_css_page_size=True))
    assert len(document) == 1
    assert [code.text for code in zxingcpp.read_barcodes(document[0].render(scale=DOTS / 72).to_pil())] == [token]


def test_days_beyond_the_limit_are_not_sealed(tablet: Page, desk: Any) -> None:
    price_an_oil(tablet, desk)
    tablet.get_by_label("Stands for days").fill("367")
    tablet.get_by_role("button", name="Seal and make the slip").tap()
    expect(tablet.get_by_text("An offer stands for 1 to 366 days.")).to_be_visible()
    expect(tablet.locator("#slip svg")).to_have_count(0)


def test_a_slip_brought_back(tablet: Page, desk: Any, house: Any) -> None:
    """Good, expired, tampered with, and no code at all; white space that a reader or a mail put in is no fault."""
    price_an_oil(tablet, desk)
    token = sealed_token(tablet)
    title = tablet.locator("#verdict-title")
    check_token(tablet, f" {token[:100]}\n{token[100:]} ")
    expect(title).to_have_text("✓ Genuine, and it stands")
    facts = plain(tablet.locator("#verdict-facts").inner_text())
    assert "EUR 310.00" in facts
    assert "31 May 2026" in facts
    house.today = date(2026, 6, 1)
    check_token(tablet, token)
    expect(title).to_have_text("⏱ Genuine, but its last day has passed")
    head, body, signature = token.split(".")
    check_token(tablet, f"{head}.{body[:40]}{'A' if body[40] != 'A' else 'B'}{body[41:]}.{signature}")
    expect(title).to_have_text("✗ Not an offer of this house")
    assert tablet.locator("#verdict-facts").inner_text() == ""
    check_token(tablet, "31 May")
    expect(tablet.locator("#verdict, #token-fault:not(:empty)").filter(visible=True)).to_have_count(1)
    assert "EUR" not in tablet.locator("main#check").inner_text()


def test_a_hand_reader_types_and_presses_enter(tablet: Page, desk: Any) -> None:
    price_an_oil(tablet, desk)
    token = sealed_token(tablet)
    tablet.get_by_role("link", name="Check a slip").tap()
    expect(tablet.locator("#token")).to_be_focused()
    tablet.keyboard.insert_text(token)
    tablet.keyboard.press("Enter")
    expect(tablet.locator("#verdict-title")).to_have_text("✓ Genuine, and it stands")


def test_the_camera_reads_where_the_browser_can(tablet: Page, desk: Any) -> None:
    """The browser's reader is a stand-in, since headless Chromium has none on this system; the camera is Chromium's own pretended one."""
    tablet.add_init_script("window.BarcodeDetector = class { async detect() { return window.seen ? [{ rawValue: window.seen }] : [] } }")
    price_an_oil(tablet, desk)
    token = sealed_token(tablet)
    tablet.get_by_role("link", name="Check a slip").tap()
    tablet.get_by_role("button", name="Use the camera").tap()
    expect(tablet.locator("#finder")).to_be_visible()
    tablet.evaluate("seen => { window.seen = seen }", token)
    expect(tablet.locator("#verdict-title")).to_have_text("✓ Genuine, and it stands")
    expect(tablet.locator("#finder")).to_be_hidden()
    assert tablet.evaluate("document.getElementById('finder').srcObject.getTracks().every(t => t.readyState === 'ended')")


def test_without_a_reader_in_the_browser_no_camera_is_offered(tablet: Page, desk: Any) -> None:
    tablet.add_init_script("delete window.BarcodeDetector")
    open_desk(tablet, desk, "#check")
    expect(tablet.get_by_label("The text of the slip's code")).to_be_visible()
    expect(tablet.get_by_role("button", name="Use the camera")).to_be_hidden()


def test_without_a_line_nothing_is_said_of_a_slip(tablet: Page, desk: Any) -> None:
    price_an_oil(tablet, desk)
    token = sealed_token(tablet)
    desk.service = "http://127.0.0.1:9"
    check_token(tablet, token)
    expect(tablet.locator("#token-fault")).to_contain_text("Nobody can check it now.")
    expect(tablet.locator("#verdict")).to_be_hidden()
