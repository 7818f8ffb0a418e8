"""Keys and what they reach: who asks, with which scopes, and which members the key may see.

Knows no operation and no rules. Keys are kept as digests; a key itself is shown once, when it is made.
"""

import hashlib
import hmac
import secrets
from collections.abc import Iterable
from datetime import date
from pathlib import Path
from typing import Annotated, Literal

import msgspec
from msgspec import Meta, Struct

from evenhang.api.problems import Declined, ProblemError
from evenhang.engine.works import Name

Scope = Literal["public", "desk", "books", "steward"]
Granted = Literal["desk", "books", "steward"]
# Who may see the books of a member may also price its works.
GRANTS: dict[str, frozenset[str]] = {
    "desk": frozenset({"desk"}),
    "books": frozenset({"books", "desk"}),
    "steward": frozenset({"steward"}),
}
LONGEST_KEY = 200
REALM = 'Bearer realm="evenhang"'


class BadKeys(Exception):
    """A key file that cannot be used; `faults` are all of them."""

    def __init__(self, faults: list[str]) -> None:
        super().__init__("\n".join(faults))
        self.faults = faults


class Key(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """One key of the key file: `sha256` is the digest of the key's UTF-8 bytes in lower-case hexadecimal digits."""

    name: Annotated[str, Meta(min_length=1, max_length=100)]
    sha256: Annotated[str, Meta(pattern="^[0-9a-f]{64}$", max_length=64)]
    scopes: Annotated[tuple[Granted, ...], Meta(min_length=1)]
    members: tuple[Name, ...] | Literal["all"] | None = None
    valid_until: date | None = None


class KeyFile(Struct, frozen=True, forbid_unknown_fields=True):
    """The key file: `[[keys]]`."""

    keys: tuple[Key, ...]


class Access(Struct, frozen=True):
    """What a caller may do: scopes, and the members it may see with them (None: all). `name` is the key's, for the log."""

    name: str
    scopes: frozenset[str]
    members: frozenset[str] | None = None

    def may(self, scope: Scope) -> bool:
        """Whether the scope is within reach."""
        return scope == "public" or scope in self.scopes

    def sees(self, member: str) -> bool:
        """Whether the key is for that member."""
        return self.members is None or member in self.members


EVERYTHING = Access("", frozenset({"desk", "books", "steward"}))
NOTHING = Access("", frozenset(), frozenset())


class Keyring:
    """The keys that the house knows."""

    def __init__(self, keys: Iterable[Key]) -> None:
        self.keys = tuple(keys)
        self._known = [(bytes.fromhex(key.sha256), key, _access(key)) for key in self.keys]

    def find(self, token: str, today: date) -> Access | None:
        """What the key reaches on that day; None for none. Every digest is compared, each in constant time, without an early exit."""
        given = hashlib.sha256(token.encode()).digest()
        found = None
        for digest, key, access in self._known:
            if hmac.compare_digest(digest, given) and (key.valid_until is None or today < key.valid_until):
                found = access
        return found


def _access(key: Key) -> Access:
    scopes = frozenset().union(*(GRANTS[scope] for scope in key.scopes))
    return Access(key.name, scopes, None if key.members == "all" else frozenset(key.members or ()))


def load_keys(path: Path) -> Keyring:
    """The keys of a TOML file; BadKeys with every fault."""
    try:
        read = msgspec.toml.decode(path.read_bytes(), type=KeyFile)
    except (OSError, ValueError, msgspec.MsgspecError) as error:
        raise BadKeys([f"{path.name}: {error}"]) from None
    faults = [f"{path.name}: {what}" for what in _faults(read.keys)]
    if faults:
        raise BadKeys(faults)
    return Keyring(read.keys)


def _faults(keys: tuple[Key, ...]) -> list[str]:
    out = [] if keys else ["there is no key in it"]
    for i, key in enumerate(keys):
        before = keys[:i]
        if any(key.name == other.name for other in before):
            out.append(f'keys[{i}].name: "{key.name}" stands twice')
        if any(key.sha256 == other.sha256 for other in before):
            out.append(f'keys[{i}].sha256: "{key.name}" is the same key as another')
        if {"desk", "books"} & set(key.scopes) and not key.members:
            out.append(f'keys[{i}].members: name the members that "{key.name}" may see, or "all"')
    return out


def new_key(name: str, scopes: tuple[Granted, ...], members: tuple[str, ...] | Literal["all"]) -> tuple[str, Key]:
    """A new key and its row for the key file. The key is not kept anywhere."""
    token = secrets.token_urlsafe(32)
    return token, Key(name, hashlib.sha256(token.encode()).hexdigest(), scopes, members or None)


def access_of(authorization: str | None, keyring: Keyring | None, today: date) -> Access:
    """What this caller may do. Without a keyring everybody may do everything; Declined (401) for a key that is not known."""
    if keyring is None:
        return EVERYTHING
    if authorization is None:
        return NOTHING
    scheme, _, token = authorization.partition(" ")
    token = token.strip()
    if scheme.lower() == "bearer" and 0 < len(token) <= LONGEST_KEY and (found := keyring.find(token, today)):
        return found
    words = "This key is not known here, or its day has passed."
    raise Declined(401, words, headers={"WWW-Authenticate": f'{REALM}, error="invalid_token"'})


def check_scope(access: Access, scope: Scope, pointer: str | None = None) -> None:
    """Declined with 401 where a key is needed and none was sent, with 403 where the key lacks the scope."""
    if access.may(scope):
        return
    errors = (ProblemError(pointer, "insufficient-scope", f"This needs the scope {scope}."),) if pointer else ()
    if access is NOTHING:
        raise Declined(401, f"This needs a key with the scope {scope}.", errors, {"WWW-Authenticate": REALM})
    said = f'{REALM}, error="insufficient_scope", scope="{scope}"'
    raise Declined(403, f"This needs the scope {scope}, which the key does not have.", errors, {"WWW-Authenticate": said})


def check_member(access: Access, scope: Scope, member: str) -> None:
    """Declined with 404, as for no such member, where the key may not see it. What is public is so for every member."""
    if scope != "public" and not access.sees(member):
        raise Declined(404, "There is no such member.")
