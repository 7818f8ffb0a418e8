"""Sets: works sold together, the discount spread over them."""

from datetime import date
from typing import Annotated, Literal

from msgspec import Meta, Struct, field

from evenhang.api.access import check_scope
from evenhang.api.calls import SAFE, Call, Digest, Operation, RulesUsed, Tried, resolve, used
from evenhang.engine.money import Money
from evenhang.engine.quote import tax_of
from evenhang.engine.sets import PricedSet, SetOffer, SetWork, price_set, settle_set
from evenhang.engine.settlement import CAUTION, Settlement


class SetRequest(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """Works to be sold together. The member's view adds what the set leaves in each outlet."""

    works: Annotated[tuple[SetWork, ...], Meta(min_length=2, max_length=100)]
    view: Literal["public", "member"] = "public"
    as_of: date | None = None
    rules_digest: Digest | None = None
    try_: Tried = field(default=None, name="try")


class PublicSet(Struct, frozen=True):
    """The set as anybody may see it; without tax and statement where it has no price."""

    member: str
    as_of: date
    rules: RulesUsed
    set_offer: SetOffer
    tax_kind: Literal["none", "included", "added"] | None
    tax: Money | None
    statement: str
    caution: str = CAUTION


class MemberSet(Struct, frozen=True):
    """The set with what it leaves in each outlet, for the member's own eyes; nothing is settled where it has no price."""

    member: str
    as_of: date
    rules: RulesUsed
    set_offer: SetOffer
    tax_kind: Literal["none", "included", "added"] | None
    tax: Money | None
    settlements: tuple[Settlement, ...]
    statement: str
    caution: str = CAUTION


def set_price(call: Call) -> PublicSet | MemberSet:
    """The price of the set on the day, with as much of its making as the view allows. Declined (403) for a view beyond the key."""
    if call.body.view == "member":
        check_scope(call.access, "books", "#/view")
    rules, on = resolve(call)
    made = price_set(rules, call.body.works, on)
    kind, tax = (None, None) if made.offer.price is None else tax_of(rules, made.offer.price.amount)
    said = _statement(made)
    if call.body.view == "public":
        return PublicSet(rules.member, on, used(rules), made.offer, kind, tax, said)
    return MemberSet(rules.member, on, used(rules), made.offer, kind, tax, settle_set(rules, made), said)


def _statement(made: PricedSet) -> str:
    """What the front desk can read out."""
    offer = made.offer
    if offer.price is None or offer.singly is None:
        return ""
    together = f"Together these {len(offer.works)} works are {offer.price.amount} {offer.price.currency}"
    return f"{together} instead of {offer.singly.amount}." if offer.price.amount < offer.singly.amount else f"{together}."


SETS = Operation(
    "priceSet",
    "POST",
    "/members/{member}/sets",
    "Price works sold together",
    "The price of works sold together: the member's discount for that many, spread over the works so that their prices in the set"
    " sum to its price exactly." + SAFE,
    (PublicSet, MemberSet),
    set_price,
    SetRequest,
    scope="desk",
)
