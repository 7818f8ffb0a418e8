"""The page of the operations in a browser: whole, from this service alone, within its policy, and with a key it can be tried."""

import hashlib
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from datetime import date
from typing import Any

import httpx
import pytest
from litestar import Litestar
from tests.pages.opening import BLOCK, opened

from evenhang.api.access import Key, Keyring
from evenhang.api.operations import OPERATIONS
from evenhang.app import create_app
from evenhang.rulebook.book import RuleBook

KEY = "key-of-the-page"


@pytest.fixture(scope="module")
def house(book: RuleBook, serve: Callable[[Litestar], AbstractContextManager[str]]) -> Iterator[str]:
    ring = Keyring([Key("page", hashlib.sha256(KEY.encode()).hexdigest(), ("desk", "books"), "all")])
    with serve(create_app(book, lambda: date(2026, 5, 1), keys=ring)) as address:
        yield address


def test_every_operation_is_on_the_page_and_nothing_breaks_its_policy(page: Any, house: str) -> None:
    page.goto(f"{house}/docs")
    page.wait_for_selector(".opblock")
    shown = {block.get_attribute("id").rpartition("-")[2] for block in page.query_selector_all(".opblock")}
    assert shown == {op.id for op in OPERATIONS}
    assert page.faults == []
    assert [url for url in page.asked if not url.startswith((house, "data:"))] == []


def test_a_fault_of_policy_would_be_seen(page: Any, house: str) -> None:
    """The guard above, seen to fail: a script in the page itself is refused and noted."""
    opened(page, house)
    page.evaluate("() => { const s = document.createElement('script'); s.textContent = 'window.ran = 1'; document.body.append(s); }")
    page.wait_for_timeout(200)
    assert page.evaluate("() => window.ran") is None
    assert any("policy: script-src" in fault for fault in page.faults)


def test_who_reads_in_the_dark_sees_it_too(page: Any, house: str) -> None:
    """The title stands out against what is behind it, in light and in dark."""
    shade = "(e) => getComputedStyle(e).color.match(/[0-9.]+/g).slice(0, 3).reduce((sum, part) => sum + Number(part), 0)"
    for scheme, reads in (("light", lambda sum_: sum_ < 300), ("dark", lambda sum_: sum_ > 450)):
        opened(page, house, scheme)
        assert reads(page.eval_on_selector(".info .title", shade)), scheme


def test_with_a_key_an_operation_can_be_tried(page: Any, house: str) -> None:
    opened(page, house)
    page.click(f"{BLOCK} .opblock-summary-control")
    page.click(f"{BLOCK} .try-out__btn")
    page.fill(f"{BLOCK} input[placeholder='member']", "alder-lane")

    def executed() -> str:
        page.click(f"{BLOCK} .execute")
        page.wait_for_selector(f"{BLOCK} .live-responses-table .response-col_status")
        return str(page.inner_text(f"{BLOCK} .live-responses-table tbody .response-col_status")).split()[0]

    assert executed() == "401"
    page.click(".auth-wrapper .authorize")
    page.fill(".dialog-ux input[type=text], .dialog-ux input[type=password]", KEY)
    page.click(".dialog-ux .authorize")
    page.click(".dialog-ux .btn-done")
    page.click(f"{BLOCK} .btn-clear")
    assert executed() == "200"
    assert [fault for fault in page.faults if "401" not in fault] == []


def test_the_problems_pages_are_plain_and_within_their_policy(page: Any, house: str) -> None:
    page.goto(f"{house}/problems/")
    page.click("text=These rules have no such name")
    page.wait_for_selector("h1")
    assert page.inner_text("h1") == "These rules have no such name"
    assert "POST /v1/" in page.inner_text("main")
    assert page.faults == []


@pytest.mark.parametrize("name", ["docs.html", "problems.html", "swagger-ui.LICENSE", "..%2Fapp.py", "%2e%2e/app.py", "x", "docs.js%00"])
def test_nothing_else_is_handed_out(house: str, name: str) -> None:
    assert httpx.get(f"{house}/pages/{name}", trust_env=False).status_code == 404


def test_assets_are_kept_and_small_on_the_wire(house: str) -> None:
    answer = httpx.get(f"{house}/pages/swagger-ui-bundle.js", headers={"Accept-Encoding": "br"}, trust_env=False)
    assert answer.headers["content-type"] == "text/javascript; charset=utf-8"
    assert answer.headers["content-encoding"] == "br"
    assert answer.headers["cache-control"] == "public, max-age=86400"
    assert int(answer.headers["content-length"]) < 700_000
