"""Quotes: one work priced, as the public or as the member may see it."""

from datetime import date
from typing import Literal

from msgspec import Struct, field

from evenhang.api.access import check_scope
from evenhang.api.calls import SAFE, Call, Digest, Operation, RulesUsed, Tried, resolve, used
from evenhang.engine.money import Money, Ratio, figure, money, shown
from evenhang.engine.outcome import Outcome, outcome_of
from evenhang.engine.quote import Line, OutletPrice, Price, outlet_prices, price_work, settle_everywhere, tax_of
from evenhang.engine.refusals import Refusal
from evenhang.engine.rules import RuleSet
from evenhang.engine.saying import Said, say
from evenhang.engine.settlement import CAUTION, Settlement
from evenhang.engine.sizes import PER
from evenhang.engine.works import Work


class QuoteRequest(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """One work to price. The member's view adds workings, rules, costs and settlements."""

    work: Work
    view: Literal["public", "member"] = "public"
    as_of: date | None = None
    rules_digest: Digest | None = None
    try_: Tried = field(default=None, name="try")


class PublicLine(Struct, frozen=True):
    """A line of the public breakdown: no workings, no rules."""

    code: str
    label: str
    amount: Money


class PublicQuote(Struct, frozen=True):
    """A price as anybody may see it."""

    member: str
    as_of: date
    rules: RulesUsed
    price: Money
    price_display: str
    lines: tuple[PublicLine, ...]
    unit_rate_per_cm2: Ratio | None
    unit_rate_per_in2: Ratio | None
    tax_kind: Literal["none", "included", "added"]
    tax: Money
    outlets: tuple[OutletPrice, ...]
    statement: str
    caution: str = CAUTION


class MemberQuote(Struct, frozen=True):
    """A price with everything behind it, for the member's own eyes."""

    member: str
    as_of: date
    rules: RulesUsed
    price: Money
    price_display: str
    lines: tuple[Line, ...]
    unit_rate_per_cm2: Ratio | None
    unit_rate_per_in2: Ratio | None
    tax_kind: Literal["none", "included", "added"]
    tax: Money
    outlets: tuple[OutletPrice, ...]
    settlements: tuple[Settlement, ...]
    outcome: Outcome
    statement: str
    caution: str = CAUTION


def quote(call: Call) -> PublicQuote | MemberQuote:
    """The price of the work on the day, with as much of its making as the view allows. Declined (403) for a view beyond the key."""
    if call.body.view == "member":
        check_scope(call.access, "books", "#/view")
    rules, on = resolve(call)
    try:
        price = price_work(rules, call.body.work, on)
    except Refusal as refusal:
        raise refusal.under("/work") from None
    return public_quote(rules, price, on) if call.body.view == "public" else _member_quote(rules, price, on)


def public_quote(rules: RuleSet, price: Price, on: date) -> PublicQuote:
    """The price as anybody may see it."""
    retail = money(price.retail, rules.currency)
    kind, tax = tax_of(rules, price.retail)
    # What stands as the art to the public may hold a cost; then no other figure may say how much of it is art.
    per_cm2, per_in2 = (None, None) if _merged(rules, price) else _unit_rates(price)
    return PublicQuote(
        rules.member,
        on,
        used(rules),
        retail,
        shown(retail),
        public_lines(rules, price),
        per_cm2,
        per_in2,
        kind,
        tax,
        outlet_prices(rules, price.retail),
        _statement(retail, kind, tax),
    )


def _unit_rates(price: Price) -> tuple[str | None, str | None]:
    """The art per square centimetre and per square inch; None for a work without an area."""
    if not price.area_mm2:
        return None, None
    return figure(price.art * PER["cm2"][1] / price.area_mm2), figure(price.art * PER["in2"][1] / price.area_mm2)


def _member_quote(rules: RuleSet, price: Price, on: date) -> MemberQuote:
    """The price with everything behind it."""
    retail = money(price.retail, rules.currency)
    kind, tax = tax_of(rules, price.retail)
    per_cm2, per_in2 = _unit_rates(price)
    settled = settle_everywhere(rules, price)
    return MemberQuote(
        rules.member,
        on,
        used(rules),
        retail,
        shown(retail),
        price.lines,
        per_cm2,
        per_in2,
        kind,
        tax,
        outlet_prices(rules, price.retail),
        settled,
        outcome_of(rules, price, settled),
        _statement(retail, kind, tax),
    )


def _statement(retail: Money, kind: str, tax: Money) -> Said:
    """What the front desk reads out; what comes on top of a price is never left unsaid."""
    if kind == "added" and tax.amount:
        return say("This work is {price} plus {tax} tax, the same wherever you buy it.", price=retail, tax=tax)
    return say("This work is {price}, the same wherever you buy it.", price=retail)


def public_lines(rules: RuleSet, price: Price, apart: tuple[str, ...] = ()) -> tuple[PublicLine, ...]:
    """The art as one line, each charged item, the rounding; a cost at cost is merged into the art unless shown.

    Lines whose code begins with one of `apart` stand outside the art, but never where a cost is merged into it: from
    a percentage of the art that stands apart, the art could be worked out, and from it the cost.
    """
    hidden = _merged(rules, price)
    art, shown = price.art, []
    for line in price.lines:
        if line.code in hidden:
            art += line.amount.amount
        elif line.code.startswith(("cost:", "rounding")):
            shown.append(PublicLine(line.code, line.label, line.amount))
        elif not hidden and line.code.startswith(apart):
            art -= line.amount.amount
            shown.append(PublicLine(line.code, line.label, line.amount))
    return (PublicLine("art", say("The work"), money(art, rules.currency)), *shown)


def _merged(rules: RuleSet, price: Price) -> frozenset[str]:
    """The lines that the public sees merged into the art: a cost at cost is the cost itself."""
    kinds = {name: rules.rules.costs[name] for name in price.costs}
    return frozenset(f"cost:{name}" for name, rule in kinds.items() if rule.treatment == "at_cost" and not rule.show_at_cost)


QUOTES = Operation(
    "quoteWork",
    "POST",
    "/members/{member}/quotes",
    "Price one work",
    "The price of one work, line by line." + SAFE,
    (PublicQuote, MemberQuote),
    quote,
    QuoteRequest,
    scope="desk",
)
