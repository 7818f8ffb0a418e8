"""Layers laid over one another by hand: values and origins, each row a person can check."""

from datetime import date
from typing import Any

import pytest

from evenhang.rulebook.layers import Laid, Layer, lay
from evenhang.rulebook.resolve import digest_of

GONE = {"kind": "removed"}
SINCE = date(2025, 1, 1)


def laid(*layers: dict[str, Any]) -> Laid:
    return lay(tuple(Layer(f"f{i}", date(2025, 1, i), says) for i, says in enumerate(layers, 1)))


@pytest.mark.parametrize(("layers", "values", "origins"), [
    # scalars and lists replace
    ([{"a": 1}, {"a": 2}], {"a": 2}, {"a": "f2"}),
    ([{"a": [1, 2]}, {"a": [3]}], {"a": [3]}, {"a": "f2"}),
    # tables merge key by key, at any depth
    ([{"t": {"a": 1, "b": 1}}, {"t": {"b": 2}}], {"t": {"a": 1, "b": 2}}, {"t.a": "f1", "t.b": "f2"}),
    ([{"t": {"u": {"a": 1}}}, {"t": {"u": {"b": 2}}}, {"t": {"u": {"a": 3}}}], {"t": {"u": {"a": 3, "b": 2}}},
     {"t.u.a": "f3", "t.u.b": "f2"}),
    # a table with a kind replaces whole, whatever was there
    ([{"s": {"kind": "x", "a": 1}}, {"s": {"kind": "y", "b": 2}}], {"s": {"kind": "y", "b": 2}}, {"s": "f2"}),
    ([{"s": {"a": 1, "b": 1}}, {"s": {"kind": "y"}}], {"s": {"kind": "y"}}, {"s": "f2"}),
    # one without a kind changes a part of one with it
    ([{"s": {"kind": "x", "a": 1, "b": 1}}, {"s": {"b": 2}}], {"s": {"kind": "x", "a": 1, "b": 2}}, {"s": "f1", "s.b": "f2"}),
    ([{"s": {"kind": "x", "a": 1}}, {"s": {"a": 2}}, {"s": {"kind": "z"}}], {"s": {"kind": "z"}}, {"s": "f3"}),
    # also a part that lies deeper in it
    ([{"s": {"kind": "x", "p": {"a": 1, "b": 1}}}, {"s": {"p": {"b": 2}}}], {"s": {"kind": "x", "p": {"a": 1, "b": 2}}},
     {"s": "f1", "s.p.b": "f2"}),
    ([{"s": {"kind": "x", "p": {"q": {"a": 1}}}}, {"s": {"p": {"q": {"b": 2}}}}, {"s": {"p": {"q": GONE}}}],
     {"s": {"kind": "x", "p": {}}}, {"s": "f1"}),
    # removal, of what is there, of what is not, and coming back
    ([{"t": {"a": 1, "b": 1}}, {"t": {"a": GONE}}], {"t": {"b": 1}}, {"t.b": "f1"}),
    ([{"t": {"a": {"x": 1, "y": 2}}}, {"t": {"a": GONE}}], {"t": {}}, {}),
    ([{"t": {"a": 1}}, {"t": {"a": GONE}}, {"t": {"a": 3}}], {"t": {"a": 3}}, {"t.a": "f3"}),
    ([{"t": {"b": 1}}, {"t": {"a": GONE}}], {"t": {"b": 1}}, {"t.b": "f1"}),
    # a table in the place of a scalar, and the other way round
    ([{"a": 1}, {"a": {"b": 2}}], {"a": {"b": 2}}, {"a.b": "f2"}),
    ([{"a": {"b": 2}}, {"a": 1}], {"a": 1}, {"a": "f2"}),
])  # fmt: skip
def test_laid_by_hand(layers: list[dict[str, Any]], values: dict[str, Any], origins: dict[str, str]) -> None:
    found = laid(*layers)
    assert found.values == values
    assert {path: origin.layer for path, origin in found.origins.items()} == origins
    assert all(origin.path == path and origin.since == date(2025, 1, int(origin.layer[1:])) for path, origin in found.origins.items())


def test_no_layer_is_changed_by_laying_it() -> None:
    first = {"t": {"u": {"a": 1}}}
    laid(first, {"t": {"u": {"a": 2}, "v": 3}})
    assert first == {"t": {"u": {"a": 1}}}


def test_a_removal_of_nothing_is_noticed() -> None:
    assert [o.path for o in laid({"t": {"b": 1}}, {"t": {"a": GONE}}).idle] == ["t.a"]


@pytest.mark.parametrize(("key", "file"), [
    ("t.a", "f1"), ("t.b[3].c", "f2"), ("t", "f2"), ("t.missing", "f2"), ("nowhere", "else"),
])  # fmt: skip
def test_whom_to_blame(key: str, file: str) -> None:
    assert laid({"t": {"a": 1}}, {"t": {"b": []}}).file_of(key, "else") == file


def test_who_removed_it_is_blamed_until_it_comes_back() -> None:
    there = {"t": {"a": {"x": 1, "y": 1}}}
    for layers, file in (
        ([there, {"t": {"a": {"x": GONE}}}], "f2"), ([there, {"t": {"a": {"x": GONE}}}, {"t": {"a": {"y": 2}}}], "f2"),
        ([there, {"t": {"a": {"x": GONE}}}, {"t": {"a": {"x": 3}}}], "f3"), ([there, {"t": GONE}, {"t": {"a": {"y": 2}}}], "f3"),
        ([there, {"t": {"a": {"x": GONE}}}, {"t": {"kind": "z"}}], "f3"),
    ):  # fmt: skip
        assert laid(*layers).file_of("t.a.x", "else") == file, layers


def test_the_digest_covers_values_and_origins_and_no_order_of_keys() -> None:
    one, other = {"a": 1, "t": {"b": 2, "c": 3}}, {"t": {"c": 3, "b": 2}, "a": 1}
    digests = [digest_of("m", SINCE, found) for found in (laid(one), laid(other), laid({**one, "a": 2}), laid({}, one))]
    assert digests[0] == digests[1]
    assert len(set(digests)) == 3
    assert len({digest_of("m", SINCE, laid(one)), digest_of("n", SINCE, laid(one)), digest_of("m", date(2025, 1, 2), laid(one))}) == 3


def test_the_digest_by_hand() -> None:
    """SHA-256 over RFC 8785: keys sorted by UTF-16 code units, no white space, figures as plain text."""
    import hashlib
    from decimal import Decimal

    found = laid({"b": Decimal("1.50"), "a": True})
    origins = '{"a":["f1","2025-01-01"],"b":["f1","2025-01-01"]}'
    canonical = f'{{"member":"m","origins":{origins},"since":"2025-01-01","values":{{"a":true,"b":"1.5"}}}}'
    assert digest_of("m", SINCE, found) == hashlib.sha256(canonical.encode()).hexdigest()
