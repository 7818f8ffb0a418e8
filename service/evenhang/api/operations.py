"""The operations: their request and answer structs, and a few lines each from request to engine and back."""

from collections.abc import Callable
from datetime import date
from decimal import Decimal
from typing import Annotated, Any, Literal

from msgspec import Meta, Struct

from evenhang.api.problems import Declined
from evenhang.engine.checks import CatalogueWork, Finding, check_catalogue
from evenhang.engine.money import ZERO, Amount, GivenMoney, Money, Ratio, figure, money
from evenhang.engine.quote import Line, OutletPrice, Price, outlet_prices, price_work, settle_everywhere, tax_of
from evenhang.engine.refusals import Refusal, RulesMoved
from evenhang.engine.rounding import to_grid
from evenhang.engine.rules import RuleSet
from evenhang.engine.settlement import CAUTION, Settlement, settle
from evenhang.engine.sizes import PER
from evenhang.engine.works import Name, Work, WorkCost
from evenhang.rulebook.book import RuleBook

Digest = Annotated[str, Meta(pattern="^[0-9a-f]{64}$", max_length=64)]


class RulesUsed(Struct, frozen=True):
    """The rule set behind an answer."""

    digest: Digest
    effective_from: date
    effective_until: date | None


class QuoteRequest(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """One work to price. The member's view adds workings, rules, costs and settlements."""

    work: Work
    view: Literal["public", "member"] = "public"
    as_of: date | None = None
    rules_digest: Digest | None = None


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
    lines: tuple[PublicLine, ...]
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
    lines: tuple[Line, ...]
    unit_rate_per_cm2: Ratio | None
    unit_rate_per_in2: Ratio | None
    tax_kind: Literal["none", "included", "added"]
    tax: Money
    outlets: tuple[OutletPrice, ...]
    settlements: tuple[Settlement, ...]
    statement: str
    caution: str = CAUTION


class SettlementRequest(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """A listed price in the member's currency or the outlet's, and what was agreed about it."""

    outlet: Name
    price: GivenMoney
    discount_percent: Amount | None = None
    costs: Annotated[tuple[WorkCost, ...], Meta(max_length=50)] = ()
    hours: Amount | None = None
    as_of: date | None = None
    rules_digest: Digest | None = None


class SettlementAnswer(Struct, frozen=True):
    """What the price leaves in that outlet."""

    member: str
    as_of: date
    rules: RulesUsed
    settlement: Settlement


class CheckRequest(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """A catalogue to check."""

    works: Annotated[tuple[CatalogueWork, ...], Meta(max_length=10_000)]
    as_of: date | None = None
    rules_digest: Digest | None = None


class CheckAnswer(Struct, frozen=True):
    """The findings over a catalogue; `clean` where there is no contradiction."""

    member: str
    as_of: date
    rules: RulesUsed
    checked: int
    clean: bool
    findings: tuple[Finding, ...]


class MemberRow(Struct, frozen=True):
    """A member, its media and outlets by their public names, and the rules in force."""

    member: str
    title: str
    media: tuple[str, ...]
    outlets: tuple[str, ...]
    rules: RulesUsed


class Members(Struct, frozen=True):
    """All members with rules in force."""

    as_of: date
    members: tuple[MemberRow, ...]


class Call(Struct, frozen=True):
    """One request, read: the rule book, the member of the path, today, and the body."""

    book: RuleBook
    member: str
    today: date
    body: Any = None


class Operation(Struct, frozen=True):
    """One row of the contract."""

    id: str
    method: Literal["GET", "POST"]
    path: str
    summary: str
    description: str
    answer: tuple[type, ...]
    run: Callable[[Call], Struct]
    request: type | None = None


def _resolve(call: Call) -> tuple[RuleSet, date]:
    on = call.body.as_of or call.today
    if call.member not in call.book.segments:
        raise Declined(404, "There is no such member.")
    rules = call.book.in_force(call.member, on)
    pinned = call.body.rules_digest
    if pinned is not None and pinned != rules.digest:
        raise RulesMoved("Another rule set is in force on that day.", "/rules_digest", f"In force: {rules.digest}.")
    return rules, on


def _used(rules: RuleSet) -> RulesUsed:
    return RulesUsed(rules.digest, rules.effective_from, rules.effective_until)


def list_members(call: Call) -> Members:
    rows = []
    for member, sets in call.book.segments.items():
        if sets[0].effective_from <= call.today:
            rules = call.book.in_force(member, call.today)
            outlets = tuple(rules.rules.outlets[name].title for name in rules.rules.sells_in)
            rows.append(MemberRow(member, rules.rules.title, tuple(rules.rules.media), outlets, _used(rules)))
    return Members(call.today, tuple(rows))


def quote(call: Call) -> PublicQuote | MemberQuote:
    rules, on = _resolve(call)
    try:
        price = price_work(rules, call.body.work, on)
    except Refusal as refusal:
        raise refusal.under("/work") from None
    retail = money(price.retail, rules.currency)
    kind, tax = tax_of(rules, price.retail)
    statement = f"This work is {retail.amount} {retail.currency}, the same wherever you buy it."
    outlets = outlet_prices(rules, price.retail)
    if call.body.view == "public":
        lines = _public_lines(rules, price)
        return PublicQuote(rules.member, on, _used(rules), retail, lines, kind, tax, outlets, statement)
    per_cm2, per_in2 = (figure(price.art * unit / price.area_mm2) if price.area_mm2 else None for unit in (PER["cm2"][1], PER["in2"][1]))
    settled = settle_everywhere(rules, price)
    return MemberQuote(
        rules.member,
        on,
        _used(rules),
        retail,
        price.lines,
        per_cm2,
        per_in2,
        kind,
        tax,
        outlets,
        settled,
        statement,
    )


def _public_lines(rules: RuleSet, price: Price) -> tuple[PublicLine, ...]:
    """The art as one line, each charged item, the rounding; a cost at cost is merged into the art unless shown."""
    art, shown = price.art, []
    for line in price.lines:
        name = line.code.removeprefix("cost:")
        if name != line.code and rules.rules.costs[name].treatment == "at_cost" and not rules.rules.costs[name].show_at_cost:
            art += line.amount.amount
        elif name != line.code or line.code == "rounding":
            shown.append(PublicLine(line.code, line.label, line.amount))
    return (PublicLine("art", "The work", money(art, rules.currency)), *shown)


def settlement(call: Call) -> SettlementAnswer:
    rules, on = _resolve(call)
    asked: SettlementRequest = call.body
    rules.outlet(asked.outlet)
    currency = rules.outlet_currency(asked.outlet)
    listed: Decimal
    if asked.price.currency == currency:
        listed = asked.price.in_currency(currency, "/price")
    else:
        listed = to_grid(rules.rounding(currency), asked.price.in_currency(rules.currency, "/price") * rules.rate(currency))
    costs = {c.name: c.amount.in_currency(rules.currency, f"/costs/{i}/amount") for i, c in enumerate(asked.costs) if c.amount}
    return SettlementAnswer(
        rules.member, on, _used(rules), settle(rules, asked.outlet, listed, asked.discount_percent or ZERO, costs, asked.hours)
    )


def check(call: Call) -> CheckAnswer:
    rules, on = _resolve(call)
    works: tuple[CatalogueWork, ...] = call.body.works
    findings = tuple(check_catalogue(rules, works, on))
    clean = not any(f.severity == "contradiction" for f in findings)
    return CheckAnswer(rules.member, on, _used(rules), len(works), clean, findings)


SAFE = " Changes nothing and is safe to repeat."
OPERATIONS = (
    Operation("listMembers", "GET", "/members", "Members", "Members, what they sell, the rules in force.", (Members,), list_members),
    Operation("quoteWork", "POST", "/members/{member}/quotes", "Price one work", "The price of one work, line by line." + SAFE,
              (PublicQuote, MemberQuote), quote, QuoteRequest),
    Operation("settleSale", "POST", "/members/{member}/settlements", "Settle a sale", "What a price leaves in an outlet." + SAFE,
              (SettlementAnswer,), settlement, SettlementRequest),
    Operation("checkCatalogue", "POST", "/members/{member}/checks", "Check a catalogue", "Contradictions in a catalogue." + SAFE,
              (CheckAnswer,), check, CheckRequest),
)  # fmt: skip
