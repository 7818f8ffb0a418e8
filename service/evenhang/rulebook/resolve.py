"""From layers laid over one another to a typed, checked rule set with its digest.

Everything wrong is collected, never the first fault only: what fits its type is judged further although something beside it does not.
"""

import hashlib
from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from typing import Any

import msgspec
import rfc8785

from evenhang.engine.money import figure
from evenhang.engine.rules import Rules, RuleSet
from evenhang.rulebook.fit import Row, misfits, typed
from evenhang.rulebook.layers import Fault, Laid
from evenhang.rulebook.limits import MOST_KEY
from evenhang.rulebook.sound import sound
from evenhang.rulebook.wrong import wrong


def resolve(member: str, laid: Laid, since: date, until: date | None, otherwise: str, faults: list[Fault]) -> RuleSet | None:
    """The rule set of one segment of time, or None with its faults added; `otherwise` is the file to blame for what no file says."""
    rows = list(misfits(laid.values, Rules))
    try:
        rules = typed(sound(laid.values, [key for key, _ in rows]), Rules)
        rows += wrong(rules, laid.values)
    except msgspec.ValidationError as error:  # the walk above and the decoder differ: say so rather than serve
        rows.append(("", str(error)))
    if rows:
        faults.extend(Fault(laid.file_of(key, otherwise), key[:MOST_KEY], reason) for key, reason in rows)
        return None
    return RuleSet(member, rules, laid.origins, digest_of(member, since, laid), since, until)


def digest_of(member: str, since: date, laid: Laid) -> str:
    """SHA-256 over the canonical JSON (RFC 8785) of whose and since when the rules are, values and origins; decimals as plain text.

    Of two members, or of two days, there are never two sets of one digest: a pin, and whatever is kept by digest, means one set.
    """
    origins = {path: [origin.layer, str(origin.since)] for path, origin in laid.origins.items()}
    document = {"member": member, "since": str(since), "values": _plain(laid.values), "origins": origins}
    return hashlib.sha256(rfc8785.dumps(document)).hexdigest()


def _plain(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _plain(inner) for key, inner in value.items()}
    if isinstance(value, (list, tuple)):
        return [_plain(inner) for inner in value]
    if isinstance(value, (bool, str)):
        return value
    return figure(Decimal(value)) if isinstance(value, (int, Decimal)) else str(value)


class RuleValue(msgspec.Struct, frozen=True):
    """One value of a resolved rule set as text, with its full key and where it comes from."""

    path: str
    value: str
    layer: str
    since: date | None


def values_of(values: dict[str, Any], rules: RuleSet) -> Iterator[RuleValue]:
    """Every value that some layer set, by key; lists element by element, counted from 0."""
    for path, text in sorted(_leaves(values, ""), key=lambda leaf: leaf[0]):
        origin = rules.origin(path.partition("[")[0])
        yield RuleValue(path, text, origin.layer, origin.since)


def _leaves(value: Any, at: str) -> Iterator[Row]:
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from _leaves(inner, f"{at}.{key}" if at else key)
    elif isinstance(value, (list, tuple)):
        for i, inner in enumerate(value):
            yield from _leaves(inner, f"{at}[{i}]")
    elif isinstance(value, bool):
        yield at, "true" if value else "false"
    else:
        yield at, str(_plain(value))
