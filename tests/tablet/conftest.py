"""The desk over a running service with keys, whose day a test may turn, and a tablet's browser.

Without Chromium: a skip by hand, a failure in CI.
"""

import hashlib
import threading
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from datetime import date
from types import ModuleType
from typing import Any

import pytest
from litestar import Litestar
from playwright.sync_api import Browser, Page

from evenhang.api.access import Key, Keyring
from evenhang.app import create_app
from evenhang.demo import OFFER_KEY
from evenhang.rulebook.book import RuleBook
from evenhang.sealing.keys import load_seals

KEY = "the-key-of-the-desk"
DAY = date(2026, 5, 1)


class House:
    """The service as the tests see it: where it is, and which day it thinks it is."""

    def __init__(self) -> None:
        self.today = DAY
        self.address = ""


@pytest.fixture(scope="session")
def keyed_house(book: RuleBook, serve: Callable[[Litestar], AbstractContextManager[str]]) -> Iterator[House]:
    """A service that knows one key, with the scope of a desk."""
    made = House()
    ring = Keyring([Key("desk", hashlib.sha256(KEY.encode()).hexdigest(), ("desk",), "all")])
    app = create_app(book, lambda: made.today, keys=ring, seals=load_seals(OFFER_KEY, demo=True), requests_per_minute=0)
    with serve(app) as made.address:
        yield made


@pytest.fixture
def house(keyed_house: House) -> House:
    keyed_house.today = DAY
    return keyed_house


@pytest.fixture
def desk(serve_desk: ModuleType, house: House) -> Iterator[Any]:
    """The desk's server before that service; a test may point `service` elsewhere."""
    with serve_desk.Desk(house.address, KEY) as made:
        thread = threading.Thread(target=made.serve_forever, args=(0.05,), daemon=True)
        thread.start()
        made.address = f"http://127.0.0.1:{made.server_port}"
        yield made
        made.shutdown()
        thread.join(10)


@pytest.fixture
def tablet(browser: Browser) -> Iterator[Page]:
    """A tablet with a touch screen. `faults` is what breaks the page or its policy; `sent` and `received` what went over the line."""
    context = browser.new_context(viewport={"width": 1180, "height": 820}, has_touch=True)
    page = context.new_page()
    page.set_default_timeout(15_000)
    page.faults = []
    page.asked = []
    page.on("console", lambda said: page.faults.append(said.text) if said.type in ("error", "warning") else None)
    page.on("pageerror", lambda error: page.faults.append(str(error)))
    page.on("request", lambda request: page.asked.append(request))
    page.add_init_script(
        "window.touches = 0; addEventListener('pointerdown', () => window.touches++, true);"
        "addEventListener('securitypolicyviolation', e => console.error('policy: ' + e.violatedDirective + ' ' + e.blockedURI))"
    )
    yield page
    context.close()
