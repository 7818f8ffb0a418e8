"""Do values fit the rules' types? Every misfit with its exact key, never the first only.

Knows the structs by looking at them, so that a new rule needs no line here. Knows nothing of what a value means.
"""

import datetime
import difflib
import re
from collections.abc import Iterable, Iterator
from decimal import Decimal
from functools import cache
from typing import Any

import msgspec
from msgspec import inspect as types

from evenhang.rulebook.layers import REMOVED
from evenhang.rulebook.limits import MOST_ENTRIES

Row = tuple[str, str]  # exact key, reason
MOST_DIGITS = 12  # before the point, and after it
_DECIMAL = re.compile(r"-?[0-9]{1,12}([.][0-9]{1,12})?")
DAY = re.compile("[0-9]{4}-[0-9]{2}-[0-9]{2}")  # Python reads more of ISO 8601 than TOML and we do
_CONTROL = re.compile("[\x00-\x1f\x7f]")
_LISTS = (types.VarTupleType, types.ListType)


@cache
def _type_of(kind: type) -> types.Type:
    return types.type_info(kind)


def typed(value: Any, kind: type) -> Any:
    """`value` as its struct; msgspec.ValidationError where it does not fit."""
    return msgspec.convert(value, kind, dec_hook=_hook, strict=True)


def _hook(kind: type, value: Any) -> Any:
    parse = getattr(kind, "parse", None)
    if parse is None:
        raise NotImplementedError(kind)  # how a hook tells msgspec that the type is none of ours
    return parse(format(value, "f") if isinstance(value, Decimal) else str(value) if isinstance(value, int) else value)


def misfits(value: Any, kind: type, *, layer: bool = False, json: bool = False) -> Iterator[Row]:
    """Key and reason of every value that does not fit `kind`, of every unknown key and of every one that is missing.

    `layer`: one layer alone, which may leave out what other layers say. `json`: figures are texts, never JSON numbers.
    """
    yield from _Fit(layer, json).at(value, _type_of(kind), "")


class _Fit:
    """One walk over values beside their types."""

    def __init__(self, layer: bool, json: bool) -> None:
        self.layer = layer
        self.json = json

    def at(self, value: Any, kind: types.Type, key: str) -> Iterator[Row]:
        """The misfits of `value` and everything in it."""
        if isinstance(kind, types.Metadata):
            kind = kind.type
        if self.layer and isinstance(value, dict) and value.get("kind") == REMOVED:
            yield from ((f"{key}.{name}", "stands beside a removal; leave it out") for name in value if name != "kind")
            return
        choices = [k for k in kind.types if not isinstance(k, types.NoneType)] if isinstance(kind, types.UnionType) else [kind]
        structs = [k for k in choices if isinstance(k, types.StructType)]
        if structs:
            yield from self._table(value, structs, key)
        elif isinstance(choices[0], types.DictType):
            yield from self._entries(value, choices[0], key)
        elif isinstance(choices[0], _LISTS):
            yield from self._list(value, choices[0], key)
        elif reason := self._scalar(value, choices[0]):
            yield key, reason

    def _table(self, value: Any, structs: list[types.StructType], key: str) -> Iterator[Row]:
        if not isinstance(value, dict):
            yield key, f"expected a table, got {_word(value)}"
            return
        tags = {str(struct.tag): struct for struct in structs if struct.tag is not None}
        said = value.get("kind")
        partial = self.layer and "kind" not in value
        if tags and said is None and (partial or len(structs) == 1):
            pass
        elif tags and (not isinstance(said, str) or said not in tags):
            yield _under(key, "kind"), "missing: " + _one_of(tags) if said is None else f"{_shown(said)} is no kind here{_near(said, tags)}"
            return
        elif tags:
            structs = [tags[str(said)]]
        fields = {field.encode_name: field for struct in structs for field in struct.fields}
        for name, inner in value.items():
            if name in fields:
                yield from self.at(inner, fields[name].type, _under(key, name))
            elif not (tags and name == "kind"):
                yield _under(key, name), f"unknown key{_near(name, fields)}"
        if not partial:
            yield from ((_under(key, f.encode_name), "missing") for f in fields.values() if f.required and f.encode_name not in value)

    def _entries(self, value: Any, kind: types.DictType, key: str) -> Iterator[Row]:
        if not isinstance(value, dict):
            yield key, f"expected a table, got {_word(value)}"
        elif len(value) > MOST_ENTRIES:
            yield key, f"more than {MOST_ENTRIES} entries"
        else:
            for name, inner in value.items():
                if self._scalar(name, kind.key_type):
                    yield _under(key, name), f"{_shown(name)} is no name: small letters, digits and hyphens, at most 63"
                else:
                    yield from self.at(inner, kind.value_type, _under(key, name))

    def _list(self, value: Any, kind: Any, key: str) -> Iterator[Row]:
        if not isinstance(value, (list, tuple)):
            yield key, f"expected a list, got {_word(value)}"
        elif kind.min_length and len(value) < kind.min_length:
            yield key, f"at least {kind.min_length} are needed, got {len(value)}"
        elif len(value) > (kind.max_length or MOST_ENTRIES):
            yield key, f"at most {kind.max_length or MOST_ENTRIES} are read, got {len(value)}"
        else:
            for i, inner in enumerate(value):
                yield from self.at(inner, kind.item_type, f"{key}[{i}]")

    def _scalar(self, value: Any, kind: types.Type) -> str | None:
        if isinstance(kind, types.Metadata):
            kind = kind.type
        match kind:
            case types.DecimalType() | types.CustomType():
                return self._number(value)
            case types.StrType():
                return _text(value, kind)
            case types.LiteralType(values=values):
                return (
                    None
                    if value in values and isinstance(value, str)
                    else f"{_shown(value)} is not {_one_of(values)}{_near(value, values)}"
                )
            case types.BoolType():
                return None if isinstance(value, bool) else f"expected true or false, got {_word(value)}"
            case types.DateType():
                return None if _is_day(value) else f"expected a day such as 2026-04-01, got {_word(value)}"
            case types.IntType():
                return _whole(value, kind)
        return None

    def _number(self, value: Any) -> str | None:
        if isinstance(value, bool) or not isinstance(value, (int, float, Decimal, str)):
            return f"expected a figure, got {_word(value)}"
        if self.json and not isinstance(value, str):
            return 'a JSON number would pass through a binary float: send text, such as "0.25"'
        if isinstance(value, str):
            if not _DECIMAL.fullmatch(value):
                return f"{_shown(value)} is no figure"
            value = Decimal(value)
        if isinstance(value, int) and abs(value) >= 10**MOST_DIGITS:
            return f"more than {MOST_DIGITS} digits before or after the point"
        number = Decimal(value)
        if not number.is_finite():
            return f"{number} is no figure for a rule"
        if number and (number.adjusted() >= MOST_DIGITS or int(number.as_tuple().exponent) < -MOST_DIGITS):
            return f"more than {MOST_DIGITS} digits before or after the point"
        return f"{number} is negative" if number < 0 else None


def _text(value: Any, kind: types.StrType) -> str | None:
    if not isinstance(value, str):
        return f"expected text, got {_word(value)}"
    if kind.max_length is not None and len(value) > kind.max_length:
        return f"more than {kind.max_length} characters"
    if _CONTROL.search(value):
        return "holds a line break or another control character"
    if kind.pattern is not None and not re.fullmatch(kind.pattern, value):
        return f"{_shown(value)} is no name: small letters, digits and hyphens, at most 63"
    return None


def _whole(value: Any, kind: types.IntType) -> str | None:
    if isinstance(value, bool) or not isinstance(value, int):
        return f"expected a whole number, got {_word(value)}"
    low, high = kind.ge if kind.ge is not None else 0, kind.le if kind.le is not None else 10**MOST_DIGITS
    return None if low <= value <= high else f"expected a whole number from {low} to {high}"


def _is_day(value: Any) -> bool:
    if isinstance(value, str):
        try:
            return bool(DAY.fullmatch(value) and datetime.date.fromisoformat(value))
        except ValueError:
            return False
    return isinstance(value, datetime.date) and not isinstance(value, datetime.datetime)


def _under(key: str, name: Any) -> str:
    return f"{key}.{name}" if key else str(name)


def _one_of(values: Iterable[Any]) -> str:
    return "one of " + ", ".join(sorted(map(str, values)))


def _near(name: Any, known: Iterable[Any]) -> str:
    near = difflib.get_close_matches(name[:80], [str(k) for k in known], 1, 0.6) if isinstance(name, str) else []
    return f'; did you mean "{near[0]}"?' if near else ""


def _shown(value: Any) -> str:
    return f'"{value[:40]}"' if isinstance(value, str) else _word(value)


def _word(value: Any) -> str:
    """What a value is, in words that hold for TOML and JSON."""
    if isinstance(value, bool):
        return "true or false"
    words = {dict: "a table", list: "a list", str: "text", int: "a number", float: "a number", Decimal: "a number", type(None): "nothing"}
    return words.get(type(value), "a day or time")
