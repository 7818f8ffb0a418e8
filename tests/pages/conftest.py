"""Pages in the one headless Chromium."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page


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
