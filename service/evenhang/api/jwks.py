"""GET /.well-known/jwks.json: the public keys of offers (RFC 7517; the place by RFC 8615). Knows no offer."""

from msgspec import Struct

from evenhang.api.calls import Call, Operation
from evenhang.api.replies import JSON, Reply
from evenhang.sealing.keys import public_set

MEDIA_TYPE = "application/jwk-set+json"  # RFC 7517, section 8.5.2
# An hour: a new key is published before its day comes, and one that was taken away is believed no longer than this.
CACHING = "public, max-age=3600"


class OfferKey(Struct, frozen=True):
    """One public key, a JSON Web Key (RFC 7517, section 4; of Ed25519 by RFC 8037)."""

    kty: str
    crv: str
    x: str
    kid: str
    use: str
    alg: str


class OfferKeySet(Struct, frozen=True):
    """All public keys of offers, a JSON Web Key Set (RFC 7517, section 5), newest first; also those that sign later or no more."""

    keys: tuple[OfferKey, ...]


def offer_keys(call: Call) -> Reply:
    """All public keys, also of those that sign later or no more."""
    return Reply(public_set(call.seals), call.media_type)


JWKS = Operation(
    "readOfferKeys",
    "GET",
    "/.well-known/jwks.json",
    "Read the public keys of offers",
    "The keys with which anybody can tell, here or alone, whether an offer is genuine: keep them for the hour that the answer may be kept. "
    "Outside the versioned addresses (RFC 8615), and never held up by rates.",
    (OfferKeySet,),
    offer_keys,
    base="",
    media=(MEDIA_TYPE, JSON),
    cache=CACHING,
    limited=False,
)
