"""Keys: what each reaches, what it may not see, and a key file that does not hold together."""

import hashlib
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from datetime import date
from pathlib import Path
from typing import Any

import httpx
import pytest
from litestar import Litestar

from evenhang.api.access import BadKeys, Key, Keyring, load_keys, new_key
from evenhang.api.operations import OPERATIONS
from evenhang.app import create_app
from evenhang.rulebook.book import RuleBook

DAY = date(2026, 5, 1)
WORK = {"work": {"medium": "oil", "format": "30f"}}
QUOTES, CHECKS = "/v1/members/alder-lane/quotes", "/v1/members/alder-lane/checks"


def row(token: str, name: str, *scopes: Any, **more: Any) -> Key:
    return Key(name, hashlib.sha256(token.encode()).hexdigest(), scopes, **more)


KEYS = Keyring(
    [
        row("desk-key", "desk", "desk", members=("alder-lane",)),
        row("books-key", "books", "books", members=("alder-lane",)),
        row("other-key", "other", "books", members=("muddlefern",)),
        row("steward-key", "steward", "steward"),
        row("all-key", "all", "desk", "books", "steward", members="all"),
        row("old-key", "old", "books", members="all", valid_until=DAY),
        row("new-key", "new", "books", members="all", valid_until=date(2026, 5, 2)),
    ]
)


@pytest.fixture(scope="module")
def keyed(book: RuleBook, serve: Callable[[Litestar], AbstractContextManager[str]]) -> Iterator[httpx.Client]:
    with serve(create_app(book, lambda: DAY, keys=KEYS)) as address, httpx.Client(base_url=address, trust_env=False) as client:
        yield client


def bearer(key: str | None) -> dict[str, str]:
    return {"Authorization": f"Bearer {key}-key"} if key else {}


@pytest.mark.parametrize(
    ("key", "path", "asked", "status"),
    [
        (None, QUOTES, WORK, 401), ("desk", QUOTES, WORK, 200), ("books", QUOTES, WORK, 200), ("all", QUOTES, WORK, 200),
        ("steward", QUOTES, WORK, 403), ("other", QUOTES, WORK, 404), ("nobody", QUOTES, WORK, 401), ("old", QUOTES, WORK, 401),
        ("new", QUOTES, WORK, 200), (None, CHECKS, {"works": []}, 401), ("desk", CHECKS, {"works": []}, 403),
        ("books", CHECKS, {"works": []}, 200), ("other", CHECKS, {"works": []}, 404),
        ("desk", QUOTES, {**WORK, "view": "member"}, 403), ("books", QUOTES, {**WORK, "view": "member"}, 200),
        ("other", QUOTES, {**WORK, "view": "member"}, 404),
    ],
)  # fmt: skip
def test_what_a_key_reaches(keyed: httpx.Client, key: str | None, path: str, asked: Any, status: int) -> None:
    answer = keyed.post(path, json=asked, headers=bearer(key))
    assert answer.status_code == status
    if status in (401, 403):
        assert answer.headers["www-authenticate"].startswith('Bearer realm="evenhang"')
        assert answer.headers["content-type"] == "application/problem+json"


def test_the_view_is_pointed_at(keyed: httpx.Client) -> None:
    answer = keyed.post(QUOTES, json={**WORK, "view": "member"}, headers=bearer("desk"))
    assert answer.json()["errors"][0]["pointer"] == "#/view"
    assert 'error="insufficient_scope", scope="books"' in answer.headers["www-authenticate"]


def test_a_member_out_of_sight_looks_like_none(keyed: httpx.Client) -> None:
    hidden, none = (keyed.post(f"/v1/members/{name}/quotes", json=WORK, headers=bearer("books")) for name in ("muddlefern", "nobody"))
    assert (hidden.status_code, hidden.content) == (none.status_code, none.content) == (404, none.content)


@pytest.mark.parametrize("path", ["/v1/members", "/v1/members/muddlefern/price?medium=stoneware", "/openapi.json", "/health/ready"])
def test_what_is_public_needs_no_key(keyed: httpx.Client, path: str) -> None:
    assert keyed.get(path).status_code in (200, 422)
    assert keyed.get(path, headers=bearer("desk")).status_code in (200, 422)
    assert keyed.get(path, headers=bearer("mistyped")).status_code == 401


@pytest.mark.parametrize("said", ["", "Bearer", "Basic YTpi", "books-key", "Bearer books-key x", "Bearer " + "x" * 201, "Bearer b\xfcoks"])
def test_what_is_no_key(keyed: httpx.Client, said: str) -> None:
    answer = keyed.post(QUOTES, json=WORK, headers={"Authorization": said.encode("latin-1")})
    assert answer.status_code == 401
    assert 'error="invalid_token"' in answer.headers["www-authenticate"]


def test_bearer_is_no_matter_of_case(keyed: httpx.Client) -> None:
    """RFC 9110, section 11.1: schemes are case-insensitive."""
    assert keyed.post(QUOTES, json=WORK, headers={"Authorization": "bearer books-key"}).status_code == 200


def test_a_key_is_looked_at_before_a_body_is_read(keyed: httpx.Client) -> None:
    assert keyed.post(QUOTES, content=b"x" * 9_000_000, headers={"Content-Type": "application/json"}).status_code == 401


def test_every_operation_is_public_or_needs_its_scope(keyed: httpx.Client) -> None:
    """No row can be reached without a key by mistake."""
    for op in OPERATIONS:
        path = op.base + op.path.replace("{member}", "alder-lane").replace("{digest}", "0" * 64)
        answer = keyed.request(op.method, path)
        assert (answer.status_code == 401) is (op.scope != "public"), op.id


def written(tmp_path: Path, text: str) -> Path:
    file = tmp_path / "keys.toml"
    file.write_text(text)
    return file


def test_a_new_key_opens_and_only_its_digest_is_kept(tmp_path: Path) -> None:
    token, key = new_key("till", ("desk",), ("alder-lane",))
    text = f'[[keys]]\nname = "till"\nsha256 = "{key.sha256}"\nscopes = ["desk"]\nmembers = ["alder-lane"]\n'
    ring = load_keys(written(tmp_path, text))
    found = ring.find(token, DAY)
    assert found is not None
    assert found.may("desk")
    assert not found.may("books")
    assert found.sees("alder-lane")
    assert not found.sees("muddlefern")
    assert token not in repr(ring.keys)
    assert ring.find(token + "x", DAY) is None


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "keys"), ("keys = []", "no key"), ("[[keys]]\nname = 'a'", "sha256"), ("[[keys", "Expected"),
        ("[[keys]]\nname='a'\nsha256='00'\nscopes=['desk']", "sha256"), ("[[keys]]\nname='a'\nsha256='A'\nscopes=['desk']\nkey='x'", "key"),
        (f"[[keys]]\nname='a'\nsha256='{'0' * 64}'\nscopes=['till']\nmembers='all'", "scopes"),
        (f"[[keys]]\nname='a'\nsha256='{'0' * 64}'\nscopes=[]", "scopes"),
        (f"[[keys]]\nname='a'\nsha256='{'0' * 64}'\nscopes=['desk']", "keys[0].members"),
        (f"[[keys]]\nname='a'\nsha256='{'0' * 64}'\nscopes=['desk']\nmembers='everyone'", "members"),
        (f"[[keys]]\nname='a'\nsha256='{'0' * 64}'\nscopes=['steward']\n" * 2, "keys[1].name"),
    ],
)  # fmt: skip
def test_a_key_file_that_does_not_hold_together(tmp_path: Path, text: str, words: str) -> None:
    with pytest.raises(BadKeys) as bad:
        load_keys(written(tmp_path, text))
    assert words in str(bad.value)
    assert "keys.toml" in str(bad.value)


def test_no_key_file_at_all(tmp_path: Path) -> None:
    with pytest.raises(BadKeys):
        load_keys(tmp_path / "none.toml")
