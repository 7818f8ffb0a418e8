"""What the fields of standing offers mean."""

from typing import Any

from evenhang.engine.offer import MOST_DAYS

FIELDS = {
    "covers": "The charged items in the price that the public may see named, such as a frame; never their amounts.",
    "genuine": "Whether a key of this house sealed exactly this token.",
    "issued_on": "The day on which the offer was issued; it stands from then on.",
    "last_on": "The last day on which the offer stands, itself included.",
    "offer": "What the offer says; null where the token is not genuine.",
    "offer_id": "The offer's own number, a hash of what it says: the same offer has the same number on every replica.",
    "price_now": "What the same work costs by the rules in force on `as_of`; null where that cannot be worked out.",
    "price_now_reason": "Why there is no price of that day; null where there is one.",
    "quote": "The public quote that is sealed.",
    "repriceable": "Whether what the offer says is enough to price the work again: not where hours or stated costs made the price.",
    "rules_moved": "Whether another rule set is in force on `as_of` than the one that made the offer; the offer stands all the same.",
    "sizes": "The sight size of the work, or of each of its panels.",
    "standing": "Whether the offer is genuine and stands on `as_of`.",
    "stands_days": "How many days the offer stands after the day it is issued on; as the rules say where it is not given.",
    "token": "The sealed offer: JWS compact (RFC 7515), EdDSA over Ed25519 (RFC 8037); short enough for one QR code.",
    "words": "The work in one line, by the titles of the rules that priced it.",
    "Offer.id": "The offer's own number, a hash of what it says.",
    "OfferKey.alg": "The algorithm of the signature, EdDSA.",
    "OfferKey.crv": "The curve, Ed25519.",
    "OfferKey.kid": "The key's thumbprint (RFC 7638), which an offer's header names.",
    "OfferKey.kty": "The type of the key, OKP (RFC 8037, section 2).",
    "OfferKey.use": "What the key is for: sig, signatures alone.",
    "OfferKey.x": "The public key itself, 32 bytes in base64url (RFC 8037, section 2).",
    "OfferKeySet.keys": "The keys, newest first.",
    "Offer.rules_digest": "The rule set that made the price.",
    "OfferVerdict.note": "Where the keys prove nothing, why; empty otherwise.",
    "OfferVerdict.reason": "Why the token is not genuine, or why the offer does not stand on `as_of`; null where it stands.",
    "OfferVerdict.state": "Standing, not yet issued, or expired; null where the token is not genuine.",
    "SealedOffer.note": "Where the key proves nothing, why; empty otherwise.",
}

SHAPES: dict[str, dict[str, Any]] = {
    "OfferedExtra.quantity": {"format": "int32", "minimum": 1, "maximum": 1000},
    "stands_days": {"format": "int32", "minimum": 1, "maximum": MOST_DAYS},
    "offer_id": {"pattern": "^[a-z2-7]{16}$", "maxLength": 16},
    "Offer.id": {"pattern": "^[a-z2-7]{16}$", "maxLength": 16},
}
