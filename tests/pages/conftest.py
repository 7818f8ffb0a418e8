"""A headless Chromium, for tests that open pages. Without one: a skip by hand, a failure in CI."""

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

QUIET = (
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update",
    "--disable-sync",
)  # fmt: skip


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    found = shutil.which("chromium") or shutil.which("chromium-browser")
    if found is None:
        how = "there is no Chromium: apt-get install chromium"
        if os.environ.get("CI") == "true":
            pytest.fail(how)
        pytest.skip(how)
    with sync_playwright() as play:
        made = play.chromium.launch(executable_path=Path(found), args=list(QUIET))
        yield made
        made.close()


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    """A page that notes what breaks its policy, what its scripts complain of, and whom it asks: `page.faults`, `page.asked`."""
    context = browser.new_context()
    page = context.new_page()
    page.faults = []
    page.asked = []
    page.on("console", lambda said: page.faults.append(said.text) if said.type in ("error", "warning") else None)
    page.on("pageerror", lambda error: page.faults.append(str(error)))
    page.on("request", lambda request: page.asked.append(request.url))
    page.add_init_script(
        "addEventListener('securitypolicyviolation', e => console.error('policy: ' + e.violatedDirective + ' ' + e.blockedURI))"
    )
    yield page
    context.close()
