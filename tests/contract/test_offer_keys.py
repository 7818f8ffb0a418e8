"""The keys of offers as callers meet them: the public set, replicas and rotation, a house without keys, a shop that verifies alone."""

import base64
import subprocess
import sys
from datetime import date
from pathlib import Path
from typing import Any

import httpx
from litestar.testing import TestClient
from tests.contract.test_offers import MAY, OFFERS, WORK, changed, sealed, verified

from evenhang.api.contract import contract
from evenhang.app import create_app
from evenhang.demo import OFFER_KEY
from evenhang.rulebook.book import RuleBook
from evenhang.sealing.keys import Seals, load_seals, write_new_key

SCRIPT = Path(__file__).parents[2] / "demo_clients" / "verify_offer.py"


def test_the_keys_are_public_and_cacheable(client: httpx.Client) -> None:
    first = client.get("/.well-known/jwks.json")
    assert (first.status_code, first.headers["content-type"]) == (200, "application/jwk-set+json")
    assert "public" in first.headers["cache-control"]
    assert set(first.json()["keys"][0]) == {"kty", "crv", "x", "kid", "use", "alg"}
    for asked in (first.headers["etag"], f'"other", W/{first.headers["etag"]}', "*"):
        again = client.get("/.well-known/jwks.json", headers={"If-None-Match": asked})
        assert (again.status_code, again.content, again.headers["etag"]) == (304, b"", first.headers["etag"])
    assert client.get("/.well-known/jwks.json", headers={"If-None-Match": '"other"'}).status_code == 200
    assert client.head("/.well-known/jwks.json").status_code == 200


def test_the_contract_tells_of_the_keys(client: httpx.Client) -> None:
    """Outside the version and its rates, under its own name and under JSON's, each as it is asked for."""
    path = contract()["paths"]["/.well-known/jwks.json"]
    assert path["servers"][0]["url"] == "/"
    content = path["get"]["responses"]["200"]["content"]
    assert set(content) == {"application/jwk-set+json", "application/json"}
    assert "429" not in path["get"]["responses"]
    for kind, shown in content.items():
        answer = client.get("/.well-known/jwks.json", headers={"Accept": kind})
        assert (answer.headers["content-type"], answer.headers["cache-control"]) == (kind, "public, max-age=3600")
        assert [answer.json()] == [example["value"] for example in shown["examples"].values()]
    fields = contract()["components"]["schemas"]["OfferKey"]["required"]
    assert list(answer.json()["keys"][0]) == fields


def app(book: RuleBook, seals: Seals) -> TestClient[Any]:
    return TestClient(create_app(book, lambda: date(2026, 5, 1), seals=seals), raise_server_exceptions=False)


def test_replicas_with_the_same_keys_and_after_a_rotation(book: RuleBook, tmp_path: Path) -> None:
    old, _ = write_new_key(tmp_path, date(2026, 1, 1))
    with app(book, load_seals(tmp_path)) as one, app(book, load_seals(tmp_path)) as two:
        answers = [sealed(replica) for replica in (one, two)]
        assert answers[0] == answers[1]
        assert answers[0]["note"] == ""
        assert verified(two, answers[0]["token"]) == verified(one, answers[1]["token"])
    write_new_key(tmp_path, date(2026, 5, 2))
    with app(book, load_seals(tmp_path)) as rotated:
        assert verified(rotated, answers[0]["token"])["standing"]
        assert sealed(rotated)["token"] == answers[0]["token"], "the day before its day the new key does not seal"
        assert sealed(rotated, "2026-05-02")["token"].split(".")[0] != answers[0]["token"].split(".")[0]
        assert len(rotated.get("/.well-known/jwks.json").json()["keys"]) == 2
    old.unlink()
    with app(book, load_seals(tmp_path)) as bereft:
        assert verified(bereft, answers[0]["token"])["reason"]["code"] == "unknown-key"


def test_a_house_without_keys(book: RuleBook, client: httpx.Client) -> None:
    token = sealed(client)["token"]
    with app(book, Seals()) as bare:
        answer = bare.post(OFFERS, json={"work": WORK, "as_of": MAY})
        assert (answer.status_code, answer.json()["type"]) == (409, "/problems/no-offer-key")
        assert bare.get("/.well-known/jwks.json").json() == {"keys": []}
        assert verified(bare, token)["reason"]["code"] == "unknown-key"


def test_a_member_that_is_gone(book: RuleBook, client: httpx.Client) -> None:
    token = sealed(client)["token"]
    left = RuleBook({name: sets for name, sets in book.segments.items() if name != "alder-lane"})
    with app(left, load_seals(OFFER_KEY, demo=True)) as smaller:
        said = verified(smaller, token)
    assert (said["standing"], said["price_now"], said["rules_moved"]) == (True, None, None)
    assert said["price_now_reason"]["code"] == "unknown-name"


def alone(keys: Path, token: str, day: str) -> tuple[int, str]:
    run = subprocess.run([sys.executable, SCRIPT, keys, token, day], capture_output=True, text=True, check=False, timeout=60)
    return run.returncode, run.stdout + run.stderr


def test_a_shop_verifies_alone(client: httpx.Client, tmp_path: Path) -> None:
    keys = tmp_path / "jwks.json"
    keys.write_bytes(client.get("/.well-known/jwks.json").content)
    token = sealed(client)["token"]
    status, said = alone(keys, token, "2026-05-31")
    assert (status, "940.00 EUR" in said, "it stands" in said, "licensed adviser" in said) == (0, True, True, True), said
    assert "lantern-fair 151000 JPY" in said
    assert [alone(keys, token, day)[0] for day in ("2026-04-30", "2026-06-01")] == [1, 1]
    head, payload, _ = token.split(".")
    none = base64.urlsafe_b64encode(b'{"alg":"none"}').rstrip(b"=").decode()
    for bad in (
        changed(token, b"940.00", b"490.00"),
        token[:-1] + chr(ord(token[-1]) ^ 1),
        token + "=",
        f"{none}.{payload}.",
        "x",
        f"{head}.{payload}",
    ):
        status, said = alone(keys, bad, MAY)
        assert (status, said.startswith("Not genuine: ")) == (2, True), (bad, said)
    keys.write_text('{"keys": []}')
    assert alone(keys, token, MAY)[0] == 2


def test_what_cannot_be_used_to_verify_is_no_answer(client: httpx.Client, tmp_path: Path) -> None:
    """Neither genuine nor not: an exit status of its own, and one line that says what to mend."""
    good = client.get("/.well-known/jwks.json").content
    keys = tmp_path / "jwks.json"
    keys.write_bytes(good)
    token = sealed(client)["token"]
    for day in ("tomorrow", "20260531", "2026-W22-7", "2026-02-30"):
        assert alone(keys, token, day) == (3, f'No answer: "{day}" is no day: write it like 2026-05-31.\n')
    assert alone(tmp_path / "gone", token, "2026-05-31") == (
        3,
        f"No answer: {tmp_path / 'gone'} cannot be read: No such file or directory.\n",
    )
    for text, words in (
        (b"<html>", "is no JSON"),
        (b"[" * 100_000, "is no JSON"),
        (b"[]", "holds no keys"),
        (b'{"keys": [1]}', "holds no keys"),
    ):
        keys.write_bytes(text)
        status, said = alone(keys, token, "2026-05-31")
        assert (status, words in said, said.count("\n")) == (3, True, 1), said
    keys.write_bytes(good.replace(b'"x"', b'"y"'))
    assert alone(keys, token, "2026-05-31")[0] == 3
    keys.write_bytes(b'{"keys": [{"kty": "RSA"}]}')
    assert alone(keys, token, "2026-05-31")[0] == 2
