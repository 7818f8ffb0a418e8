"""What does not fit the contract, in people's words, with a pointer at it.

Knows the messages of msgspec and the types that were asked for; knows no HTTP.
"""

import functools
import re
from difflib import get_close_matches
from typing import Any
from urllib.parse import quote

import msgspec.inspect as mi

from evenhang.api.problems import ProblemError

_PATH = re.compile(r"^(?P<what>.*) - at (?:`key` in )?`(?P<path>\$[^`]*)`$", re.S)  # the last one: a field's name may hold another
_FIELD = re.compile(r"Object (?P<how>missing required|contains unknown) field `(?P<name>.*)`", re.S)
_TYPES = re.compile(r"Expected `(?P<wanted>[^`]+)`, got `(?P<got>[^`]+)`")
_LENGTH = re.compile(r"Expected `(?P<kind>[^`]+)` of length (?P<sign><=|>=|==) (?P<n>[0-9]+)")
_BOUND = re.compile(r"Expected `(?:int|float)` (?P<sign><=|>=) (?P<n>-?[0-9]+)")
_WORDS = {
    "str": "a text", "int": "a whole number", "float": "a number", "bool": "true or false", "array": "a list", "object": "an object",
    "null": "null", "date": 'a day such as "2026-05-01"',
}  # fmt: skip
_FRAGMENT = "/?:@!$&'()*+,;=-._~"  # what may stand in a fragment as it is (RFC 3986, section 3.5)
LONGEST = 501  # with its "#"
_SIGNS = {"<=": "at most", ">=": "at least", "==": "exactly"}
_FORMS = {
    r"^[a-z0-9][a-z0-9-]{0,62}$(?!\n)": 'a name of lower-case letters, digits and hyphens, such as "oil" (at most 63)',
    "^[A-Z]{3}$": 'a currency of three capital letters, such as "EUR"',
    "^[0-9a-f]{64}$": "a digest of 64 lower-case hexadecimal digits",
}


def fault_of(message: str, kind: Any = None) -> ProblemError:
    """The fault that msgspec's `message` names; `kind` is the struct that was asked for."""
    what, steps = _place(message)
    known = _at(known_type(kind), steps) if kind is not None else []
    if kind is not None and not known:  # the path was part of a name
        what, steps, known = message, [], _at(known_type(kind), [])
    detail = _sentence(what, known)
    if named := _FIELD.search(what):
        steps.append(named["name"])
    return ProblemError(pointer_to(steps), "invalid", detail[:300])


def _place(message: str) -> tuple[str, list[str]]:
    """What is wrong, and the steps to where."""
    match = _PATH.match(message)
    if match is None:
        return message, []
    return match["what"], [name or index for name, index in re.findall(r"\.([^.\[\]]+)|\[(\d+)\]", match["path"])]


@functools.cache
def known_type(kind: type) -> mi.Type:
    """What a struct is made of; looked up once, since a batch may not fit a million times."""
    return mi.type_info(kind)


def pointer_to(steps: list[str]) -> str:
    """The URI fragment of a JSON pointer (RFC 6901, section 6), cut at a length that a name from the request cannot stretch."""
    out = "#"
    for sign in "".join("/" + step.replace("~", "~0").replace("/", "~1") for step in steps):
        spelt = quote(sign, safe=_FRAGMENT, errors="replace")
        if len(out) + len(spelt) > LONGEST:
            break
        out += spelt
    return out


def _sentence(what: str, known: list[mi.Type]) -> str:
    if named := _FIELD.search(what):
        return _field(named["name"][:60], named["how"], known)
    if what.startswith("Invalid enum value"):
        words = [str(word) for kind in known if isinstance(kind, mi.LiteralType) for word in kind.values]
        return f"Expected one of {', '.join(words)}." if words else "Expected one of the words that the contract lists."
    if what.startswith("Invalid RFC3339 encoded date"):
        return f"Expected {_WORDS['date']}."
    if types := _TYPES.search(what):
        return f"Expected {_kinds(types['wanted'])}, not {_kinds(types['got'])}."
    if length := _LENGTH.search(what):
        unit = "characters" if length["kind"] == "str" else "items"
        return f"Expected {_SIGNS[length['sign']]} {length['n']} {unit}."
    if bound := _BOUND.search(what):
        return f"Expected a whole number of {_SIGNS[bound['sign']]} {bound['n']}."
    if "matching regex" in what:
        form = next((words for pattern, words in _FORMS.items() if repr(pattern) in what), "a text of the form that the contract says")
        return f"Expected {form}."
    return what[:1].upper() + what[1:]


def _kinds(names: str) -> str:
    return " or ".join(_WORDS.get(name, name) for name in names.split(" | ") if name != "null" or names == "null")


def _field(name: str, how: str, known: list[mi.Type]) -> str:
    if how == "missing required":
        return f'"{name}" is missing.'
    fields = [field.encode_name for kind in known if isinstance(kind, mi.StructType) for field in kind.fields]
    near = get_close_matches(name, fields, 1)
    return f'There is no field "{name}" here.' + (f' Is "{near[0]}" meant?' if near else "")


def kinds_of(kind: mi.Type) -> list[mi.Type]:
    """What a value of the type may be, without its limits."""
    kinds = list(kind.types) if isinstance(kind, mi.UnionType) else [kind]
    return [inner.type if isinstance(inner, mi.Metadata) else inner for inner in kinds]


def _at(kind: mi.Type, steps: list[str]) -> list[mi.Type]:
    """Every type that the contract allows where the steps lead."""
    if not steps:
        return kinds_of(kind)
    out: list[mi.Type] = []
    for inner in kinds_of(kind):
        if isinstance(inner, mi.StructType):
            out += [found for field in inner.fields if field.encode_name == steps[0] for found in _at(field.type, steps[1:])]
        elif isinstance(inner, (mi.VarTupleType, mi.ListType)):
            out += _at(inner.item_type, steps[1:])
    return out
