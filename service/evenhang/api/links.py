"""What a caller may ask next: links from an answer to operations that take it up, as OpenAPI's Link Objects.

Knows the operations by their ids; knows no structs.
"""

from collections.abc import Iterable
from typing import Any

from msgspec import Struct

from evenhang.api.calls import Operation


class Link(Struct, frozen=True):
    """From an answer to an operation. `parameters` and `body` hold runtime expressions (OpenAPI 3.1, section 4.8.20.4)."""

    source: str
    target: str
    words: str
    parameters: dict[str, str] = {}
    body: Any = None


_SAME = {"member": "$request.path.member"}
_DAY = "$response.body#/as_of"
LINKS = (
    Link(
        "quoteWork",
        "settleSale",
        "What the price leaves in the first of the outlets.",
        _SAME,
        {"outlet": "$response.body#/outlets/0/outlet", "price": "$response.body#/outlets/0/price", "as_of": _DAY},
    ),
    Link(
        "quoteWork",
        "sealOffer",
        "The price of the same work on the same day, sealed into an offer.",
        _SAME,
        {"work": "$request.body#/work", "as_of": _DAY},
    ),
    Link("quoteWork", "readRules", "The rules of that day.", {**_SAME, "as_of": _DAY}),
    Link(
        "sealOffer",
        "verifyOffer",
        "Whether the offer is genuine and stands on the day on which it was sealed.",
        body={"token": "$response.body#/token", "as_of": _DAY},
    ),
    Link("readRules", "readRuleSet", "The same rules by their digest.", {"digest": "$response.body#/rules/digest"}),
    Link("settleSale", "readRules", "The rules that settled it.", {**_SAME, "as_of": _DAY}),
)


def links_of(source: str, operations: Iterable[Operation]) -> dict[str, Any]:
    """The links of an operation's answer by their names. The list of members leads to everything that can be asked of a member."""
    found = [link for link in LINKS if link.source == source]
    if source == "listMembers":
        for row in operations:
            if "{member}" in row.path:
                at = {"member": "$response.body#/members/0/member"}
                found.append(Link(source, row.id, f"{row.summary}, for the first member.", at))
            elif "{digest}" in row.path:
                by = {"digest": "$response.body#/members/0/rules/digest"}
                found.append(Link(source, row.id, f"{row.summary}, of the first member.", by))
    return {link.target: _shown(link) for link in found}


def _shown(link: Link) -> dict[str, Any]:
    shown: dict[str, Any] = {"operationId": link.target}
    if link.parameters:
        shown["parameters"] = link.parameters
    if link.body is not None:
        shown["requestBody"] = link.body
    return shown | {"description": link.words}
