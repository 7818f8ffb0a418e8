"""Hands on the tablet: what a person at the desk does, by the names that a screen reader says. Knows no prices."""

from typing import Any

from playwright.sync_api import Page, expect


def open_desk(page: Page, desk: Any, where: str = "") -> None:
    """The desk, with its makers on it."""
    page.goto(f"{desk.address}/{where}")
    if where == "":
        page.get_by_role("radio", name="Alder Lane").wait_for()


def choose(page: Page, *names: str) -> None:
    """Touch tiles one after the other, each by the name it says."""
    for name in names:
        page.get_by_label(name, exact=True).and_(page.locator("input[type=radio], input[type=checkbox]")).tap()


def type_on_pad(page: Page, keys: str) -> None:
    """Touch keys of the number pad; ">" is Next."""
    for key in keys:
        page.locator(f"#pad [data-key='{'next' if key == '>' else key}']").tap()


def expect_price(page: Page, amount: str, state: str = "confirmed") -> None:
    """That price, large, in that state."""
    expect(page.locator("#price")).to_have_attribute("data-state", state)
    expect(page.locator("#amount")).to_have_text(amount)


def sealed_token(page: Page) -> str:
    """Seal what is priced; the token that went over the line."""
    with page.expect_response("**/offers") as answer:
        page.get_by_role("button", name="Seal and make the slip").tap()
    page.locator("#slip svg").wait_for()
    return str(answer.value.json()["token"])


def check_token(page: Page, token: str) -> None:
    """Bring a slip back: paste its text and check it."""
    page.get_by_role("link", name="Check a slip").tap()
    page.get_by_label("The text of the slip's code").fill(token)
    page.get_by_role("button", name="Check", exact=True).tap()


def plain(text: str) -> str:
    """The text with ordinary spaces: CLDR keeps a code and its amount together with one that does not break."""
    return text.replace("\N{NO-BREAK SPACE}", " ")
