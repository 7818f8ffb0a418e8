"""Tokens: what is sealed is read back, and nothing that was changed, borrowed or made up passes."""

import hashlib
import hmac
import json
import re
from collections.abc import Callable
from pathlib import Path

import msgspec
import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from hypothesis import example, given
from hypothesis import strategies as st
from joserfc import jws
from joserfc.jwk import ECKey, OctKey, RSAKey
from tests.sealing.cases import KEY, OFFER, ON, SEALS, TOKEN, offers

from evenhang.engine.offer import Offer, OfferedWork
from evenhang.engine.refusals import Garbled, OutOfRange
from evenhang.sealing.content import VERSION, read_content, write_content
from evenhang.sealing.keys import Seals, load_seals, to_bytes, to_text, write_new_key
from evenhang.sealing.seal import MOST_CHARACTERS, Flaw, seal, unseal

HEAD, PAYLOAD, SIGNATURE = TOKEN.split(".")
OURS = {"alg": "EdDSA", "kid": KEY.kid, "typ": "evenhang-offer"}


def code_of(token: str, seals: Seals = SEALS) -> str:
    """The flaw's code, "garbled" where it is no token, "genuine" where it passes."""
    try:
        found = unseal(token, seals)
    except Garbled:
        return "garbled"
    return found.code if isinstance(found, Flaw) else "genuine"


def headed(header: dict | str, payload: str = PAYLOAD, signer: Ed25519PrivateKey | None = KEY.signer) -> str:
    """A token with that header, rightly signed by `signer`."""
    text = header if isinstance(header, str) else json.dumps(header, separators=(",", ":"))
    signed = f"{to_text(text.encode())}.{payload}"
    assert signer
    return f"{signed}.{to_text(signer.sign(signed.encode()))}"


def test_sealed_and_read_back() -> None:
    assert unseal(TOKEN, SEALS) == OFFER
    assert json.loads(to_bytes(HEAD)) == OURS
    assert headed(OURS) == TOKEN


@given(offers)
def test_reading_is_the_inverse_of_sealing(offer: Offer) -> None:
    assert read_content(write_content(offer)) == offer
    assert unseal(seal(offer, KEY), SEALS) == offer


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("940.00 EUR", "NaN EUR"), ("940.00 EUR", "1e999999 EUR"), ("940.00 EUR", "940.0 EUR"), ("940.00 EUR", "0940.00 EUR"),
        ("940.00 EUR", "940.00 ZZZ"), ('["60 x 80 cm"]', '["abc x 5 cm"]'), ('["60 x 80 cm"]', '["nan x 5 cm"]'),
        ('["60 x 80 cm"]', '["-1 x 5 cm"]'),
        ('["60 x 80 cm"]', '["1e99 x 1e99 cm"]'), ("2026-05-31", "20260531"), ('"price"', '"price":"1.00 EUR","price"'), ('{"v"', '{ "v"'),
        ('"included 85.45"', '"included 85.450"'),
    ],
)  # fmt: skip
def test_what_this_house_would_not_have_written_is_not_genuine_whoever_signed_it(old: str, new: str) -> None:
    """The demo's key is printed in a standard: everybody can sign with it."""
    said = to_bytes(PAYLOAD).decode()
    assert said.count(old) == 1
    assert code_of(headed(OURS, to_text(said.replace(old, new).encode()))) == "unknown-version"


@given(st.integers(0, len(TOKEN) - 1), st.integers(0, 7))
@example(len(TOKEN) - 1, 0)  # the last letter has four bits to spare
@example(len(HEAD) - 1, 0)
@example(len(HEAD) + len(PAYLOAD), 1)
def test_any_bit_flipped_is_refused(at: int, bit: int) -> None:
    raw = bytearray(TOKEN.encode())
    raw[at] ^= 1 << bit
    assert code_of(raw.decode("latin-1")) != "genuine"


def test_every_letter_replaced_by_its_neighbour_is_refused() -> None:
    """All of them, not a sample: also those letters whose last bits carry nothing."""
    letters = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_"
    for at, letter in enumerate(TOKEN):
        if letter != ".":
            changed = letters[letters.index(letter) ^ 1]
            assert code_of(TOKEN[:at] + changed + TOKEN[at + 1 :]) != "genuine", at


@given(st.text(max_size=300) | st.binary(max_size=300).map(to_text))
def test_any_text_gets_an_answer(text: str) -> None:
    assert code_of(text) != "genuine"
    assert code_of(f"{text}.{PAYLOAD}.{SIGNATURE}") != "genuine"
    assert code_of(f"{HEAD}.{text}.{SIGNATURE}") != "genuine"
    assert code_of(f"{HEAD}.{PAYLOAD}.{text}") != "genuine"


HEADERS: dict[str, tuple[dict | str, str]] = {
    "no algorithm": ({"kid": KEY.kid, "typ": "evenhang-offer"}, "other-algorithm"),
    "none": ({**OURS, "alg": "none"}, "other-algorithm"),
    "None": ({**OURS, "alg": "None"}, "other-algorithm"),
    "eddsa": ({**OURS, "alg": "eddsa"}, "other-algorithm"),
    "a list of algorithms": ({**OURS, "alg": ["EdDSA"]}, "other-algorithm"),
    "the newer name": ({**OURS, "alg": "Ed25519"}, "other-algorithm"),
    "no kid": ({"alg": "EdDSA", "typ": "evenhang-offer"}, "no-key-named"),
    "kid is a number": ({**OURS, "kid": 1}, "no-key-named"),
    "kid is null": ({**OURS, "kid": None}, "no-key-named"),
    "unknown kid": ({**OURS, "kid": "A" * 43}, "unknown-key"),
    "kid is a path": ({**OURS, "kid": "../../demo"}, "unknown-key"),
    "no typ": ({"alg": "EdDSA", "kid": KEY.kid}, "other-type"),
    "typ of a login": ({**OURS, "typ": "JWT"}, "other-type"),
    "crit": ({**OURS, "crit": ["exp"], "exp": 1}, "foreign-header"),
    "crit alone": ({**OURS, "crit": []}, "foreign-header"),
    "b64": ({**OURS, "b64": False, "crit": ["b64"]}, "foreign-header"),  # RFC 7797
    "a key of its own": ({**OURS, "jwk": {"kty": "OKP"}}, "foreign-header"),
    "an address of keys": ({**OURS, "jku": "https://keys.example/jwks.json"}, "foreign-header"),
    "another order": ({"typ": "evenhang-offer", "alg": "EdDSA", "kid": KEY.kid}, "foreign-header"),
    "white space": (json.dumps(OURS), "foreign-header"),
    "said twice": (f'{{"alg":"none","alg":"EdDSA","kid":"{KEY.kid}","typ":"evenhang-offer"}}', "foreign-header"),
    "unicode escape": (f'{{"alg":"EdDS\\u0041","kid":"{KEY.kid}","typ":"evenhang-offer"}}', "foreign-header"),
    "nested": ("[" * 1_500, "garbled"),
    "a list": ("[]", "garbled"),
    "no JSON": ("offer", "garbled"),
}


@pytest.mark.parametrize("name", HEADERS)
def test_headers_that_are_not_ours_though_rightly_signed(name: str) -> None:
    header, code = HEADERS[name]
    assert code_of(headed(header)) == code


def other_algorithm(alg: str) -> str:
    """The offer's words under another algorithm: HS256 with the public key as its secret, and honest RSA and EC keys."""
    header = {**OURS, "alg": alg}
    if alg == "HS256":
        signed = f"{to_text(json.dumps(header).encode())}.{PAYLOAD}"
        mac = hmac.new(KEY.verifier.public_bytes_raw(), signed.encode(), hashlib.sha256).digest()
        secret = OctKey.import_key(KEY.verifier.public_bytes_raw())
        assert jws.deserialize_compact(f"{signed}.{to_text(mac)}", secret, algorithms=["HS256"])  # it is a right HS256 token
        return f"{signed}.{to_text(mac)}"
    key = RSAKey.generate_key(2048) if alg == "RS256" else ECKey.generate_key("P-256")
    return jws.serialize_compact(header, to_bytes(PAYLOAD), key, algorithms=[alg])


@pytest.mark.parametrize("alg", ["HS256", "RS256", "ES256"])
def test_other_algorithms_are_refused(alg: str) -> None:
    assert code_of(other_algorithm(alg)) == "other-algorithm"


def test_an_unsigned_token_is_refused() -> None:
    head = to_text(json.dumps({**OURS, "alg": "none"}).encode())
    assert code_of(f"{head}.{PAYLOAD}.") == "other-algorithm"
    assert code_of(f"{HEAD}.{PAYLOAD}.") == "wrong-signature"


def test_another_key_that_borrows_the_kid_is_refused() -> None:
    assert code_of(headed(OURS, signer=Ed25519PrivateKey.generate())) == "wrong-signature"


def test_a_changed_price_is_refused() -> None:
    cheaper = to_text(to_bytes(PAYLOAD).replace(b"940.00", b"490.00"))
    assert cheaper != PAYLOAD
    assert code_of(f"{HEAD}.{cheaper}.{SIGNATURE}") == "wrong-signature"


def test_a_signature_with_its_scalar_raised_by_the_order_is_refused() -> None:
    """RFC 8032, section 5.1.7: S must lie below L, or one token would have two forms."""
    order = 2**252 + 27742317777372353535851937790883648493
    raw = to_bytes(SIGNATURE)
    raised = (int.from_bytes(raw[32:], "little") + order).to_bytes(32, "little")
    assert code_of(f"{HEAD}.{PAYLOAD}.{to_text(raw[:32] + raised)}") == "wrong-signature"


SHAPES: dict[str, Callable[[str], str]] = {
    "nothing": lambda t: "",
    "two parts": lambda t: t.rpartition(".")[0],
    "four parts": lambda t: t + ".AAAA",
    "five parts, as if encrypted": lambda t: t + ".AAAA.AAAA",
    "points alone": lambda t: "..",
    "padded": lambda t: t + "==",
    "padded inside": lambda t: t.replace(".", "=.", 1),
    "a new line at its end": lambda t: t + "\n",
    "a blank before it": lambda t: " " + t,
    "plain base64": lambda t: t + "+/",
    "full-width letters": lambda t: "ｅ" + t[1:],
    "a point of another script": lambda t: t.replace(".", "。"),
    "a soft hyphen": lambda t: t[:9] + "\u00ad" + t[9:],
    "a nought byte": lambda t: t[:9] + "\0" + t[9:],
    "huge": lambda t: t + "A" * 3_000,
    "huge and pointed": lambda t: "." * 3_000,
}


@pytest.mark.parametrize("name", SHAPES)
def test_what_is_no_token_is_garbled(name: str) -> None:
    with pytest.raises(Garbled) as caught:
        unseal(SHAPES[name](TOKEN), SEALS)
    assert len(caught.value.detail) < 200


def test_a_genuine_token_of_another_version_says_so() -> None:
    said = json.loads(to_bytes(PAYLOAD))
    for changed in ({**said, "v": VERSION + 1}, {**said, "price": "940.00"}, {"v": 1}, []):
        assert code_of(headed(OURS, to_text(json.dumps(changed).encode()))) == "unknown-version"
    assert code_of(headed(OURS, to_text(json.dumps({**said, "more": 1}).encode()))) == "unknown-version"


def test_no_keys_know_no_token(tmp_path: Path) -> None:
    assert code_of(TOKEN, Seals()) == "unknown-key"
    write_new_key(tmp_path, ON)
    assert code_of(TOKEN, load_seals(tmp_path)) == "unknown-key"


def test_a_token_that_no_qr_code_holds_is_not_sealed() -> None:
    titled = msgspec.structs.replace(OFFER, work=OfferedWork("gouache", "\N{HEAVY CHECK MARK}" * 700))
    with pytest.raises(OutOfRange) as caught:
        seal(titled, KEY)
    assert caught.value.pointer == "/work"
    assert re.search(f"has|holds {MOST_CHARACTERS}", caught.value.detail)
