"""GET /.well-known/jwks.json: the public keys of offers (RFC 7517; the place by RFC 8615). Knows no offer."""

from evenhang.api.calls import Call, Operation
from evenhang.api.replies import Reply
from evenhang.sealing.keys import public_set

MEDIA_TYPE = "application/jwk-set+json"  # RFC 7517, section 8.5.2
# An hour: a new key is published before its day comes, and one that was taken away is believed no longer than this.
CACHING = "public, max-age=3600"


def offer_keys(call: Call) -> Reply:
    """All public keys, also of those that sign later or no more."""
    return Reply(public_set(call.seals), MEDIA_TYPE)


JWKS = Operation(
    "offerKeys",
    "GET",
    "/.well-known/jwks.json",
    "",
    "",
    (Reply,),
    offer_keys,
    base="",
    media=(MEDIA_TYPE, "application/json"),
    cache=CACHING,
    limited=False,
)
