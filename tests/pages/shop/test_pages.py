"""The shop in a browser: prices asked again across origins, old ones told, and pages that everybody can use."""

import json
import os
import re
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

AXE = Path(__file__).parents[3] / ".ci" / "node_modules" / "axe-core" / "axe.min.js"
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


@pytest.fixture(scope="module")
def axe() -> str:
    """The rules of accessibility as a script."""
    if not AXE.exists():
        how = "axe-core is not there: npm ci --ignore-scripts in .ci"
        if os.environ.get("CI") == "true":
            pytest.fail(how)
        pytest.skip(how)
    return AXE.read_text(encoding="utf-8")


def said(page: Any, words: str) -> str:
    """What the page says of its prices, once it has said that."""
    page.wait_for_function("(words) => document.querySelector('[data-said]').textContent.includes(words)", arg=words)
    return str(page.inner_text("[data-said]"))


def rewritten(shop: Any, change: Callable[[str], str]) -> str:
    """The address of a work's page as if it had been made differently, or at another time."""
    (shop.folder / "site/works/made-before.html").write_text(change(shop.page("works/al-05.html")), encoding="utf-8")
    return f"{shop.address}/works/made-before.html"


def test_a_price_that_stands_is_said_to_stand(page: Any, shop: Any) -> None:
    page.goto(f"{shop.address}/works/al-05.html")
    assert said(page, "just been checked") == "The price has just been checked. It stands."
    assert page.inner_text("[data-price]") == "940.00 EUR"
    assert page.faults == []
    assert {url.split("/")[2] for url in page.asked} == {shop.address[7:], shop.service[7:]}


def test_a_price_that_has_changed_is_shown_whole(page: Any, shop: Any) -> None:
    """A page that was made when the work asked 900.00: its price, its lines and its words for machines become those of today."""
    page.goto(rewritten(shop, lambda text: text.replace("940.00", "900.00").replace("840.00", "800.00").replace("85.45", "81.82")))
    assert said(page, "changed") == "The price has changed: it was 900.00 EUR."
    assert page.inner_text("[data-price]") == "940.00 EUR"
    assert page.inner_text("[data-lines]").split() == ["The", "work", "840.00", "Frame", "100.83", "Rounding", "-0.83"]
    assert page.inner_text("[data-total]") == "940.00"
    assert page.inner_text("[data-tax]") == "85.45 EUR tax is in it."
    linked = json.loads(page.eval_on_selector("[data-linked]", "element => element.textContent"))
    assert linked["offers"]["price"] == "940.00"
    assert page.faults == []


@pytest.mark.parametrize("how", ["abort", "503"])
def test_without_the_service_the_last_price_stays_with_its_age(page: Any, shop: Any, how: str) -> None:
    then = (datetime.now(UTC) - timedelta(days=3, hours=2)).replace(microsecond=0).isoformat()
    page.route(re.compile("/v1/"), lambda route: route.abort() if how == "abort" else route.fulfill(status=503, body="{}"))
    page.goto(rewritten(shop, lambda text: re.sub('data-checked="[^"]+"', f'data-checked="{then}"', text)))
    assert said(page, "old") == "The prices cannot be asked for just now. This one is 3 days old."
    assert page.inner_text("[data-price]") == "940.00 EUR"


def test_a_wall_says_how_many_prices_it_checked(page: Any, shop: Any) -> None:
    page.goto(f"{shop.address}/")
    words = said(page, "just been checked")
    asked, rest = (int(number) for number in re.findall("^([0-9]+) prices|The other ([0-9]+) were", words) for number in number if number)
    assert asked == len(page.query_selector_all("[data-ask]"))
    assert asked + rest == len(page.query_selector_all("[data-price]"))
    assert page.faults == []


PATHS = ("/", "/works/wf-07.html", "/prices.html", "/nowhere.html")


@pytest.mark.parametrize("scheme", ["dark", "light"])
def test_everybody_can_use_it(browser: Any, shop: Any, axe: str, scheme: str) -> None:
    """No finding of axe-core on any kind of page, in light and in dark."""
    context = browser.new_context(viewport={"width": 640, "height": 800}, color_scheme=scheme)
    page = context.new_page()
    for path in ("/workshops/muddlefern.html", *PATHS[1:]) if scheme == "dark" else ("/", *PATHS[1:3]):
        page.goto(f"{shop.address}{path}")
        page.evaluate(axe)
        found = page.evaluate("(tags) => axe.run({ runOnly: tags })", RULES)
        faults = [(fault["id"], [node["html"][:120] for node in fault["nodes"][:2]]) for fault in found["violations"]]
        assert faults == [], path
        assert len(found["passes"]) > 15
    context.close()


def test_nothing_has_to_be_pushed_sideways(page: Any, shop: Any) -> None:
    for wide in (320, 820, 1280):
        page.set_viewport_size({"width": wide, "height": 800})
        for path in PATHS:
            page.goto(f"{shop.address}{path}", wait_until="domcontentloaded")
            assert page.evaluate("document.documentElement.scrollWidth") <= wide, (path, wide)


def test_a_long_word_widens_no_page(page: Any, shop: Any) -> None:
    """A title of one word, twice as long as a narrow telephone is wide, in a heading, a list and a table's caption."""
    page.set_viewport_size({"width": 320, "height": 800})
    for path in ("/", "/works/al-05.html"):
        page.goto(f"{shop.address}{path}", wait_until="domcontentloaded")
        page.evaluate(
            "for (const one of document.querySelectorAll('h1, h3, dd, .maker a, .name a, nav a')) one.textContent = 'W'.repeat(40)"
        )
        assert page.evaluate("document.documentElement.scrollWidth") <= 320, path


def test_a_promised_price_is_said_once(page: Any, shop: Any) -> None:
    """A page that shows a promised price does not also ask whether it stands."""
    page.goto(rewritten(shop, lambda text: re.sub('data-ask="[^"]+"', "data-promised", text)))
    page.wait_for_timeout(300)
    assert page.inner_text("[data-said]").startswith("Price of ")


@pytest.mark.parametrize("answer", [{}, [], None, {"price": {"amount": "1.00", "currency": "EUR"}}, {"welcome": "sign in"}])
def test_an_answer_that_is_no_price_is_none(page: Any, shop: Any, answer: Any) -> None:
    """A network's page of its own, with a 200: the price of the page stays, its age is told, and nothing breaks."""
    page.route(re.compile("/v1/"), lambda route: route.fulfill(json=answer, headers={"Access-Control-Allow-Origin": "*"}))
    page.goto(f"{shop.address}/works/al-05.html")
    assert said(page, "cannot be asked").startswith("The prices cannot be asked for just now.")
    assert page.inner_text("[data-price]") == "940.00 EUR"
    assert page.faults == []


def test_axe_would_find_a_fault(page: Any, shop: Any, axe: str) -> None:
    """The guard above, seen to fail: a picture without words and a text nobody can see."""
    page.goto(f"{shop.address}/works/al-05.html")
    page.evaluate("document.querySelector('.hung img').removeAttribute('alt'); document.querySelector('h1').className = 'plain'")
    page.evaluate("document.querySelector('html').removeAttribute('lang')")
    page.evaluate(axe)
    found = page.evaluate("() => axe.run()")
    assert {"image-alt", "html-has-lang"} <= {fault["id"] for fault in found["violations"]}


def test_the_keyboard_is_enough(page: Any, shop: Any) -> None:
    page.goto(f"{shop.address}/")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "To the works"
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "Gate in fog"
    page.keyboard.press("Enter")
    page.wait_for_url("**/works/al-01.html")
    outlets = page.locator("summary", has_text="The same wherever")
    outlets.focus()
    page.keyboard.press("Enter")
    assert page.locator("[data-outlet='lantern-fair']").is_visible()


def test_a_page_prints_whole(page: Any, shop: Any) -> None:
    page.goto(f"{shop.address}/works/al-05.html")
    page.emulate_media(media="print")
    assert not page.locator("nav").is_visible()
    assert page.locator("[data-price]").is_visible()
    # Paper cannot be asked again: it says of which moment the price is, and where to look.
    assert re.fullmatch(
        f"Price of [0-9]+ [A-Z][a-z]+ 20[0-9]+, [0-9:]+ UTC[.] {re.escape(shop.address)}/works/al-05.html", page.inner_text(".paper")
    )
    assert page.locator("[data-outlet='lantern-fair']").is_visible()
    assert not page.locator("[data-said]").is_visible()
    assert page.pdf()[:5] == b"%PDF-"


def test_a_script_in_a_page_is_refused(page: Any, shop: Any) -> None:
    """The policy, seen to hold: a script of the page itself, and a picture from elsewhere."""
    page.goto(f"{shop.address}/works/al-05.html")
    page.evaluate("() => { const s = document.createElement('script'); s.textContent = 'window.ran = 1'; document.body.append(s); }")
    page.wait_for_timeout(100)
    assert page.evaluate("() => window.ran") is None
    assert any("policy: script-src" in fault for fault in page.faults)
