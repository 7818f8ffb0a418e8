"""Verify a sealed offer alone: no service, no rules, only the public keys and the token.

    python demo_clients/verify_offer.py JWKS_FILE TOKEN [DAY]

JWKS_FILE is what /.well-known/jwks.json answered, kept for later; DAY is today unless given. Needs the package `cryptography`.
Exit status: 0 genuine and standing, 1 genuine but not standing on that day, 2 not genuine.
"""

import json
import sys
from base64 import urlsafe_b64decode, urlsafe_b64encode
from datetime import datetime
from pathlib import Path
from typing import Any

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey


class NotGenuine(Exception):
    """The token is no offer that one of these keys sealed."""


def decoded(text: str) -> bytes:
    """The bytes of base64url text without padding; NotGenuine unless it is written in the one way there is."""
    try:
        raw = urlsafe_b64decode(text.encode("ascii") + b"=" * (-len(text) % 4))
    except ValueError:
        raise NotGenuine("not base64url") from None
    if urlsafe_b64encode(raw).rstrip(b"=").decode() != text:
        raise NotGenuine("not base64url without padding")
    return raw


def opened(keys: dict[str, Any], token: str) -> dict[str, Any]:
    """What a genuine token says. The algorithm and the kind are ours to demand, not the token's to choose (RFC 8725)."""
    parts = token.split(".")
    if len(parts) != 3:
        raise NotGenuine("not three parts")
    try:
        header = json.loads(decoded(parts[0]))
    except (ValueError, RecursionError):
        raise NotGenuine("the header is no JSON") from None
    if not isinstance(header, dict) or header != {"alg": "EdDSA", "kid": header.get("kid"), "typ": "evenhang-offer"}:
        raise NotGenuine("the header is none of an offer's")
    key = next((key for key in keys["keys"] if key["kid"] == header["kid"]), None)
    if key is None or (key["kty"], key["crv"]) != ("OKP", "Ed25519"):
        raise NotGenuine("none of these keys is the one it names")
    try:
        Ed25519PublicKey.from_public_bytes(decoded(key["x"])).verify(decoded(parts[2]), f"{parts[0]}.{parts[1]}".encode())
    except InvalidSignature:
        raise NotGenuine("the signature does not belong to these words") from None
    return dict(json.loads(decoded(parts[1])))


def main(keys_file: str, token: str, day: str = "") -> int:
    """Say what the offer says and whether it stands; the exit status."""
    try:
        said = opened(json.loads(Path(keys_file).read_bytes()), token)
    except NotGenuine as reason:
        print(f"Not genuine: {reason}.")
        return 2
    if said["v"] != 1:
        print(f"Genuine, but in version {said['v']}, which this script does not know.")
        return 1
    on = day or datetime.now().astimezone().date().isoformat()
    standing = said["on"] <= on <= said["last"]
    print(f"Genuine. Offer {said['id']} of {said['member']}: {said['words']}.")
    print(f"Price {said['price']}, tax {said['tax']}; issued on {said['on']}, its last day is {said['last']}.")
    for here in said["outlets"]:
        print(f"  {here if ' ' in here else here + ' ' + said['price']}")
    print(f"On {on} it {'stands' if standing else 'does not stand'}.")
    print("Arithmetic, not advice: local law and the written agreement decide; ask a licensed adviser.")
    return 0 if standing else 1


if __name__ == "__main__":
    if len(sys.argv) not in (3, 4):
        sys.exit(__doc__)
    sys.exit(main(*sys.argv[1:]))
