"""From the price to the member: who gets what of a sale, step by step.

Knows nothing of works: a listed price, an outlet's terms, a discount and the costs come in.
Arithmetic, not advice: local law and the written agreement decide.
"""

from collections.abc import Mapping
from decimal import Decimal
from typing import Literal

from msgspec import Struct

from evenhang.engine.money import HUNDRED, ZERO, Money, Ratio, exact, figure, money, to_minor, up_to_minor
from evenhang.engine.refusals import OutOfRange, Unknown
from evenhang.engine.rules import Commission, MarkUp, NoTax, Origin, Outlet, PaymentFee, RuleSet, Tax, TaxAdded, TaxIncluded

CAUTION = "Arithmetic, not advice: local law and the written agreement decide; ask a licensed adviser."


class Step(Struct, frozen=True):
    """One step of a settlement and the rule that made it."""

    code: str
    label: str
    amount: Money
    rule: Origin


class Share(Struct, frozen=True):
    """What one party gets of what the buyer paid; it may be negative and is shown so."""

    party: Literal["member", "outlet", "collective", "payment-provider", "tax-office"]
    amount: Money


class Settlement(Struct, frozen=True):
    """What a sale in one outlet leaves. `shares` sum to `buyer_pays`, to the last cent."""

    outlet: str
    steps: tuple[Step, ...]
    shares: tuple[Share, ...]
    buyer_pays: Money
    proceeds: Money
    earnings: Money
    yield_per_hour: Money | None = None
    yield_note: str = ""
    note: str = ""
    caution: str = CAUTION


def tax_in(tax: Tax, sale: Decimal) -> Decimal:
    """The tax contained in a sale, or added on top of it; unrounded."""
    if isinstance(tax, TaxIncluded):
        return sale * tax.percent / (HUNDRED + tax.percent)
    return sale * tax.percent / HUNDRED


def _paid(tax: Tax, sale: Decimal, currency: str) -> tuple[Decimal, Decimal]:
    """What the buyer pays for a sale, and the net sale, each by the rounded tax."""
    amount = to_minor(tax_in(tax, sale), currency)
    pays = sale + amount if isinstance(tax, TaxAdded) else sale
    return pays, pays - amount


@exact
def settle(
    rules: RuleSet,
    outlet_name: str,
    listed: Decimal,
    discount_percent: Decimal = ZERO,
    costs: Mapping[str, Decimal] | None = None,
    hours: Decimal | None = None,
) -> Settlement:
    """The settlement of a sale at the `listed` price, in the outlet's currency.

    `costs` are in the member's currency and become rounded lines of the outlet's. Unknown for an
    outlet or a cost that the member does not have, OutOfRange for a discount over 100 %.
    """
    if discount_percent > HUNDRED:
        raise OutOfRange("A discount is at most 100 %.", "/discount_percent")
    outlet = rules.outlet(outlet_name)
    currency = rules.outlet_currency(outlet_name)
    tax = rules.outlet_tax(outlet_name)
    own_costs, frame = _costs(rules, costs or {}, currency)

    discount = to_minor(listed * discount_percent / HUNDRED, currency)
    sale = listed - discount
    pays, net = _paid(tax, sale, currency)
    fee = _fee(outlet.payment_fee, pays, currency)
    levy_base = net
    note = ""
    if isinstance(outlet.terms, Commission):
        commission, note = _commission(outlet, tax, listed, discount, frame, currency)
        charged = outlet.tax_on_commission
        on_commission = to_minor(commission * charged.percent / HUNDRED, currency) if charged else ZERO
        members_fee = fee if outlet.payment_fee and outlet.payment_fee.borne_by == "member" else ZERO
    else:
        # The member's amount is fixed on the undiscounted net; everything else is the outlet's affair.
        levy_base = _paid(tax, listed, currency)[1]
        percent = outlet.terms.percent
        part = HUNDRED / (HUNDRED + percent) if isinstance(outlet.terms, MarkUp) else percent / HUNDRED
        commission = net - to_minor(levy_base * part, currency)
        on_commission = members_fee = ZERO
    levy = to_minor(levy_base * rules.rules.levy_percent / HUNDRED, currency)
    recoverable = bool(outlet.tax_on_commission and outlet.tax_on_commission.recoverable)
    proceeds = net - members_fee - commission - (ZERO if recoverable else on_commission) - levy
    earnings = proceeds - own_costs

    at = f"outlets.{outlet_name}"
    origin = rules.origin
    tax_path = f"{at}.tax" if outlet.tax is not None else "tax"
    rows = (
        ("listed", "Listed price", listed, "rounding"),
        ("discount", "Discount", discount, f"{at}.discount"),
        ("sale", "Sale", sale, f"{at}.discount"),
        ("tax", "Tax", pays - net, tax_path),
        ("buyer-pays", "Buyer pays", pays, tax_path),
        ("net-sale", "Net sale", net, tax_path),
        ("payment-fee", "Payment fee", fee, f"{at}.payment_fee"),
        ("commission", "Commission", commission, f"{at}.terms"),
        ("tax-on-commission", "Tax on commission", on_commission, f"{at}.tax_on_commission"),
        ("levy", "Levy of the collective", levy, "levy_percent"),
        ("proceeds", "Proceeds", proceeds, f"{at}.terms"),
        ("costs", "The work's own costs", own_costs, "costs"),
        ("earnings", "Earnings", earnings, f"{at}.terms"),
    )
    # A purchasing or mark-up outlet bears the fee whatever the terms of payment say, but for the house.
    bearer = outlet.payment_fee.borne_by if outlet.payment_fee else "outlet"
    if not isinstance(outlet.terms, Commission):
        bearer = "outlet"
    # Recoverable tax on commission is paid by the member and comes back to them: it passes no share.
    passed = ZERO if recoverable else on_commission
    shares = (
        Share("member", money(proceeds, currency)),
        Share("outlet", money(commission - (fee if bearer == "outlet" else ZERO), currency)),
        Share("collective", money(levy - (fee if bearer == "house" else ZERO), currency)),
        Share("payment-provider", money(fee, currency)),
        Share("tax-office", money(pays - net + passed, currency)),
    )
    return Settlement(
        outlet=outlet_name,
        steps=tuple(Step(code, label, money(amount, currency), origin(path)) for code, label, amount, path in rows),
        shares=shares,
        buyer_pays=money(pays, currency),
        proceeds=money(proceeds, currency),
        earnings=money(earnings, currency),
        yield_per_hour=money(earnings / hours, currency) if hours else None,
        yield_note="" if hours else "No hours were given, so there is no yield.",
        note=note,
    )


def _fee(fee: PaymentFee | None, pays: Decimal, currency: str) -> Decimal:
    return to_minor(pays * fee.percent / HUNDRED + fee.fixed, currency) if fee else ZERO


def _costs(rules: RuleSet, costs: Mapping[str, Decimal], currency: str) -> tuple[Decimal, Decimal]:
    """The costs as rounded lines of the outlet's currency: their sum, and the frame's part of it."""
    total = frame = ZERO
    for name, amount in costs.items():
        rule = rules.rules.costs.get(name)
        if rule is None:
            raise Unknown.name("cost", name, rules.rules.costs, "/costs")
        line = to_minor(amount * rules.rate(currency), currency)
        total += line
        frame += line if rule.frame else ZERO
    return total, frame


def _commission(outlet: Outlet, tax: Tax, listed: Decimal, discount: Decimal, frame: Decimal, currency: str) -> tuple[Decimal, str]:
    """The commission, rounded once, and a note where the floor at 0 leaves the member more of the discount."""
    rule = outlet.discount
    within = min(discount, to_minor(listed * rule.limit_percent / HUNDRED, currency))

    def net(sale: Decimal) -> Decimal:
        return _paid(tax, sale, currency)[1]

    sale_for_base = listed - within if rule.share == "both" else listed
    pays_for_base, net_for_base = _paid(tax, sale_for_base, currency)
    base = pays_for_base if outlet.commission_base == "gross" else net_for_base
    if outlet.frame_first:
        base = max(ZERO, base - frame)
    off = ZERO
    if rule.share == "split":
        off = (HUNDRED - rule.member_percent) / HUNDRED * (net(listed) - net(listed - within))
    if rule.beyond_limit == "outlet":
        off += net(listed - within) - net(listed - discount)
    due = base * outlet.terms.percent / HUNDRED - off
    note = "The outlet's part of the discount is larger than its commission; the rest falls on the member." if due < 0 else ""
    return to_minor(max(ZERO, due), currency), note


@exact
def marginal_share(rules: RuleSet, outlet_name: str) -> tuple[Decimal, Decimal]:
    """Per unit of price in that outlet: what reaches the member, and what its commission takes of a base of 1.

    No discount, fixed fees left out, the base's floor ignored; the commission counts its tax unless recoverable.
    """
    outlet = rules.rules.outlets[outlet_name]
    tax = rules.outlet_tax(outlet_name)
    pays = 1 + tax.percent / HUNDRED if isinstance(tax, TaxAdded) else Decimal(1)
    net = Decimal(1) if isinstance(tax, (TaxAdded, NoTax)) else HUNDRED / (HUNDRED + tax.percent)
    levy = net * rules.rules.levy_percent / HUNDRED
    if isinstance(outlet.terms, MarkUp):
        return net * HUNDRED / (HUNDRED + outlet.terms.percent) - levy, ZERO
    if not isinstance(outlet.terms, Commission):
        return net * outlet.terms.percent / HUNDRED - levy, ZERO
    charged = outlet.tax_on_commission
    with_tax = 1 + (charged.percent / HUNDRED if charged and not charged.recoverable else ZERO)
    taken = outlet.terms.percent / HUNDRED * with_tax
    fee = pays * outlet.payment_fee.percent / HUNDRED if outlet.payment_fee and outlet.payment_fee.borne_by == "member" else ZERO
    base = pays if outlet.commission_base == "gross" else net
    return net - fee - taken * base - levy, taken


@exact
def recovering_price(rules: RuleSet, cost: Decimal, *, frame: bool) -> tuple[Decimal, str]:
    """What must be added to the price so that `cost` comes back wherever the work sells, rounded up, and the outlet that sets it.

    Where an outlet takes the frame out of its base first, its commission falls by the frame's part,
    and so does what must be added.
    """
    best, worst = ZERO, ""
    for name in rules.rules.sells_in:
        share, taken = marginal_share(rules, name)
        relief = taken if frame and rules.rules.outlets[name].frame_first else ZERO
        needed = cost * (1 - relief) / share
        if needed > best:
            best, worst = needed, name
    return up_to_minor(best, rules.currency), worst


def percent_text(value: Decimal) -> Ratio:
    """A percentage as the answers write it."""
    return figure(value, 6)
