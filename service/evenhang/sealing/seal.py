"""Seal an offer into a token and read it back: JWS compact (RFC 7515) with EdDSA over Ed25519 (RFC 8037).

Knows no rules and no day of today. A token is genuine only if this house would have written every byte of it.
"""

import json
from typing import Any

from msgspec import Struct

from evenhang.engine.offer import Offer
from evenhang.engine.refusals import Garbled, OutOfRange
from evenhang.engine.saying import say
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
        detail = say("The sealed offer would have {n} characters; the largest QR code holds {most}.", n=len(token), most=MOST_CHARACTERS)
        raise OutOfRange(detail, "/work", say("Shorten the title, or offer fewer panels or extras at once."))
    return token


def unseal(token: str, seals: Seals) -> Offer | Flaw:
    """What a genuine token says, or why it is not one. Garbled (pointing at the token) where it is no JWS compact at all."""
    if len(token) > MOST_CHARACTERS:
        raise Garbled(say("A token has at most {n} characters.", n=MOST_CHARACTERS))
    header, payload, signature = _parts(token)
    if flaw := _foreign(header, token, seals):
        return flaw
    if not _signed(seals.keys[header["kid"]], token.rpartition(".")[0], signature):
        detail = say("The signature does not belong to these words: something was changed, or another key sealed them.")
        return Flaw("wrong-signature", detail)
    try:
        return read_content(payload)
    except ValueError:  # msgspec's own errors are of this kind
        detail = say("It was sealed with a key of this house, but in a version that this release cannot read.")
        return Flaw("unknown-version", detail)


def _header(kid: str) -> str:
    """The one way in which this house writes the header; a kid is base64url, so nothing in it needs an escape."""
    return to_text(f'{{"alg":"{ALGORITHM}","kid":"{kid}","typ":"{KIND}"}}'.encode())


def _parts(token: str) -> tuple[dict[str, Any], bytes, bytes]:
    """Header, payload and signature, decoded (RFC 7515, section 7.1)."""
    parts = token.split(".")
    if len(parts) != 3:
        raise Garbled(say("A sealed offer has three parts with points between them; this has {n}.", n=len(parts)))
    try:
        header, payload, signature = (to_bytes(part) for part in parts)
        said = json.loads(header)
    except (ValueError, RecursionError):
        raise Garbled(say("A part of the token is no base64url text, or its header no JSON.")) from None
    if not isinstance(said, dict):
        raise Garbled(say("The token's header is no JSON object."))
    return said, payload, signature


def _foreign(header: dict[str, Any], token: str, seals: Seals) -> Flaw | None:
    """What in the header says that the token is not of this house; the algorithm is ours, never the token's choice (RFC 8725, 3.1)."""
    if header.get("alg") != ALGORITHM:
        return Flaw("other-algorithm", say("Offers are signed with {algorithm} and with nothing else.", algorithm=ALGORITHM))
    if header.get("typ") != KIND:
        return Flaw("other-type", say('The token does not say that it is an offer (typ "{kind}").', kind=KIND))
    kid = header.get("kid")
    if not isinstance(kid, str):
        return Flaw("no-key-named", say("The token does not name the key that signed it (kid)."))
    if kid not in seals.keys:
        return Flaw("unknown-key", say("The token names a key that is not, or no longer, among the keys of this house."))
    if token.partition(".")[0] != _header(kid):  # crit, jwk, jku, b64, a member twice, another order, white space
        return Flaw("foreign-header", say("The header is not written as this house writes it."))
    return None


def _signed(key: SealKey, words: str, signature: bytes) -> bool:
    from cryptography.exceptions import InvalidSignature

    try:
        key.verifier.verify(signature, words.encode())
    except InvalidSignature:
        return False
    return True
