"""The words of the contract: tags, statuses, headers, scopes, and what each field means, each said once.

The fields' words (FIELDS, and SHAPES where a group needs them) stand in the files beside this one, one file per group of
operations; no name stands in two. `Schema.field` is said where one schema has more to say than `field`.

Knows no web and no document: api/contract.py puts these words in their places.
"""

from types import ModuleType
from typing import Any

from evenhang.api.words import (
    addresses,
    batches,
    catalogues,
    choices,
    common,
    consignments,
    editions,
    formats,
    guides,
    ladders,
    offers,
    orders,
    positions,
    rates,
    resales,
    reviews,
    rulebook,
    sales,
)

TAGS = {
    "Catalogues": "Does a body of work hang together? Findings over whole lists of works and their prices.",
    "Members": "Who sells what, and under which rules.",
    "Offers": "A price sealed into a token that stands for some days, and whether a token is genuine and still stands.",
    "Prices": "One price for a work, the same in every outlet, line by line with the rule that made each line.",
    "Rules": "The rule sets themselves: in force on a day, by digest, and checked before they are served.",
    "Sales": "What a price leaves: settlements, wanted figures and the yield of an hour. Arithmetic, not advice.",
}

# The last word of a path that is not a parameter, and the tag it goes under.
TAG_OF = {
    "members": "Members", "choices": "Members",
    "guide": "Prices", "price": "Prices", "quotes": "Prices", "ladders": "Prices", "formats": "Prices", "sets": "Prices",
    "editions": "Prices", "bespoke-quotes": "Prices", "rates": "Prices",
    "settlements": "Sales", "targets": "Sales", "yields": "Sales", "consignments": "Sales", "resale-royalties": "Sales",
    "offers": "Offers", "verify": "Offers", "jwks.json": "Offers",
    "checks": "Catalogues", "positions": "Catalogues", "reviews": "Catalogues",
    "rules": "Rules", "rule-sets": "Rules", "rule-checks": "Rules",
}  # fmt: skip

SCOPES = {
    "desk": "price works at the front desk",
    "books": "see costs, settlements and everything that only the member may see",
    "steward": "check and look after the rules themselves",
}

STATUSES = {
    400: "The request is malformed or does not fit this document; `errors` point at the fault.",
    401: "A key is needed and there is none, or it is not known here.",
    403: "The key does not reach as far as this operation.",
    404: "There is no such member, or the key may not see it.",
    405: "This method is not offered here; `Allow` names those that are.",
    406: "None of the kinds of answer in `Accept` is offered here.",
    409: "The pinned rule set is not the one in force on that day; it is never silently replaced.",
    413: "The body has more bytes than are read here.",
    414: "The address is longer than is read here.",
    415: "A body of this Content-Type, or with a content coding, is not read here.",
    422: "The request is well formed, but these rules cannot answer it; the detail says what would mend it.",
    421: "The request's `Host` is not served here.",
    429: "Too many requests; wait as `Retry-After` says.",
    431: "There are more header fields, or longer ones, than are read here.",
    500: "A fault of ours; nothing about its inside is shown.",
    503: "Not ready to answer; wait as `Retry-After` says.",
}

_SHOW = "How to show a key (RFC 6750, section 3)."
_TEXT = {"type": "string", "maxLength": 200}
HEADERS: dict[int, dict[str, tuple[str, dict[str, Any]]]] = {
    401: {"WWW-Authenticate": (f'{_SHOW} `error="invalid_token"` where the key that was sent is not known.', _TEXT)},
    403: {"WWW-Authenticate": (f'{_SHOW} `error="insufficient_scope"`, and `scope` names the one that is needed.', _TEXT)},
    405: {"Allow": ("The methods offered here (RFC 9110, section 10.2.1).", {"type": "string", "maxLength": 100})},
    415: {
        "Accept": ("The kinds of body that are read here, where the kind was the fault (RFC 9110, section 12.5.1).", _TEXT),
        "Accept-Encoding": ("`identity`, where a content coding was the fault (RFC 9110, section 12.5.3).", _TEXT),
    },
    429: {"Retry-After": ("Seconds to wait.", {"type": "integer", "format": "int32", "minimum": 0, "maximum": 86_400})},
    503: {"Retry-After": ("Seconds to wait.", {"type": "integer", "format": "int32", "minimum": 0, "maximum": 86_400})},
}

GROUPS: tuple[ModuleType, ...] = (
    addresses,
    batches,
    catalogues,
    choices,
    common,
    rulebook,
    editions,
    orders,
    reviews,
    ladders,
    positions,
    rates,
    offers,
    consignments,
    formats,
    guides,
    resales,
    sales,
)


def _gathered(table: str) -> dict[str, Any]:
    """One table of all groups (FIELDS or SHAPES); ValueError where two groups explain one name."""
    out: dict[str, Any] = {}
    for group in GROUPS:
        rows: dict[str, Any] = getattr(group, table, {})
        if twice := out.keys() & rows.keys():
            raise ValueError(f"explained twice: {sorted(twice)}")
        out.update(rows)
    return out


FIELDS: dict[str, str] = _gathered("FIELDS")

NAME = {"pattern": "^[a-z0-9][a-z0-9-]{0,62}$", "maxLength": 63}
COUNT = {"format": "int32", "minimum": 0, "maximum": 10_000}  # of works: no more are read in one request
# What an answer's plain type does not say of itself. The answers' texts for people have no limit that is promised.
SHAPES: dict[str, dict[str, Any]] = {
    "checked": COUNT,
    "code": {"pattern": "^[a-z0-9]+(-[a-z0-9]+)*(:[a-z0-9-]+)?$", "maxLength": 130},
    "layer": {"pattern": "^[^\\s]+$", "maxLength": 200},
    "member": NAME,
    "outlet": NAME,
    "path": {"pattern": "^[a-z0-9_.-]+$", "maxLength": 400},
    "pointer": {"pattern": "^#(/.*)?$", "maxLength": 600},
    "quantity": {"format": "int32"},
    "status": {"format": "int32", "minimum": 400, "maximum": 599},
    "type": {"pattern": "^/problems/[a-z-]+$", "maxLength": 100},
    **dict.fromkeys(("floor_met", "left_out", "target_met", "works", "works_with_hours"), COUNT),
    **_gathered("SHAPES"),
}


def meaning(schema: str, field: str) -> str | None:
    """What `field` means in `schema`; None where nobody has said it yet, which the contract's tests refuse."""
    return FIELDS.get(f"{schema}.{field}") or FIELDS.get(field)
