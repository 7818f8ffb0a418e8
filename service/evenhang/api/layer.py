"""The outermost layer: what holds for every request and every answer, the framework's own included.

Knows ASGI; knows no operation. Request id, traceparent (W3C Trace Context), headers of safety, bounds at the door, one line of log.
"""

import logging
import re
import secrets
import time

from evenhang.api.asked import App, Asked, Message, Receive, Scope, Send
from evenhang.api.language import language_of
from evenhang.api.limits import MOST_HEADER_BYTES, MOST_HEADERS, MOST_TARGET
from evenhang.api.meters import Meters
from evenhang.api.origins import Origins
from evenhang.api.problems import Declined
from evenhang.api.replies import problem_reply
from evenhang.api.sending import send_packed
from evenhang.engine.saying import say

log = logging.getLogger("evenhang.access")
_ID = re.compile("[A-Za-z0-9._-]{1,64}")
_TRACE = re.compile("(?!ff)[0-9a-f]{2}-(?!0{32})[0-9a-f]{32}-(?!0{16})[0-9a-f]{16}-[0-9a-f]{2}")
_HOST = re.compile(r"(?P<name>\[[0-9A-Fa-f:.]{2,45}\]|[A-Za-z0-9._-]{1,253})(?::[0-9]{1,5})?")
ALWAYS = (
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),
    (b"content-security-policy", b"default-src 'none'; frame-ancestors 'none'"),
    (b"cache-control", b"no-store"),
)


class Layer:
    """Wraps an app. `hosts` are the names that it answers for, without a port; empty: any. Pages of `origins` may call it;
    `meters` count what it answered."""

    def __init__(self, app: App, hosts: tuple[str, ...] = (), origins: tuple[str, ...] = (), meters: Meters | None = None) -> None:
        self.app = app
        self.meters = meters or Meters()
        self.origins = Origins(origins) if origins else None
        self.hosts = frozenset(host.lower() for host in hosts)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "websocket":
            await send({"type": "websocket.close", "code": 1000})
            return
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        started = time.perf_counter()
        asked = Asked(scope, "")
        asked.request_id = _id_of(asked)
        scope["evenhang"] = asked
        outward = _outward(asked, send)
        try:
            preflight = self.origins.admit(asked) if self.origins else None
            check_door(asked, scope, self.hosts)
            if preflight is None:
                await self.app(scope, receive, outward)
            else:
                await send_packed(preflight, asked, receive, outward)
        except Declined as declined:
            language = language_of(asked.headers.get(b"accept-language", ""))
            await send_packed(problem_reply(declined.problem, language, declined.headers), asked, receive, outward)
        finally:
            seconds = time.perf_counter() - started
            self.meters.count(asked, seconds)
            if log.isEnabledFor(logging.INFO):
                log.info("request", extra={"asked": asked, "ms": round(seconds * 1000, 2)})


def _id_of(asked: Asked) -> str:
    """The caller's id where it is a plain one, else a new one."""
    given = asked.headers.get(b"x-request-id", "")
    return given if _ID.fullmatch(given) else secrets.token_hex(8)


def _outward(asked: Asked, send: Send) -> Send:
    """Adds to every answer what it does not already say."""

    async def outward(message: Message) -> None:
        if message["type"] == "http.response.start":
            asked.status = message["status"]
            headers = message["headers"]
            said = {name for name, _ in headers}
            headers = [
                *headers,
                *asked.more,
                (b"x-request-id", asked.request_id.encode()),
                *(pair for pair in ALWAYS if pair[0] not in said),
            ]
            trace = asked.headers.get(b"traceparent")
            if trace is not None and _TRACE.fullmatch(trace):
                headers.append((b"traceparent", trace.encode()))
            message["headers"] = headers
        await send(message)

    return outward


def check_door(asked: Asked, scope: Scope, hosts: frozenset[str]) -> None:
    """Declined with 414, 431, 400 or 421 for what is too long, or asks for another host (RFC 9112, section 3.2)."""
    if len(asked.path) + len(asked.query) > MOST_TARGET:
        raise Declined(414, say("The address has over {n} bytes.", n=MOST_TARGET))
    pairs = scope["headers"]
    if len(pairs) > MOST_HEADERS or sum(len(name) + len(value) for name, value in pairs) > MOST_HEADER_BYTES:
        detail = say("There are over {n} header fields, or over {bytes} bytes of them.", n=MOST_HEADERS, bytes=MOST_HEADER_BYTES)
        raise Declined(431, detail)
    host = asked.headers.get(b"host")
    if host is None:
        if scope.get("http_version") == "1.0":
            return
        raise Declined(400, say("The request names no host."))
    match = _HOST.fullmatch(host)
    if match is None:
        raise Declined(400, say("The request's host is none."))
    if hosts and match["name"].lower() not in hosts:
        raise Declined(421, say("This service does not answer for that host."))
