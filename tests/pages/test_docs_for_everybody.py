"""The page of the operations and the problems' pages for readers of every kind: no rule of axe-core is left out."""

from collections.abc import Callable
from typing import Any

import pytest
from tests.pages.opening import BLOCK, opened

from evenhang.api.problems import PROBLEMS

Axe = Callable[..., list[str]]
COLOURS = ("color-contrast",)  # all that a scheme changes


@pytest.mark.parametrize(("scheme", "rules"), [("light", ()), ("dark", COLOURS)])
def test_the_operations_closed_open_tried_and_answered(page: Any, server: str, axe: Axe, scheme: str, rules: tuple[str, ...]) -> None:
    """What the bundled page leaves out is mended beside it (docs.css, docs.js); its own files stay as they came."""
    opened(page, server, scheme)
    assert axe(page, None, rules) == []
    page.click(f"{BLOCK} .opblock-summary-control")
    page.wait_for_selector(f"{BLOCK} .responses-table .microlight")
    assert axe(page, BLOCK, rules) == []
    page.click(f"{BLOCK} .try-out__btn")
    page.fill(f"{BLOCK} input[placeholder='member']", "alder-lane")
    assert axe(page, BLOCK, rules) == []
    page.click(f"{BLOCK} .execute")
    page.wait_for_selector(f"{BLOCK} .live-responses-table .response-col_status")
    assert axe(page, BLOCK, rules) == []
    assert page.faults == []


def test_without_what_mends_it_axe_finds_each_of_its_faults(page: Any, server: str, axe: Axe) -> None:
    """The guard above, seen to fail: the same page without our style and our labels."""
    page.route("**/pages/docs.css", lambda route: route.fulfill(body="", content_type="text/css"))
    script = page.request.get(f"{server}/pages/docs.js").text()
    bare = script[: script.index("const said")]
    page.route("**/pages/docs.js", lambda route: route.fulfill(body=bare, content_type="text/javascript"))
    opened(page, server)
    found = {fault.partition(":")[0] for fault in axe(page)}
    assert found >= {"select-name", "nested-interactive", "color-contrast", "heading-order", "region"}


def test_an_operation_still_has_an_address_and_is_reached_once_by_keyboard(page: Any, server: str) -> None:
    opened(page, server)
    page.focus(f"{BLOCK} .opblock-summary-control")
    page.keyboard.press("Enter")
    page.wait_for_url("**/docs#/Prices/quoteWork")
    assert page.locator("button a[href]").count() == 0
    page.goto("about:blank")
    opened(page, server, at="#/Prices/quoteWork")
    page.wait_for_selector(f"{BLOCK} .opblock-body")


def test_an_open_operation_does_not_scroll_sideways_on_a_telephone(page: Any, server: str) -> None:
    page.set_viewport_size({"width": 320, "height": 700})
    opened(page, server)
    page.click(f"{BLOCK} .opblock-summary-control")
    page.wait_for_selector(f"{BLOCK} .responses-table .microlight")
    assert page.evaluate("() => document.documentElement.scrollWidth") <= 320


@pytest.mark.parametrize(("scheme", "rules"), [("light", ()), ("dark", COLOURS)])
def test_the_problems_pages_at_the_width_of_a_telephone(page: Any, server: str, axe: Axe, scheme: str, rules: tuple[str, ...]) -> None:
    page.set_viewport_size({"width": 320, "height": 700})
    page.emulate_media(color_scheme=scheme)
    for name in ("", *PROBLEMS):
        page.goto(f"{server}/problems/{name}")
        assert axe(page, None, rules) == [], name
        assert page.evaluate("() => document.documentElement.scrollWidth") <= 320, name


def test_an_example_that_scrolls_out_of_reach_would_be_seen(page: Any, server: str, axe: Axe) -> None:
    page.set_viewport_size({"width": 320, "height": 700})
    page.goto(f"{server}/problems/unknown-name")
    page.evaluate(
        "() => { for (const pre of document.querySelectorAll('pre')) { pre.style.whiteSpace = 'pre'; pre.style.overflowX = 'auto'; } }"
    )
    assert {fault.partition(":")[0] for fault in axe(page)} == {"scrollable-region-focusable"}
