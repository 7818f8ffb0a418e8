"""What is left to judge of a rule set when some of it does not fit: as much as possible, so that no fault hides another.

Knows types by their misfits; nothing of what a value means.
"""

from collections.abc import Iterable
from typing import Any

import msgspec

from evenhang.engine.rules import Rules
from evenhang.rulebook.fit import misfits
from evenhang.rulebook.limits import MOST_DEPTH, MOST_KEY

# Tables by name. The canonical form that is digested knows no order of keys, so neither may an answer: they are sorted.
TABLES = tuple(
    field.encode_name
    for field in msgspec.structs.fields(Rules)
    if isinstance(msgspec.inspect.type_info(field.type), msgspec.inspect.DictType)
)
# What stands in for a required key that is missing, so that the rest can be judged. An empty currency is judged no further.
STAND_INS: dict[str, Any] = {"title": "", "currency": "", "media": {}, "outlets": {}, "sells_in": []}


def sound(values: dict[str, Any], faulty: Iterable[str]) -> dict[str, Any]:
    """`values`, copied, without the smallest part around each faulty key that leaves something of its type."""
    out = {key: dict(sorted(value.items())) if key in TABLES and isinstance(value, dict) else value for key, value in values.items()}
    out = {**STAND_INS, **out}
    keys = list(faulty)
    for _ in range(MOST_DEPTH):  # each round takes one level more of what cannot stand without what the last one took
        if not keys:
            break
        for key in keys:
            _prune(out, key)
        for key, stand_in in STAND_INS.items():
            out.setdefault(key, stand_in)
        keys = [key for key, _ in misfits(out, Rules)]
    return out


def _prune(table: dict[str, Any], key: str) -> None:
    """Take `key` out of the table; where it is not there, for it is missing, the table that misses it; of a list the whole list."""
    # A longer name than can be told is one that nobody knows, so nothing below it is looked at: it is the whole key.
    ends = (end for end in range(min(len(key), MOST_KEY), 0, -1) if key[end : end + 1] in ".[")
    step = key if key in table else next((key[:end] for end in ends if key[:end] in table), None)
    if step is None:
        return
    rest = key[len(step) + 1 :]
    inner = table[step]
    if key[len(step) : len(step) + 1] == "." and isinstance(inner, dict):
        copied = dict(inner)
        _prune(copied, rest)
        if len(copied) < len(inner) or any(copied[k] is not inner[k] for k in copied):
            table[step] = copied
            return
    del table[step]
