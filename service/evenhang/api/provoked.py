"""Requests that meet the problems which no operation's example meets: the door's, the key's, the rate's, and the house's own.

Knows the requests and where their answers lie (FOLDER/problems); `openapi/refresh_answers.py` sends them and writes what came back, a test
sends them as raw bytes and compares.
"""

import json
from typing import Any, Literal
from urllib.parse import urlencode

from msgspec import Struct

from evenhang.api.examples import FOLDER
from evenhang.api.limits import MOST_BYTES, MOST_HEADER_BYTES, MOST_TARGET
from evenhang.api.problems import PROBLEMS

Setting = Literal["open", "keyed", "limited", "draining", "broken", "named"]
# How the house is set up that answers so; every one serves the demo's rules.
HOUSES: dict[Setting, str] = {
    "open": "by the demo",
    "keyed": "by a house with keys, the demo otherwise",
    "limited": "by a house that lets everybody ask twice a minute, the third time",
    "draining": "by a house that is about to stop",
    "broken": "by a house in which something is broken",
    "named": "by a house that answers for prices.example alone",
}
# A key of the house with keys, of the scope desk. It opens nothing else.
DESK_KEY = "example-of-a-key-for-the-desk"
LONGEST_SHOWN = 1_000  # characters of one value; what is longer is told by its length


class Provoked(Struct, frozen=True):
    """One such request. `name` is that of its answer's file, `kind` the last step of the problem's type; `answered` are the header fields
    of the answer that matter beside the document, and `times` how often it is sent, the last time with this answer."""

    name: str
    kind: str
    method: str
    target: str
    headers: dict[str, str] = {}
    body: str = ""
    house: Setting = "open"
    answered: dict[str, str] = {}
    times: int = 1

    @property
    def status(self) -> int:
        """The status of its answer."""
        return PROBLEMS[self.kind].status

    @property
    def answer(self) -> bytes:
        """The problem document, with line breaks; empty while nobody has written it yet."""
        file = FOLDER / "problems" / f"{self.name}.answer.json"
        return file.read_bytes() if file.exists() else b""

    @property
    def summary(self) -> str:
        """Its name as words."""
        return f"{self.name.replace('-', ' ').capitalize()}."

    @property
    def shown(self) -> str:
        """The request, as people read it."""
        return shown_request(self.method, self.target, self.headers, self.body)


def shown_request(method: str, target: str, headers: dict[str, str], body: str = "") -> str:
    """A request as it goes over the wire, but for what is too long to be read and for the headers that every client sends by itself."""
    head = [f"{method} {short(target)}", *(f"{name}: {short(value)}" for name, value in headers.items())]
    return "\n".join(head) + (f"\n\n{body}" if body else "")


def short(text: str) -> str:
    """The text, or its beginning and how long it is."""
    return text if len(text) <= LONGEST_SHOWN else f"{text[:40]}... ({len(text):,} characters)"


def target_of(path: str, query: dict[str, Any]) -> str:
    """The address of a GET: its path, and the parameters of its query as they are sent."""
    sent = {name: json.dumps(value) if isinstance(value, (bool, int)) else value for name, value in query.items()}
    return path + (f"?{urlencode(sent, doseq=True)}" if sent else "")


_RULES = "/v1/members/alder-lane/rules"
_QUOTES = "/v1/members/alder-lane/quotes"
_REALM = 'Bearer realm="evenhang"'
_WORK = '{"work": {"medium": "oil", "size": {"height": "60", "width": "80", "unit": "cm"}}}'

PROVOKED = (
    Provoked("no-key", "unauthorized", "GET", _RULES, house="keyed", answered={"WWW-Authenticate": _REALM}),
    Provoked(
        "a-key-of-nobody",
        "unauthorized",
        "GET",
        "/v1/members",
        {"Authorization": "Bearer of-nobody"},
        house="keyed",
        answered={"WWW-Authenticate": f'{_REALM}, error="invalid_token"'},
    ),
    Provoked(
        "the-desks-key-for-the-books",
        "forbidden",
        "GET",
        _RULES,
        {"Authorization": f"Bearer {DESK_KEY}"},
        house="keyed",
        answered={"WWW-Authenticate": f'{_REALM}, error="insufficient_scope", scope="books"'},
    ),
    Provoked("members-deleted", "method-not-allowed", "DELETE", "/v1/members", answered={"Allow": "GET, HEAD, OPTIONS"}),
    Provoked("members-as-a-picture", "not-acceptable", "GET", "/v1/members", {"Accept": "image/png"}),
    Provoked(
        "a-body-of-a-byte-too-many",
        "too-large",
        "POST",
        _QUOTES,
        {"Content-Type": "application/json", "Content-Length": str(MOST_BYTES + 1)},
    ),
    Provoked("an-address-without-end", "target-too-long", "GET", f"/v1/members/alder-lane/price?medium={'x' * MOST_TARGET}"),
    Provoked(
        "a-work-in-plain-text",
        "unsupported-media-type",
        "POST",
        _QUOTES,
        {"Content-Type": "text/plain"},
        "Oil, 60 x 80 cm",
        answered={"Accept": "application/json"},
    ),
    Provoked(
        "a-body-said-to-be-compressed",
        "unsupported-media-type",
        "POST",
        _QUOTES,
        {"Content-Type": "application/json", "Content-Encoding": "gzip"},
        _WORK,
        answered={"Accept-Encoding": "identity"},
    ),
    Provoked("another-house", "wrong-host", "GET", "/v1/members", {"Host": "elsewhere.example"}, house="named"),
    Provoked(
        "a-third-request-in-a-minute",
        "too-many-requests",
        "GET",
        "/v1/members",
        house="limited",
        answered={"Retry-After": "30", "RateLimit": '"requests";r=0;t=30', "RateLimit-Policy": '"requests";q=2;w=60'},
        times=3,
    ),
    Provoked("a-header-without-end", "headers-too-large", "GET", "/v1/members", {"X-Note": "x" * MOST_HEADER_BYTES}),
    Provoked(
        "a-fault-of-the-house",
        "internal-error",
        "GET",
        "/v1/members",
        {"X-Request-Id": "example-1"},
        house="broken",
        answered={"X-Request-Id": "example-1"},
    ),
    Provoked("about-to-stop", "not-ready", "GET", "/health/ready", house="draining", answered={"Retry-After": "5"}),
)
