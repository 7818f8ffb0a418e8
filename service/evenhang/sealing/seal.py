"""Seal an offer into a token and read it back: JWS compact (RFC 7515) with EdDSA over Ed25519 (RFC 8037).

Knows no rules and no day of today. A token is genuine only if this house would have written every byte of it.
"""

import json
from typing import Any

from msgspec import Struct

from evenhang.engine.offer import Offer
from evenhang.engine.refusals import Garbled, OutOfRange
from evenhang.sealing.content import read_content, write_content
from evenhang.sealing.keys import SealKey, Seals, to_bytes, to_text

ALGORITHM = "EdDSA"
KIND = "evenhang-offer"  # the header's typ (RFC 7515, section 4.1.9; RFC 8725, section 3.11): a signature made for another use is no offer
MOST_CHARACTERS = 2_953  # what the largest QR code holds in byte mode at level L (ISO/IEC 18004, version 40)


class Flaw(Struct, frozen=True):
    """Why a well-formed token is no offer of this house: a stable code, and a sentence for people."""

    code: str
    detail: str


def seal(offer: Offer, key: SealKey) -> str:
    """The token of `offer`, signed by `key`, which has a signer. OutOfRange, pointing at the work, if no QR code could hold it."""
    if key.signer is None:
        raise ValueError("a public key signs nothing")
    signed = f"{_header(key.kid)}.{to_text(write_content(offer))}"
    token = f"{signed}.{to_text(key.signer.sign(signed.encode()))}"
    if len(token) > MOST_CHARACTERS:
        detail = f"The sealed offer would have {len(token)} characters; the largest QR code holds {MOST_CHARACTERS}."
        raise OutOfRange(detail, "/work", "Shorten the title, or offer fewer panels or extras at once.")
    return token


def unseal(token: str, seals: Seals) -> Offer | Flaw:
    """What a genuine token says, or why it is not one. Garbled (pointing at the token) where it is no JWS compact at all."""
    if len(token) > MOST_CHARACTERS:
        raise Garbled(f"A token has at most {MOST_CHARACTERS} characters.")
    header, payload, signature = _parts(token)
    if flaw := _foreign(header, token, seals):
        return flaw
    if not _signed(seals.keys[header["kid"]], token.rpartition(".")[0], signature):
        return Flaw("wrong-signature", "The signature does not belong to these words: something was changed, or another key sealed them.")
    try:
        return read_content(payload)
    except ValueError:  # msgspec's own errors are of this kind
        return Flaw("unknown-version", "It was sealed with a key of this house, but in a version that this release cannot read.")


def _header(kid: str) -> str:
    """The one way in which this house writes the header; a kid is base64url, so nothing in it needs an escape."""
    return to_text(f'{{"alg":"{ALGORITHM}","kid":"{kid}","typ":"{KIND}"}}'.encode())


def _parts(token: str) -> tuple[dict[str, Any], bytes, bytes]:
    """Header, payload and signature, decoded (RFC 7515, section 7.1)."""
    parts = token.split(".")
    if len(parts) != 3:
        raise Garbled(f"A sealed offer has three parts with points between them; this has {len(parts)}.")
    try:
        header, payload, signature = (to_bytes(part) for part in parts)
        said = json.loads(header)
    except (ValueError, RecursionError) as error:
        raise Garbled(f"A part of the token cannot be read: {str(error)[:100]}.") from None
    if not isinstance(said, dict):
        raise Garbled("The token's header is no JSON object.")
    return said, payload, signature


def _foreign(header: dict[str, Any], token: str, seals: Seals) -> Flaw | None:
    """What in the header says that the token is not of this house; the algorithm is ours, never the token's choice (RFC 8725, 3.1)."""
    if header.get("alg") != ALGORITHM:
        return Flaw("other-algorithm", f"Offers are signed with {ALGORITHM} and with nothing else.")
    if header.get("typ") != KIND:
        return Flaw("other-type", f'The token does not say that it is an offer (typ "{KIND}").')
    kid = header.get("kid")
    if not isinstance(kid, str):
        return Flaw("no-key-named", "The token does not name the key that signed it (kid).")
    if kid not in seals.keys:
        return Flaw("unknown-key", "The token names a key that is not, or no longer, among the keys of this house.")
    if token.partition(".")[0] != _header(kid):  # crit, jwk, jku, b64, a member twice, another order, white space
        return Flaw("foreign-header", "The header is not written as this house writes it.")
    return None


def _signed(key: SealKey, words: str, signature: bytes) -> bool:
    from cryptography.exceptions import InvalidSignature

    try:
        key.verifier.verify(signature, words.encode())
    except InvalidSignature:
        return False
    return True
