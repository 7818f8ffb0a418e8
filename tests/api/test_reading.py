"""Bytes to structs: the quick way never lets pass what the slow way refuses, and anything gets an answer or a refusal."""

import json
from typing import Any
from urllib.parse import urlencode

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from evenhang.api.checks import CheckRequest
from evenhang.api.price import PriceQuery
from evenhang.api.problems import Declined
from evenhang.api.quotes import QuoteRequest
from evenhang.api.reading import _no_constant, _plain, _unique, read_json, read_query

KEYS = st.sampled_from(["a", "b", ":a", "a:", "", '"', "\\", "ä", ",", "work", " "])
LEAVES = st.none() | st.booleans() | st.integers() | KEYS


@st.composite
def objects(draw: Any, inner: Any) -> str:
    """An object's text, in which a key may stand twice, with any space."""
    space = draw(st.sampled_from(["", " ", "\n\t"]))
    pairs = draw(st.lists(st.tuples(KEYS, inner), max_size=5))
    said = [f"{json.dumps(key, ensure_ascii=draw(st.booleans()))}{space}:{space}{value}" for key, value in pairs]
    return "{" + f"{space},{space}".join(said) + "}"


TEXTS = st.recursive(
    LEAVES.map(json.dumps),
    lambda inner: objects(inner) | st.lists(inner, max_size=4).map(lambda parts: "[" + ", ".join(parts) + "]"),
    max_leaves=20,
)


@given(TEXTS)
@example('{"a": {"b": 1, "b": 2}}')
@example('{"x":"y",":a":1,":a":2}')
def test_what_passes_quickly_says_no_key_of_the_contract_twice(text: str) -> None:
    """A key that begins with a colon may slip through the quick look; no field of a closed request does."""
    raw = text.encode()
    if _plain(raw):
        try:
            json.loads(raw, object_pairs_hook=_unique, parse_constant=_no_constant)
        except ValueError:
            assert ":a" in text


@given(st.binary(max_size=300) | TEXTS.map(str.encode))
def test_any_bytes_are_read_or_declined(raw: bytes) -> None:
    try:
        read_json(raw, QuoteRequest)
    except Declined as declined:
        told = declined.problem.status
    else:
        told = 200
    assert told in (200, 400)


@given(st.binary(max_size=200).filter(lambda raw: b"&" not in raw) | st.binary(max_size=200))
def test_any_query_is_read_or_declined(raw: bytes) -> None:
    try:
        read_query(raw, PriceQuery)
    except Declined as declined:
        told = declined.problem.status
    else:
        told = 200
    assert told in (200, 400)


AMOUNTS = st.decimals(0, 10**6, places=2).map(str)


@given(AMOUNTS, AMOUNTS, st.booleans(), st.lists(st.sampled_from(["gilded-edge", "signed"]), max_size=3))
def test_a_query_is_read_as_it_was_written(height: str, width: str, framed: bool, extra: list[str]) -> None:
    said = [("medium", "oil"), ("height", height), ("width", width), ("framed", str(framed).lower()), *(("extra", name) for name in extra)]
    read = read_query(urlencode(said).encode(), PriceQuery)
    assert read is not None
    assert (str(read.height), str(read.width), read.framed, list(read.extra)) == (height, width, framed, extra)


@pytest.mark.parametrize("raw", [b"", b"&", b"&&"])
def test_no_query_is_none(raw: bytes) -> None:
    assert read_query(raw, None) is None


def test_half_a_surrogate_pair_is_refused_on_the_second_look_as_well() -> None:
    """1.0 for a whole number leads to the second look; what it let pass could not be written into an answer."""
    work = b'{"id": "\\ud800", "price": {"amount": "1", "currency": "EUR"}, "medium": "oil", "extras": [{"name": "a", "quantity": %s}]}'
    for quantity in (b"1", b"1.0"):
        with pytest.raises(Declined, match="not JSON"):
            read_json(b'{"works": [%s]}' % (work % quantity), CheckRequest)
