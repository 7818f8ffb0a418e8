"""What goes back: an answer with its media type and headers, or a problem document.

Knows HTTP's fields; knows no operation and no rules.
"""

import hashlib
from collections.abc import Iterator
from typing import Any

import msgspec
from msgspec import Struct

from evenhang.api.negotiation import is_same
from evenhang.api.problems import Problem

JSON = "application/json"
PROBLEM = "application/problem+json"
NDJSON = "application/x-ndjson"


class Reply(Struct, frozen=True):
    """An answer with more to say than its struct: of another media type, with headers of its own, or streamed.

    `body` is a struct (sent as JSON), bytes, or an iterator of bytes that is sent piece by piece as it is made. `headers` come in
    addition to those of every answer. Only an answer with status 200 that is no stream gets an ETag, where its row says so.
    """

    body: Any
    media_type: str = JSON
    status: int = 200
    headers: dict[str, str] = {}


class Packed(Struct, frozen=True):
    """A reply as it goes onto the wire: bytes, or an iterator of them."""

    status: int
    headers: dict[str, str]
    body: bytes | Iterator[bytes]


def packed(answer: Any, *, cache: str, offers: int, condition: str | None, language: str | None) -> Packed:
    """The answer of a row, encoded. `cache` is its Cache-Control, "" for an answer that nobody may keep."""
    reply = answer if isinstance(answer, Reply) else Reply(answer)
    body = reply.body if isinstance(reply.body, (bytes, Iterator)) else msgspec.json.encode(reply.body)
    headers = {"content-type": _media(reply.media_type), "cache-control": cache or "no-store"}
    if offers > 1:
        headers["vary"] = "Accept"
    if language is not None:
        headers["content-language"] = language
    headers |= {name.lower(): value for name, value in reply.headers.items()}
    if not cache or reply.status != 200 or isinstance(body, Iterator):
        return Packed(reply.status, headers, body)
    headers.setdefault("etag", etag_of(body))
    if is_same(condition, headers["etag"]):
        kept = {name: value for name, value in headers.items() if name not in ("content-type", "content-language")}
        return Packed(304, kept, b"")
    return Packed(reply.status, headers, body)


def etag_of(body: bytes) -> str:
    """A strong tag of these bytes (RFC 9110, section 8.8.3)."""
    return f'"{hashlib.sha256(body).hexdigest()[:32]}"'


def problem_reply(problem: Problem, headers: dict[str, str] | None = None) -> Packed:
    """The problem document as it is sent (RFC 9457, section 3)."""
    said = {name.lower(): value for name, value in (headers or {}).items()}
    return Packed(problem.status, {"content-type": PROBLEM, "cache-control": "no-store", **said}, msgspec.json.encode(problem))


def _media(media_type: str) -> str:
    return f"{media_type}; charset=utf-8" if media_type.startswith("text/") and "charset" not in media_type else media_type
