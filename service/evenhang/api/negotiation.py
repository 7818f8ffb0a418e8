"""Which kind of answer a caller takes (RFC 9110, section 12.5): media types by Accept, and what a stored copy is worth.

Knows headers as texts, and nothing of what is answered.
"""

import re

from evenhang.api.limits import MOST_ACCEPT

_Q = re.compile(r"q=(0(\.[0-9]{0,3})?|1(\.0{0,3})?)$", re.I)
_TAG = re.compile(r'(?:W/)?("[\x21\x23-\x7e\x80-\xff]*")')


def weights(header: str) -> dict[str, float]:
    """The ranges of an Accept header (or of Accept-Encoding) with their weights; what is malformed is left out."""
    out: dict[str, float] = {}
    for piece in header[:MOST_ACCEPT].split(","):
        name, *parameters = (part.strip() for part in piece.split(";"))
        weight = 1.0
        for parameter in parameters:
            if parameter[:2].lower() == "q=":
                match = _Q.match(parameter)
                weight = float(match[1]) if match else 0.0
        if name:
            out[name.lower()] = max(weight, out.get(name.lower(), 0.0))
    return out


def choose(accept: str | None, offered: tuple[str, ...]) -> str | None:
    """The offered media type that the caller takes most gladly, the earlier one where two are equal; None where it takes none.

    Without the header, or with an empty one, anything will do. The most specific range decides about a type, so that q=0 excludes.
    """
    if accept is None or not (wanted := weights(accept)):
        return offered[0]
    best, most = None, 0.0
    for media in offered:
        bare = media.partition(";")[0]
        family = bare.partition("/")[0] + "/*"
        weight = wanted.get(bare, wanted.get(family, wanted.get("*/*", 0.0)))
        if weight > most:
            best, most = media, weight
    return best


def is_same(if_none_match: str | None, etag: str) -> bool:
    """Whether the caller's copy is this one, by weak comparison (RFC 9110, section 13.1.2)."""
    if if_none_match is None:
        return False
    return if_none_match.strip() == "*" or etag in _TAG.findall(if_none_match[:MOST_ACCEPT])
