"""An operation that is about to go says so in each of its answers: Deprecation (RFC 9745) and Sunset (RFC 8594).

Knows days; knows no operation.
"""

import functools
from datetime import UTC, date, datetime, time
from email.utils import format_datetime

Pairs = tuple[tuple[bytes, bytes], ...]
WORDS = {
    "Deprecation": "Since when it is deprecated, as @ and Unix seconds (RFC 9745); `openapi/CHANGES.md` names what takes its place.",
    "Sunset": "From when it may be gone (RFC 8594).",
}


@functools.cache
def ageing(deprecated_on: date | None, sunset_on: date | None) -> Pairs:
    """The fields of the answer; each day begins at midnight UTC. ValueError for a sunset without, or before, a deprecation (RFC 9745,
    section 4)."""
    if deprecated_on is None:
        if sunset_on is not None:
            raise ValueError("an operation is deprecated before its sunset")
        return ()
    since = f"@{int(_midnight(deprecated_on).timestamp())}".encode()  # a Date of RFC 9651, section 3.3.7
    if sunset_on is None:
        return ((b"deprecation", since),)
    if sunset_on < deprecated_on:
        raise ValueError("a sunset does not come before the deprecation")
    return (b"deprecation", since), (b"sunset", format_datetime(_midnight(sunset_on), usegmt=True).encode())


def _midnight(day: date) -> datetime:
    return datetime.combine(day, time.min, UTC)
