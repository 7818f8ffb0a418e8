"""Which kind of answer is chosen, by the worked examples of the standard and by pencil."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenhang.api.negotiation import choose, is_same, weights

GUIDE = ("application/json", "text/csv", "text/html", "image/svg+xml", "application/ld+json")


@pytest.mark.parametrize(
    ("accept", "media"),
    [
        (None, "application/json"), ("", "application/json"),
        ("*/*", "application/json"), ("text/*", "text/csv"), ("text/html", "text/html"),
        # What browsers send: HTML before the rest.
        ("text/html,application/xhtml+xml,application/xml;q=0.9,*/*;q=0.8", "text/html"),
        ("text/csv;q=0.5, text/html;q=0.4", "text/csv"), ("text/csv;q=0, text/*", "text/html"), ("*/*, application/json;q=0", "text/csv"),
        ("text/*;q=0.3, text/html;q=0.7, */*;q=0.5", "text/html"), ("application/pdf", None), ("text/html;q=0", None),
        ("TEXT/HTML", "text/html"), ("text/html ; q=1.0", "text/html"), ("text/html;level=1", "text/html"),
        ("application/ld+json;profile=\"x\"", "application/ld+json"), ("text/html;q=1.5", None), ("text/html;q=-1", None),
        (";q=1", "application/json"), ("text/html;q=0.0001", None), ("text/html;q=", None), ("image/svg+xml, */*;q=0.1", "image/svg+xml"),
    ],
)  # fmt: skip
def test_choice(accept: str | None, media: str | None) -> None:
    assert choose(accept, GUIDE) == media


def test_the_standards_own_example() -> None:
    """RFC 9110, section 12.5.1: text/*;q=0.3, text/plain;q=0.7, text/plain;format=flowed, text/plain;format=fixed;q=0.4, */*;q=0.5,
    of which text/html gets 0.3 and image/jpeg 0.5 (parameters of a type are not told apart here)."""
    said = weights("text/*;q=0.3, text/plain;q=0.7, */*;q=0.5")
    assert (said["text/*"], said["text/plain"], said["*/*"]) == (0.3, 0.7, 0.5)
    assert choose("text/*;q=0.3, text/plain;q=0.7, */*;q=0.5", ("text/html", "image/jpeg")) == "image/jpeg"
    assert choose("text/*;q=0.3, text/plain;q=0.7, */*;q=0.5", ("text/html", "image/jpeg", "text/plain")) == "text/plain"


@given(st.text(max_size=200))
def test_anything_gets_a_choice_or_none(accept: str) -> None:
    assert choose(accept, GUIDE) in {*GUIDE, None}


@given(st.permutations(["text/csv;q=0.9", "text/html;q=0.8", "*/*;q=0.1", "application/json;q=0"]))
def test_order_in_the_header_is_no_matter(parts: list[str]) -> None:
    assert choose(", ".join(parts), GUIDE) == "text/csv"


@pytest.mark.parametrize(
    ("header", "same"),
    [
        (None, False), ('"a"', True), ('W/"a"', True), ("*", True), (" * ", True), ('"b", "a"', True), ('"b"', False), ("a", False),
        ('"a', False), ("", False),
    ],
)  # fmt: skip
def test_the_callers_copy(header: str | None, same: bool) -> None:
    assert is_same(header, '"a"') is same
