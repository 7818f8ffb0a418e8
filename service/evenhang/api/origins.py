"""Which pages may call the service from a browser: CORS by exact origin (the Fetch standard, section 3.2).

Knows headers; knows no operation. An origin that is not listed gets no word of leave, and the browser keeps the answer from its page.
"""

from evenhang.api.asked import Asked
from evenhang.api.replies import Packed

EXPOSED = "Content-Language, Deprecation, ETag, RateLimit, RateLimit-Policy, Retry-After, Sunset, Traceparent, X-Request-Id"
PREFLIGHT = {
    "access-control-allow-methods": "GET, HEAD, POST",
    "access-control-allow-headers": "Authorization, Content-Type, If-None-Match, Traceparent, X-Request-Id",
    "access-control-max-age": "600",
    "cache-control": "no-store",
}


class Origins:
    """The origins whose pages may call."""

    def __init__(self, origins: tuple[str, ...]) -> None:
        self.origins = frozenset(origins)

    def admit(self, asked: Asked) -> Packed | None:
        """Note the leave on the answer, whatever it will be; of a preflight that has leave, the answer itself."""
        asked.more.append((b"vary", b"Origin"))
        origin = asked.headers.get(b"origin", "")
        if origin not in self.origins:
            return None
        asked.more.append((b"access-control-allow-origin", origin.encode("latin-1")))
        if asked.method == "OPTIONS" and b"access-control-request-method" in asked.headers:
            return Packed(204, PREFLIGHT, b"")
        asked.more.append((b"access-control-expose-headers", EXPOSED.encode()))
        return None
