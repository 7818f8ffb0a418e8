"""Smaller answers: the same bytes once unpacked, a tag for each coding, and q=0 taken at its word."""

import gzip

import brotli
import httpx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenhang.api.codings import choose_coding, compressed
from evenhang.api.replies import etag_of


@pytest.mark.parametrize(
    ("header", "coding"),
    [
        (None, ""), ("", ""), ("gzip", "gzip"), ("br", "br"), ("gzip, br", "br"), ("gzip, br;q=0.5", "gzip"), ("br;q=0, gzip;q=0", ""),
        ("br;q=0, *", "gzip"), ("*", "br"), ("*;q=0", ""), ("identity", ""), ("identity;q=0.5, gzip;q=0.4", ""), ("deflate, zstd", ""),
        ("gzip;q=0.4, *;q=0", "gzip"), ("GZIP", "gzip"),
    ],
)  # fmt: skip
def test_choice(header: str | None, coding: str) -> None:
    assert choose_coding(header) == coding


@given(st.binary(max_size=5_000))
def test_nothing_is_lost(body: bytes) -> None:
    assert gzip.decompress(compressed(body, "gzip")) == brotli.decompress(compressed(body, "br")) == body
    assert compressed(body, "gzip") == compressed(body, "gzip")


def test_each_coding_is_a_copy_of_its_own(client: httpx.Client) -> None:
    answers = {coding: client.get("/openapi.json", headers={"Accept-Encoding": coding or "identity"}) for coding in ("", "gzip", "br")}
    assert len({answer.content for answer in answers.values()}) == 1
    assert len({answer.headers["etag"] for answer in answers.values()}) == 3
    for coding, answer in answers.items():
        assert answer.headers.get("content-encoding", "") == coding
        assert answer.headers["vary"] == "Accept-Encoding"
        held = {"Accept-Encoding": coding or "identity", "If-None-Match": answer.headers["etag"]}
        again = client.get("/openapi.json", headers=held)
        assert (again.status_code, again.headers["vary"]) == (304, "Accept-Encoding")
    other = {"Accept-Encoding": "br", "If-None-Match": answers["gzip"].headers["etag"]}
    assert client.get("/openapi.json", headers=other).status_code == 200


def test_a_tag_is_that_of_one_coding_and_one_language() -> None:
    tags = {etag_of(b"{}", coding, language) for coding in ("", "gzip", "br") for language in ("", "en", "de")}
    assert len(tags) == 9


def test_small_answers_stay_as_they_are(client: httpx.Client) -> None:
    answer = client.get("/health/live", headers={"Accept-Encoding": "br"})
    assert "content-encoding" not in answer.headers
    assert answer.headers["vary"] == "Accept-Language"
