"""The keys of offers: read from files, the one that signs on a day, the public set, and a new one.

Knows no offer. Ed25519 only (RFC 8032), as JSON Web Keys (RFC 7517, RFC 8037) or PEM; a key is named by its thumbprint (RFC 7638).
"""

import hashlib
import json
import os
import re
from base64 import urlsafe_b64decode, urlsafe_b64encode
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import msgspec
from msgspec import Struct

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey

MOST_BYTES = 65_536
MOST_KEYS = 100
_DAY = re.compile(r"^([0-9]{4}-[0-9]{2}-[0-9]{2})(?![0-9])")
# The key printed in RFC 8037, appendix A.1: whoever reads the standard can sign with it.
PRINTED = "kPrK_qmxVWaYVA9wwBF6Iuo3vVzz7TxHCTwXBygrS4k"
DEMO_NOTE = "Sealed with the demo's key, which is printed in RFC 8037: everybody can seal with it, so it proves nothing."


class BadOfferKeys(Exception):
    """Key files that cannot be used; `faults` name each file and what is wrong, never a key."""

    def __init__(self, faults: list[str]) -> None:
        super().__init__("\n".join(faults))
        self.faults = faults


class SealKey(Struct, frozen=True):
    """One key by its thumbprint; without `signer` it only verifies. It signs from the day `signs_from` on."""

    kid: str
    verifier: "Ed25519PublicKey"
    signer: "Ed25519PrivateKey | None" = None
    signs_from: date = date.min


class Seals(Struct, frozen=True):
    """All keys of a house by their thumbprints. `note` warns where they prove nothing."""

    keys: dict[str, SealKey] = {}
    note: str = ""

    def signs_on(self, on: date) -> SealKey | None:
        """The private key that signs on that day: the newest whose day has come; of two of one day the later thumbprint."""
        ready = [key for key in self.keys.values() if key.signer is not None and key.signs_from <= on]
        return max(ready, key=lambda key: (key.signs_from, key.kid), default=None)


def load_seals(path: Path, *, demo: bool = False) -> Seals:
    """The keys in a file or folder; BadOfferKeys with every fault at once.

    A private key signs from the day that its file's name begins with, or at once where it begins with none; public keys only
    verify. `demo` alone admits the key that is printed in a standard.
    """
    faults: list[str] = []
    keys: dict[str, SealKey] = {}
    for file in _files(path, faults):
        try:
            for key in _read(file):
                if key.kid == PRINTED and not demo:
                    raise ValueError("this key is printed in RFC 8037: everybody can seal with it")
                known = keys.get(key.kid)
                if known and known.signer and key.signer:
                    raise ValueError("this private key stands in another file too")
                if known is None or key.signer:
                    keys[key.kid] = key
        except (OSError, ValueError) as error:
            faults.append(f"{file.name}: {error}")
    if not faults and not keys:
        faults.append(f"{path.name}: no key in it; `evenhang new-offer-key` makes one")
    if len(keys) > MOST_KEYS:
        faults.append(f"{path.name}: over {MOST_KEYS} keys")
    if faults:
        raise BadOfferKeys(faults)
    return Seals(keys, DEMO_NOTE if PRINTED in keys else "")


def public_set(seals: Seals) -> bytes:
    """The JSON Web Key Set (RFC 7517, section 5) of all public keys, also of those that sign later or no more; newest first."""
    ordered = sorted(seals.keys.values(), key=lambda key: (key.signs_from, key.kid), reverse=True)
    return msgspec.json.encode({"keys": [{**_public(key.verifier), "kid": key.kid, "use": "sig", "alg": "EdDSA"} for key in ordered]})


def write_new_key(folder: Path, signs_from: date) -> tuple[Path, str]:
    """A new private key in `folder`, readable by its owner only: the file and the thumbprint."""
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

    made = Ed25519PrivateKey.generate()
    public = _public(made.public_key())
    kid = thumbprint(public)
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    file = folder / f"{signs_from}-{kid[:8]}.jwk"
    text = json.dumps({**public, "d": to_text(made.private_bytes_raw()), "kid": kid, "use": "sig", "alg": "EdDSA"}, indent=2)
    with open(os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w", encoding="utf-8") as out:
        out.write(text + "\n")
    return file, kid


def to_text(raw: bytes) -> str:
    """base64url without padding (RFC 7515, section 2)."""
    return urlsafe_b64encode(raw).rstrip(b"=").decode()


def to_bytes(text: str) -> bytes:
    """The bytes of base64url text; ValueError unless it is written in the one way that `to_text` writes it."""
    if not re.fullmatch("[A-Za-z0-9_-]*", text):
        raise ValueError("not base64url without padding")
    raw = urlsafe_b64decode(text + "=" * (-len(text) % 4))
    if to_text(raw) != text:  # the last letter has bits to spare: another one would read as the same bytes
        raise ValueError("not in the one way of writing it")
    return raw


def thumbprint(public: dict[str, str]) -> str:
    """The thumbprint of an OKP key (RFC 7638, section 3; its members by RFC 8037, section 2)."""
    members = json.dumps({name: public[name] for name in ("crv", "kty", "x")}, separators=(",", ":"))
    return to_text(hashlib.sha256(members.encode()).digest())


def _public(key: "Ed25519PublicKey") -> dict[str, str]:
    return {"kty": "OKP", "crv": "Ed25519", "x": to_text(key.public_bytes_raw())}


def _files(path: Path, faults: list[str]) -> Iterator[Path]:
    """The file itself, or the folder's files in order; what begins with a dot is the system's."""
    if path.is_file():
        yield path
    elif path.is_dir():
        yield from sorted(file for file in path.iterdir() if file.is_file() and not file.name.startswith("."))
    else:
        faults.append(f"{path.name}: there is no such file or folder")


def _read(file: Path) -> Iterator[SealKey]:
    """The keys in a file: PEM, one JSON Web Key, or a set of them. ValueError with what is wrong."""
    if file.stat().st_size > MOST_BYTES:
        raise ValueError("too large for a key")
    raw = file.read_bytes()
    since = _since(file.name)
    if raw.lstrip().startswith(b"-----BEGIN"):
        yield _from_pem(raw, since)
        return
    try:
        found = json.loads(raw)
    except ValueError:
        raise ValueError("neither PEM nor JSON") from None
    for part in found["keys"] if isinstance(found, dict) and isinstance(found.get("keys"), list) else [found]:
        yield _from_jwk(part, since)


def _since(name: str) -> date:
    if not (match := _DAY.match(name)):
        return date.min
    try:
        return date.fromisoformat(match[1])
    except ValueError:
        raise ValueError(f"{match[1]} is no day") from None


def _from_jwk(part: Any, since: date) -> SealKey:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey

    if not isinstance(part, dict) or (part.get("kty"), part.get("crv")) != ("OKP", "Ed25519"):
        raise ValueError("not an Ed25519 key (kty OKP, crv Ed25519)")
    try:
        verifier = Ed25519PublicKey.from_public_bytes(to_bytes(str(part.get("x"))))
        signer = Ed25519PrivateKey.from_private_bytes(to_bytes(str(part["d"]))) if "d" in part else None
    except ValueError:
        raise ValueError("x and d are 32 bytes each, in base64url without padding") from None
    if signer is not None and signer.public_key() != verifier:
        raise ValueError("its x does not belong to its d")
    return _named(verifier, signer, since, part.get("kid"))


def _from_pem(raw: bytes, since: date) -> SealKey:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey
    from cryptography.hazmat.primitives.serialization import load_pem_private_key, load_pem_public_key

    try:
        found = load_pem_private_key(raw, password=None) if b"PRIVATE KEY-----" in raw else load_pem_public_key(raw)
    except (ValueError, TypeError):  # TypeError: it is behind a password
        raise ValueError("not a PEM key without a password") from None
    if isinstance(found, Ed25519PrivateKey):
        return _named(found.public_key(), found, since)
    if isinstance(found, Ed25519PublicKey):
        return _named(found, None, since)
    raise ValueError("not an Ed25519 key")


def _named(verifier: "Ed25519PublicKey", signer: "Ed25519PrivateKey | None", since: date, kid: object = None) -> SealKey:
    own = thumbprint(_public(verifier))
    if kid is not None and kid != own:
        raise ValueError(f"its kid is not its thumbprint (RFC 7638), {own}")
    return SealKey(own, verifier, signer, since if signer is not None else date.min)
