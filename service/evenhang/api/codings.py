"""Answers made smaller for the wire: brotli and gzip (RFC 9110, section 8.4.1).

Knows bytes; knows nothing of what they say.
"""

import functools
import gzip

import brotli  # type: ignore[import-untyped]  # it ships no types

from evenhang.api.negotiation import weights

LEAST_COMPRESSED = 1_400  # a smaller answer fits into one packet as it is
KEPT = 50_000  # bytes from which a compressed answer is kept, since such answers are few and asked for often: the contract, pages


@functools.lru_cache(maxsize=512)
def choose_coding(accept_encoding: str | None) -> str:
    """br or gzip, whichever is taken more gladly, br where both are equal; "" where neither is taken."""
    if not accept_encoding:
        return ""
    wanted = weights(accept_encoding)
    rest = wanted.get("*", 0.0)
    best = max(("br", "gzip"), key=lambda coding: wanted.get(coding, rest))
    weight = wanted.get(best, rest)
    return best if weight > 0 and weight >= wanted.get("identity", 0.0) else ""


def compressed(body: bytes, coding: str) -> bytes:
    """The body in that coding; the same bytes each time."""
    return _kept(body, coding) if len(body) >= KEPT else _made(body, coding)


def _made(body: bytes, coding: str) -> bytes:
    if coding == "br":
        made: bytes = brotli.compress(body, quality=4)
        return made
    return gzip.compress(body, compresslevel=5, mtime=0)


_kept = functools.lru_cache(maxsize=16)(_made)
