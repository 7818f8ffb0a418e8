"""Bespoke quotes: a work made to order, its stages of payment, and what a cancellation costs."""

from datetime import date
from typing import Literal

from msgspec import Struct, field

from evenhang.api.access import check_scope
from evenhang.api.calls import SAFE, Call, Digest, Operation, RulesUsed, Tried, resolve, used
from evenhang.api.quotes import PublicLine, public_lines
from evenhang.engine.bespoke import BespokePrice, StageDue, price_bespoke
from evenhang.engine.money import Money, money
from evenhang.engine.outcome import Outcome, outcome_of
from evenhang.engine.quote import Line, OutletPrice, outlet_prices, settle_everywhere, tax_of
from evenhang.engine.refusals import NotOffered, Refusal
from evenhang.engine.rules import RuleSet
from evenhang.engine.settlement import CAUTION, Settlement
from evenhang.engine.works import Work


class BespokeRequest(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """A work that is to be made to order. The member's view adds workings, rules, costs and settlements."""

    work: Work
    view: Literal["public", "member"] = "public"
    as_of: date | None = None
    rules_digest: Digest | None = None
    try_: Tried = field(default=None, name="try")


class PublicBespoke(Struct, frozen=True):
    """The offer as the buyer may see it: price, stages, cancellation, the last day it stands."""

    member: str
    as_of: date
    rules: RulesUsed
    price: Money
    lines: tuple[PublicLine, ...]
    stages: tuple[StageDue, ...]
    stands_last_on: date
    tax_kind: Literal["none", "included", "added"]
    tax: Money
    outlets: tuple[OutletPrice, ...]
    statement: str
    caution: str = CAUTION


class MemberBespoke(Struct, frozen=True):
    """The offer with everything behind it, for the member's own eyes."""

    member: str
    as_of: date
    rules: RulesUsed
    price: Money
    lines: tuple[Line, ...]
    stages: tuple[StageDue, ...]
    stands_last_on: date
    tax_kind: Literal["none", "included", "added"]
    tax: Money
    outlets: tuple[OutletPrice, ...]
    settlements: tuple[Settlement, ...]
    outcome: Outcome
    statement: str
    caution: str = CAUTION


def bespoke_quote(call: Call) -> PublicBespoke | MemberBespoke:
    """The offer on the day, with as much of its making as the view allows. Declined (403) for a view beyond the key."""
    if call.body.view == "member":
        check_scope(call.access, "books", "#/view")
    rules, on = resolve(call)
    try:
        offer = price_bespoke(rules, call.body.work, on)
    except NotOffered:
        raise
    except Refusal as refusal:
        raise refusal.under("/work") from None
    if call.body.view == "public":
        return _public(rules, on, offer)
    return _member(_public(rules, on, offer), rules, offer)


def _public(rules: RuleSet, on: date, offer: BespokePrice) -> PublicBespoke:
    retail = offer.price.retail
    kind, tax = tax_of(rules, retail)
    return PublicBespoke(
        member=rules.member,
        as_of=on,
        rules=used(rules),
        price=money(retail, rules.currency),
        lines=public_lines(rules, offer.price, ("uplift", "extra:")),
        stages=offer.stages,
        stands_last_on=offer.stands_last_on,
        tax_kind=kind,
        tax=tax,
        outlets=outlet_prices(rules, retail),
        statement=_statement(rules, offer),
    )


def _member(public: PublicBespoke, rules: RuleSet, offer: BespokePrice) -> MemberBespoke:
    """The public view with whole lines, settlements and outcome."""
    settled = settle_everywhere(rules, offer.price)
    return MemberBespoke(
        member=public.member,
        as_of=public.as_of,
        rules=public.rules,
        price=public.price,
        lines=offer.price.lines,
        stages=public.stages,
        stands_last_on=public.stands_last_on,
        tax_kind=public.tax_kind,
        tax=public.tax,
        outlets=public.outlets,
        settlements=settled,
        outcome=outcome_of(rules, offer.price, settled),
        statement=public.statement,
    )


def _statement(rules: RuleSet, offer: BespokePrice) -> str:
    """What the front desk can read out."""
    retail = money(offer.price.retail, rules.currency)
    stages = "; ".join(f"{stage.title}: {stage.amount.amount}" for stage in offer.stages)
    return f"Made to order, this work is {retail.amount} {retail.currency}. {stages}. The last day of this offer is {offer.stands_last_on}."


BESPOKE = Operation(
    "quoteBespoke",
    "POST",
    "/members/{member}/bespoke-quotes",
    "Price a work made to order",
    "The price of a work made to order, its stages of payment, which sum to it exactly, what is due if it is cancelled at each"
    " stage, and the last day on which the offer stands." + SAFE,
    (PublicBespoke, MemberBespoke),
    bespoke_quote,
    BespokeRequest,
    scope="desk",
)
