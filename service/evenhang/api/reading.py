"""From raw bytes to a typed struct, strictly: bodies of JSON, and queries.

Knows no operation. What a JSON reader lets pass by default is put right here: keys said twice, bytes that are no UTF-8,
nesting without end, numbers where texts are meant.
"""

import functools
import json
import re
from collections.abc import Hashable
from decimal import Decimal
from typing import Any, TypeVar
from urllib.parse import unquote_plus

import msgspec
import msgspec.inspect as mi

from evenhang.api.faults import fault_of, kinds_of, known_type, pointer_to
from evenhang.api.limits import MOST_PARAMETERS
from evenhang.api.problems import Declined, ProblemError
from evenhang.engine.saying import say

T = TypeVar("T")
UNFIT = say("The request does not fit the contract.")
_KEY = re.compile(rb'"([^"]*)"[ \t\r\n]*:')
_BAD_ESCAPE = re.compile("%(?![0-9A-Fa-f]{2})")
_INTEGER = re.compile("-?[0-9]{1,18}")


def hook(kind: type, value: object) -> object:
    """Decode our own decimal types from strings."""
    if issubclass(kind, Decimal) and hasattr(kind, "parse"):
        return kind.parse(value)
    raise NotImplementedError(kind)  # how a hook tells msgspec that the type is none of ours


_DECODERS: dict[type, msgspec.json.Decoder[Any]] = {}


def _decoder(kind: type[T]) -> msgspec.json.Decoder[T]:
    if kind not in _DECODERS:
        _DECODERS[kind] = msgspec.json.Decoder(kind, strict=True, dec_hook=hook)
    return _DECODERS[kind]


def read_json(raw: bytes, kind: type[T]) -> T:
    """The typed body, in one strict pass. Declined (400) with a pointer at the first fault.

    A body whose keys all differ says no key twice anywhere; any other is looked through by a reader that sees objects.
    """
    try:
        if not _plain(raw):
            json.loads(raw.decode("utf-8"), object_pairs_hook=_unique, parse_constant=_no_constant)
        return _decoder(kind).decode(raw)
    except msgspec.ValidationError:
        return _again(raw, kind)
    except RecursionError:
        raise Declined(400, say("The body is nested too deeply.")) from None
    except (ValueError, msgspec.DecodeError) as error:  # JSON, UTF-8, a number of thousands of digits, a key said twice
        raise Declined(400, f"The body is not JSON: {str(error)[:200]}") from None


def _plain(raw: bytes) -> bool:
    """Whether no key can stand twice in one object: without escapes, every text before a colon is another."""
    if b"\\" in raw or len(raw) > 4_000:
        return False
    keys = _KEY.findall(raw)
    return len(keys) == len(set(keys))


def _again(raw: bytes, kind: type[T]) -> T:
    """A second look where the first did not fit: the rest may be no JSON, 1900.0 is an integer to JSON Schema, and null is absent."""
    try:
        value = json.loads(raw.decode("utf-8"), object_pairs_hook=_unique, parse_constant=_no_constant, parse_float=_number)
        json.dumps(value, ensure_ascii=False).encode("utf-8")  # half a surrogate pair is let pass by this reader, and cannot be answered
    except RecursionError:
        raise Declined(400, say("The body is nested too deeply.")) from None
    except ValueError as error:
        raise Declined(400, f"The body is not JSON: {str(error)[:200]}") from None
    return read_value(_without_nulls(value, kinds_of(known_type(kind))), kind)  # type: ignore[arg-type]  # every type can be a cache's key


def _without_nulls(part: Any, kinds: list[mi.Type]) -> Any:
    """Absent and null mean the same, where there is such a field: an unknown one stays, to be refused, and in a list a null is a fault.

    What a `try` holds has keys of its own and is read by the rules' checker.
    """
    if isinstance(part, list):
        inside = [inner for kind in kinds if isinstance(kind, (mi.VarTupleType, mi.ListType)) for inner in kinds_of(kind.item_type)]
        return [_without_nulls(item, inside) for item in part]
    fields = {field.encode_name: field.type for kind in kinds if isinstance(kind, mi.StructType) for field in kind.fields}
    if not isinstance(part, dict) or not fields:
        return part
    said = {key: value for key, value in part.items() if value is not None or key not in fields}
    return {key: _without_nulls(value, kinds_of(fields[key])) if key in fields else value for key, value in said.items()}


def read_value(value: Any, kind: type[T]) -> T:
    """`value`, decoded JSON, as the typed struct; Declined with a pointer at the first fault."""
    try:
        return msgspec.convert(value, kind, strict=True, dec_hook=hook)
    except msgspec.ValidationError as error:
        raise Declined(400, UNFIT, (fault_of(str(error), kind),)) from None


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


def read_query(raw: bytes, kind: type[T] | None) -> T | None:
    """The typed query; None where the operation takes none. Declined (400) for a parameter that is unknown, twice, or does not fit."""
    if not raw and kind is None:
        return None
    given = _parameters(raw)
    if kind is None:
        name = next(iter(given), None)
        if name is None:
            return None
        raise _fault(name, say("There are no query parameters here."))
    many, plain = _kinds(kind)  # type: ignore[arg-type]  # every type can be a cache's key
    value: dict[str, Any] = {}
    for name, texts in given.items():
        if name in many:
            value[name] = texts
        elif len(texts) > 1:
            raise _fault(name, say('"{name}" stands twice in the query.', name=name[:60]))
        else:
            value[name] = plain.get(name, str)(texts[0])
    return read_value(value, kind)


def _fault(name: str, detail: str) -> Declined:
    return Declined(400, UNFIT, (ProblemError(pointer_to([name]), "invalid", detail),))


def _parameters(raw: bytes) -> dict[str, list[str]]:
    """The parameters by name, percent-decoded strictly (RFC 3986, section 2.1)."""
    out: dict[str, list[str]] = {}
    pieces = raw.split(b"&") if raw else []
    if len(pieces) > MOST_PARAMETERS:
        raise Declined(400, say("The query has over {n} parameters.", n=MOST_PARAMETERS))
    for piece in pieces:
        try:
            text = piece.decode("ascii")
            if _BAD_ESCAPE.search(text):
                raise ValueError
            name, _, value = (unquote_plus(part, errors="strict") for part in text.partition("="))
        except ValueError:
            raise Declined(400, say("The query is not percent-encoded UTF-8.")) from None
        if name or value:
            out.setdefault(name, []).append(value)
    return out


def _whole(text: str) -> object:
    return int(text) if _INTEGER.fullmatch(text) else text


def _flag(text: str) -> object:
    return {"true": True, "false": False}.get(text, text)


@functools.cache
def _kinds(kind: Hashable) -> tuple[frozenset[str], dict[str, Any]]:
    """Which parameters may be said several times, and how the text of each other one is read."""
    many, plain = set(), {}
    info = mi.type_info(kind)
    assert isinstance(info, mi.StructType)  # a query is a struct by the table's own type
    for field in info.fields:
        inside = field.type.type if isinstance(field.type, mi.Metadata) else field.type
        kinds = list(inside.types) if isinstance(inside, mi.UnionType) else [inside]
        for each in (k.type if isinstance(k, mi.Metadata) else k for k in kinds):
            if isinstance(each, (mi.VarTupleType, mi.ListType)):
                many.add(field.encode_name)
            elif isinstance(each, mi.IntType):
                plain[field.encode_name] = _whole
            elif isinstance(each, mi.BoolType):
                plain[field.encode_name] = _flag
    return frozenset(many), plain
