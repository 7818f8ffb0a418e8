"""Verify a sealed offer alone: no service, no rules, only the public keys and the token.

    python demo_clients/verify_offer.py JWKS_FILE TOKEN [DAY]

JWKS_FILE is what /.well-known/jwks.json answered, kept for later; DAY is today unless given. Needs the package `cryptography`.
Exit status: 0 genuine and standing, 1 genuine but not standing on that day, 2 not genuine,
3 no answer, for a file or a day that cannot be used.
"""

import json
import sys
from base64 import urlsafe_b64decode, urlsafe_b64encode
from datetime import date, datetime
from pathlib import Path
from typing import Any

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey


class NotGenuine(Exception):
    """The token is no offer that one of these keys sealed."""


class NoAnswer(Exception):
    """What was given cannot be used, so that nothing is known of the token."""


def public_keys(file: str) -> list[dict[str, Any]]:
    """The keys of a saved answer of /.well-known/jwks.json; NoAnswer where it is none."""
    try:
        said = json.loads(Path(file).read_bytes())
    except OSError as error:
        raise NoAnswer(f"{file} cannot be read: {error.strerror}") from None
    except (ValueError, RecursionError):
        raise NoAnswer(f"{file} is no JSON: save what /.well-known/jwks.json answers") from None
    keys = said.get("keys") if isinstance(said, dict) else None
    if not isinstance(keys, list) or not all(isinstance(key, dict) for key in keys):
        raise NoAnswer(f"{file} holds no keys: save what /.well-known/jwks.json answers")
    return keys


def day_of(text: str) -> str:
    """A day written YYYY-MM-DD, today for none; NoAnswer for anything else."""
    if not text:
        return datetime.now().astimezone().date().isoformat()
    try:
        if date.fromisoformat(text).isoformat() == text:
            return text
    except ValueError:
        pass
    raise NoAnswer(f'"{text}" is no day: write it like 2026-05-31')


def decoded(text: str) -> bytes:
    """The bytes of base64url text without padding; NotGenuine unless it is written in the one way there is."""
    try:
        raw = urlsafe_b64decode(text.encode("ascii") + b"=" * (-len(text) % 4))
    except ValueError:
        raise NotGenuine("not base64url") from None
    if urlsafe_b64encode(raw).rstrip(b"=").decode() != text:
        raise NotGenuine("not base64url without padding")
    return raw


def opened(keys: list[dict[str, Any]], token: str) -> dict[str, Any]:
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
    key = next((key for key in keys if "kid" in key and key["kid"] == header["kid"]), None)
    if key is None or (key.get("kty"), key.get("crv")) != ("OKP", "Ed25519"):
        raise NotGenuine("none of these keys is the one it names")
    try:
        public = Ed25519PublicKey.from_public_bytes(decoded(str(key.get("x"))))
    except (NotGenuine, ValueError):
        raise NoAnswer("the key that it names is damaged: fetch /.well-known/jwks.json anew") from None
    try:
        public.verify(decoded(parts[2]), f"{parts[0]}.{parts[1]}".encode())
    except InvalidSignature:
        raise NotGenuine("the signature does not belong to these words") from None
    return dict(json.loads(decoded(parts[1])))


def main(keys_file: str, token: str, day: str = "") -> int:
    """Say what the offer says and whether it stands; the exit status."""
    try:
        on = day_of(day)
        said = opened(public_keys(keys_file), token)
    except NoAnswer as reason:
        print(f"No answer: {reason}.", file=sys.stderr)
        return 3
    except NotGenuine as reason:
        print(f"Not genuine: {reason}.")
        return 2
    if said["v"] != 1:
        print(f"Genuine, but in version {said['v']}, which this script does not know.")
        return 1
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
        print(__doc__, file=sys.stderr)
        sys.exit(3)
    sys.exit(main(*sys.argv[1:]))
