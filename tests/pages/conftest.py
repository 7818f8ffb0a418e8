"""Pages in the one headless Chromium."""

import os
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

AXE = Path(__file__).parents[2] / ".ci" / "node_modules" / "axe-core" / "axe.min.js"


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


@pytest.fixture
def axe() -> Callable[..., list[str]]:
    """What axe-core (WCAG 2.2 A and AA, best practices) finds wrong with a page. Without it: a skip by hand, a failure in CI."""
    if not AXE.exists():
        how = "axe-core is not installed: npm ci --ignore-scripts --prefix .ci"
        if os.environ.get("CI") == "true":
            pytest.fail(how)
        pytest.skip(how)

    def faults_of(page: Any, within: str | None = None, rules: tuple[str, ...] = ()) -> list[str]:
        """All of the page by all rules, or what is `within` a selector, or by these rules alone."""
        page.evaluate(AXE.read_text(encoding="utf-8"))
        how = {"resultTypes": ["violations"]} | ({"runOnly": list(rules)} if rules else {})
        found = page.evaluate("([where, how]) => axe.run(where ?? document, how)", [within, how])
        return [f"{fault['id']}: {node['html'][:120]}" for fault in found["violations"] for node in fault["nodes"]]

    return faults_of
