"""The sums of one sale in one outlet: discount, tax, fee, commission, levy, proceeds.

Knows nothing of works, hours or words: `settlement.py` writes a sale out for people, `target.py` runs it over
many prices. All amounts are in the outlet's currency; each is rounded once, when it is written.
"""

from collections.abc import Mapping
from decimal import Decimal

from msgspec import Struct

from evenhang.engine.money import HUNDRED, ZERO, exact, to_minor
from evenhang.engine.refusals import OutOfRange, Unknown
from evenhang.engine.rounding import to_grid
from evenhang.engine.rules import Commission, MarkUp, Outlet, Party, PaymentFee, Purchase, RuleSet, Tax, TaxAdded, TaxIncluded
from evenhang.engine.saying import say


class OwnCosts(Struct, frozen=True):
    """A work's own costs as rounded lines of an outlet's currency, by name, and the frame's part of them."""

    lines: dict[str, Decimal]
    total: Decimal
    frame: Decimal


class Kept(Struct, frozen=True):
    """What an outlet keeps, and the figures behind it.

    Under a commission: the sale that counts, the base `before` and after the frame, the outlet's part of the discount
    (`off`, unrounded), and what the floor at 0 leaves of that part to the member. Where the outlet adds a mark-up or
    buys outright, `fixed` is the member's amount, `counted` the net price it is taken from, and the rest is the outlet's.
    """

    counted: Decimal
    before: Decimal
    base: Decimal
    amount: Decimal
    off: Decimal = ZERO
    uncovered: Decimal = ZERO
    fixed: Decimal | None = None


class Sale(Struct, frozen=True):
    """One sale, from the listed price to the member's proceeds.

    `on_commission` is the tax that the outlet charges on its commission; where it is `recoverable` the member pays
    it and gets it back, so it takes nothing from the proceeds and passes no share.
    """

    currency: str
    listed: Decimal
    discount: Decimal
    sale: Decimal
    tax: Decimal
    pays: Decimal
    net: Decimal
    fee: Decimal
    bearer: Party
    kept: Kept
    on_commission: Decimal
    recoverable: bool
    levied: Decimal
    levy: Decimal

    @property
    def members_fee(self) -> Decimal:
        return self.fee if self.bearer == "member" else ZERO

    @property
    def tax_passed(self) -> Decimal:
        """The tax on the commission that the member is left with."""
        return ZERO if self.recoverable else self.on_commission

    @property
    def proceeds(self) -> Decimal:
        return self.net - self.members_fee - self.kept.amount - self.tax_passed - self.levy


@exact
def sell(rules: RuleSet, outlet_name: str, listed: Decimal, discount_percent: Decimal = ZERO, frame: Decimal = ZERO) -> Sale:
    """The sums of a sale at the `listed` price; `frame` is the frame's cost, both in the outlet's currency.

    Unknown for an outlet that the member does not have, OutOfRange for a discount over 100 %.
    """
    if discount_percent > HUNDRED:
        raise OutOfRange(say("A discount is at most 100 %."), "/discount_percent")
    outlet = rules.outlet(outlet_name)
    currency = rules.outlet_currency(outlet_name)
    tax = rules.outlet_tax(outlet_name)
    discount = to_minor(listed * discount_percent / HUNDRED, currency)
    pays, net = paid(tax, listed - discount, currency)
    fee, bearer = _fee(outlet, pays, currency)
    charged = None
    levied = net
    if isinstance(outlet.terms, Commission):
        kept = _commission(outlet, outlet.terms, tax, listed, discount, frame, currency)
        charged = outlet.tax_on_commission
    else:
        # The member's amount is fixed on the undiscounted net; everything else is the outlet's affair.
        levied = paid(tax, listed, currency)[1]
        kept = _rest(outlet.terms, net, levied, currency)
    return Sale(
        currency=currency,
        listed=listed,
        discount=discount,
        sale=listed - discount,
        tax=pays - net,
        pays=pays,
        net=net,
        fee=fee,
        bearer=bearer,
        kept=kept,
        on_commission=to_minor(kept.amount * charged.percent / HUNDRED, currency) if charged else ZERO,
        recoverable=bool(charged and charged.recoverable),
        levied=levied,
        levy=to_minor(levied * rules.rules.levy_percent / HUNDRED, currency),
    )


def tax_in(tax: Tax, sale: Decimal) -> Decimal:
    """The tax contained in a sale, or added on top of it; unrounded."""
    if isinstance(tax, TaxIncluded):
        return sale * tax.percent / (HUNDRED + tax.percent)
    return sale * tax.percent / HUNDRED


def paid(tax: Tax, sale: Decimal, currency: str) -> tuple[Decimal, Decimal]:
    """What the buyer pays for a sale, and the net sale, each by the rounded tax."""
    amount = to_minor(tax_in(tax, sale), currency)
    pays = sale + amount if isinstance(tax, TaxAdded) else sale
    return pays, pays - amount


def _fee(outlet: Outlet, pays: Decimal, currency: str) -> tuple[Decimal, Party]:
    """The payment fee and who bears it: a purchasing or mark-up outlet, whatever its terms of payment say."""
    fee: PaymentFee | None = outlet.payment_fee
    if fee is None:
        return ZERO, "outlet"
    amount = to_minor(pays * fee.percent / HUNDRED + fee.fixed, currency)
    return amount, fee.borne_by if isinstance(outlet.terms, Commission) else "outlet"


def _rest(terms: MarkUp | Purchase, net: Decimal, undiscounted: Decimal, currency: str) -> Kept:
    """What is left to an outlet that adds a mark-up or buys outright: the net sale less the member's fixed amount."""
    if isinstance(terms, MarkUp):
        fixed = to_minor(undiscounted * HUNDRED / (HUNDRED + terms.percent), currency)
    else:
        fixed = to_minor(undiscounted * terms.percent / HUNDRED, currency)
    return Kept(undiscounted, fixed, fixed, net - fixed, fixed=fixed)


def _commission(outlet: Outlet, terms: Commission, tax: Tax, listed: Decimal, discount: Decimal, frame: Decimal, currency: str) -> Kept:
    """The commission, rounded once and never below 0: base x percent, less the outlet's part of the discount."""
    rule = outlet.discount
    within = min(discount, to_minor(listed * rule.limit_percent / HUNDRED, currency))

    def net(sale: Decimal) -> Decimal:
        return paid(tax, sale, currency)[1]

    counted = listed - within if rule.share == "both" else listed
    pays_counted, net_counted = paid(tax, counted, currency)
    before = pays_counted if outlet.commission_base == "gross" else net_counted
    base = max(ZERO, before - frame) if outlet.frame_first else before
    off = ZERO
    if rule.share == "split":
        off = (HUNDRED - rule.member_percent) / HUNDRED * (net(listed) - net(listed - within))
    if rule.beyond_limit == "outlet":
        off += net(listed - within) - net(listed - discount)
    due = base * terms.percent / HUNDRED - off
    return Kept(counted, before, base, to_minor(max(ZERO, due), currency), off, to_minor(max(ZERO, -due), currency))


def costs_in(rules: RuleSet, costs: Mapping[str, Decimal], outlet_name: str) -> OwnCosts:
    """A work's own `costs`, in the member's currency, as rounded lines of the outlet's. Unknown for a cost these rules lack."""
    currency = rules.outlet_currency(outlet_name)
    rate = rules.rate(currency)
    lines: dict[str, Decimal] = {}
    frame = ZERO
    for name, amount in costs.items():
        rule = rules.rules.costs.get(name)
        if rule is None:
            raise Unknown.name("cost", name, rules.rules.costs, "/costs")
        lines[name] = to_minor(amount * rate, currency)
        frame += lines[name] if rule.frame else ZERO
    return OwnCosts(lines, sum(lines.values(), ZERO), frame)


def listed_in(rules: RuleSet, outlet_name: str, retail: Decimal) -> Decimal:
    """A retail price of the member's as it is listed in an outlet: in another currency by the pinned rate and that currency's steps."""
    currency = rules.outlet_currency(outlet_name)
    return retail if currency == rules.currency else to_grid(rules.rounding(currency), retail * rules.rate(currency))
