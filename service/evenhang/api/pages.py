"""Pages for people: the operations, to be read and tried, and what can go wrong. All of it is served from here; no page fetches elsewhere.

Knows files that came with the package; knows no rule.
"""

import functools
from collections.abc import Callable
from pathlib import Path
from typing import Any

from evenhang.api.calls import Call, Operation
from evenhang.api.negotiation import ANYTHING
from evenhang.api.problem_pages import ENGLISH, problem_index, problem_page
from evenhang.api.problems import Declined
from evenhang.api.replies import HTML, JSON, Reply
from evenhang.engine.saying import say

FOLDER = Path(__file__).parents[1] / "pages"
ASSETS = {
    "docs.css": "text/css",
    "docs.js": "text/javascript",
    "guide.css": "text/css",
    "plain.css": "text/css",
    "swagger-ui-bundle.js": "text/javascript",
    "swagger-ui.css": "text/css",
}
# Only what the page needs. The stylesheet of the operations' page sets styles on elements; scripts run from files alone.
DOCS_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; img-src 'self' data:; font-src 'self' data:;"
    " connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
HOUR, DAY = "public, max-age=3600", "public, max-age=86400"


@functools.cache
def _file(name: str) -> bytes:
    return (FOLDER / name).read_bytes()


def docs(call: Call) -> Reply:
    """The operations, to be read and tried in a browser."""
    return Reply(_file("docs.html"), HTML, headers={"content-security-policy": DOCS_POLICY, **ENGLISH})


def asset(call: Call) -> Reply:
    """A script or a style of the pages. Declined (404) for any other name."""
    kind = ASSETS.get(call.path["asset"])
    if kind is None:
        raise Declined(404, say("There is nothing at this address."))
    return Reply(_file(call.path["asset"]), kind)


def _page(name: str, path: str, run: Callable[[Call], Any], media: tuple[str, ...], cache: str) -> Operation:
    return Operation(name, "GET", path, "", "", (), run, base="", media=media, cache=cache)


PAGES = (
    _page("docs", "/docs", docs, (HTML,), HOUR),
    # A style is asked for as text/css, a script as */*: whatever is asked for, the file is what it is.
    _page("asset", "/pages/{asset}", asset, ANYTHING, DAY),
    _page("problemIndex", "/problems", problem_index, (HTML, JSON), HOUR),
    _page("problemPage", "/problems/{problem}", problem_page, (HTML, JSON), HOUR),
)
