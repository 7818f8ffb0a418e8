"""One request as it came in: its target, its headers joined by name, and what is noted about it for the log.

Knows ASGI's scope; knows no operation.
"""

from collections.abc import Awaitable, Callable, MutableMapping
from typing import Any

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]
_HERE = "evenhang"


class Asked:
    """A request in flight. `route`, `key` and `status` are noted on the way, for the log and the counters.

    `more` are headers that its answer carries whatever becomes of it.
    """

    __slots__ = ("client", "headers", "key", "method", "more", "path", "query", "request_id", "route", "status")

    def __init__(self, scope: Scope, request_id: str = "") -> None:
        self.method: str = scope["method"]
        # Some callers of ASGI leave the query on the raw path.
        self.path: bytes = (scope.get("raw_path") or scope["path"].encode()).partition(b"?")[0]
        self.query: bytes = scope["query_string"]
        self.client: str = (scope.get("client") or ("",))[0]
        self.headers = _joined(scope["headers"])
        self.request_id = request_id
        self.route = "-"
        self.key = ""
        self.status = 0
        self.more: list[tuple[bytes, bytes]] = []


def _joined(pairs: list[tuple[bytes, bytes]]) -> dict[bytes, str]:
    """The headers by name; several of one name are one list (RFC 9110, section 5.3), so that none is overlooked."""
    out: dict[bytes, str] = {}
    for name, value in pairs:
        text = value.decode("latin-1")
        out[name] = f"{out[name]}, {text}" if name in out else text
    return out


def asked_of(scope: Scope) -> Asked:
    """The request of this scope, read once."""
    found = scope.get(_HERE)
    if not isinstance(found, Asked):
        found = scope[_HERE] = Asked(scope)
    return found
