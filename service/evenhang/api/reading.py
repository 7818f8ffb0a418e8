"""From raw bytes to a typed struct, strictly: what the framework gets wrong by default is put right here."""

import json
import re
from collections.abc import Iterable
from decimal import Decimal
from typing import Any, TypeVar

import msgspec

from evenhang.api.problems import Declined, ProblemError

MOST_BYTES = 8_000_000
T = TypeVar("T")
_PATH = re.compile(r"^(?P<what>.*?)(?: - at (?:`key` in )?`(?P<path>\$.*)`)?$", re.S)
_MEMBER = re.compile(r"(?:required|unknown) field `(?P<name>.*?)`")


def hook(kind: type, value: object) -> object:
    """Decode our own decimal types from strings."""
    if issubclass(kind, Decimal) and hasattr(kind, "parse"):
        return kind.parse(value)
    raise NotImplementedError(kind)


def read_body(content_type: str, raw: bytes, kind: type[T]) -> T:
    """The typed body. Declined with 415, 413 or 400 and a pointer at the fault."""
    if content_type.partition(";")[0].strip().lower() != "application/json":
        raise Declined(415, "Send the body as application/json.", headers={"Accept": "application/json"})
    if len(raw) > MOST_BYTES:
        raise Declined(413, f"The body has over {MOST_BYTES} bytes.")
    try:
        value = json.loads(raw.decode("utf-8"), object_pairs_hook=_unique, parse_constant=_no_constant, parse_float=_number)
        if b"\\u" in raw:  # half a surrogate pair is JSON, but no text that an answer could repeat (RFC 8259, section 8.2)
            json.dumps(value, ensure_ascii=False).encode("utf-8")
    except RecursionError:
        raise Declined(400, "The body is nested too deeply.") from None
    except ValueError as error:  # JSON, UTF-8, a number of thousands of digits, a key said twice
        raise Declined(400, f"The body is not JSON: {str(error)[:200]}") from None
    return read_value(value, kind)


def read_query(pairs: Iterable[tuple[str, str]], kind: type[T]) -> T:
    """The typed parameters of a query; Declined with 400 for one that is unknown, said twice or misshapen."""
    asked: dict[str, str] = {}
    for name, value in pairs:
        if name in asked:
            raise Declined(400, "The request does not fit the contract.", (ProblemError(f"#/{name[:80]}", "invalid", "Said twice."),))
        asked[name] = value
    return read_value(asked, kind)


def read_value(value: Any, kind: type[T]) -> T:
    """`value`, decoded JSON, as the typed struct; Declined with a pointer at the first fault."""
    try:
        return msgspec.convert(value, kind, strict=True, dec_hook=hook)
    except msgspec.ValidationError as error:
        raise Declined(400, "The request does not fit the contract.", (_fault(str(error)),)) from None


def _unique(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    out = dict(pairs)
    if len(out) != len(pairs):
        raise ValueError("a key stands twice in one object")
    return out


def _number(text: str) -> float:
    """1900.0 is an integer to JSON Schema; amounts are refused as numbers later, whichever they are."""
    value = float(text)
    return int(value) if value.is_integer() else value


def _no_constant(word: str) -> object:
    raise ValueError(f"{word} is no JSON")


def _fault(message: str) -> ProblemError:
    match = _PATH.match(message)
    what, path = (match["what"], match["path"] or "$") if match else (message, "$")
    steps = re.findall(r"\.([^.\[\]]+)|\[(\d+)\]", path)
    if named := _MEMBER.search(what):
        steps.append((named["name"], ""))
    pointer = "".join("/" + (name or index).replace("~", "~0").replace("/", "~1") for name, index in steps)
    return ProblemError("#" + pointer[:500], "invalid", what[:300])
