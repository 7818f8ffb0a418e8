"""From the price to the member: who gets what of a sale, step by step.

Knows nothing of works: a listed price, an outlet's terms, a discount and the costs come in.
Arithmetic, not advice: local law and the written agreement decide.
"""

from collections.abc import Mapping
from decimal import Context, Decimal
from typing import Literal

from msgspec import Struct, field

from evenhang.engine.money import HUNDRED, ZERO, Money, exact, money, up_to_minor
from evenhang.engine.rules import Commission, MarkUp, RuleSet, TaxIncluded
from evenhang.engine.sale import Sale, costs_in, sell
from evenhang.engine.saying import say
from evenhang.engine.steps import Step, steps_of

ADVICE = say("Arithmetic, not advice: local law and the written agreement decide; ask a licensed adviser.")
# The default of every answer's `caution`. A factory, for a schema can write a plain text as a default, but not a Said.
CAUTION: str = field(default_factory=lambda: ADVICE)
_SETTLED = Context(prec=40)


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
    rules.outlet(outlet_name)
    own = costs_in(rules, costs or {}, outlet_name)
    sold = sell(rules, outlet_name, listed, discount_percent, own.frame)
    earnings = sold.proceeds - own.total
    return Settlement(
        outlet=outlet_name,
        steps=steps_of(rules, outlet_name, sold, own, discount_percent, hours),
        shares=shares_of(sold),
        buyer_pays=money(sold.pays, sold.currency),
        proceeds=money(sold.proceeds, sold.currency),
        earnings=money(earnings, sold.currency),
        yield_per_hour=money(earnings / hours, sold.currency) if hours else None,
        yield_note="" if hours else say("No hours were given, so there is no yield."),
        note=note_of(sold),
    )


def shares_of(sold: Sale) -> tuple[Share, ...]:
    """Whose share is whose. Recoverable tax on commission is paid by the member and comes back to them: it passes no share."""

    def borne(party: str) -> Decimal:
        return sold.fee if sold.bearer == party else ZERO

    return (
        Share("member", money(sold.proceeds, sold.currency)),
        Share("outlet", money(sold.kept.amount - borne("outlet"), sold.currency)),
        Share("collective", money(sold.levy - borne("house"), sold.currency)),
        Share("payment-provider", money(sold.fee, sold.currency)),
        Share("tax-office", money(sold.tax + sold.tax_passed, sold.currency)),
    )


def note_of(sold: Sale) -> str:
    """What the floor at 0 of the commission leaves to the member, said where it bites."""
    if not sold.kept.uncovered:
        return ""
    over = money(sold.kept.uncovered, sold.currency)
    return say("The outlet's part of the discount is larger than its commission; the rest falls on the member: {amount}.", amount=over)


@exact
def marginal_share(rules: RuleSet, outlet_name: str, discount_percent: Decimal = ZERO) -> tuple[Decimal, Decimal]:
    """Per unit of price in that outlet: what reaches the member, and what its commission takes of a base of 1.

    Fixed fees left out, and the rounding of a discount ignored; the commission counts its tax unless recoverable, and what its outlet
    bears of a discount takes it down to 0 and no further.
    """
    outlet = rules.rules.outlets[outlet_name]
    tax = rules.outlet_tax(outlet_name)
    # Parts of the net sale, and the net itself last: rounded before, it would leave a trace where nothing is left.
    net = HUNDRED / (HUNDRED + tax.percent) if isinstance(tax, TaxIncluded) else Decimal(1)
    pays = 1 + tax.percent / HUNDRED
    levy = rules.rules.levy_percent / HUNDRED
    if isinstance(outlet.terms, MarkUp):
        return net * (HUNDRED / (HUNDRED + outlet.terms.percent) - levy), ZERO
    if not isinstance(outlet.terms, Commission):
        return net * (outlet.terms.percent / HUNDRED - levy), ZERO
    charged = outlet.tax_on_commission
    with_tax = 1 + (charged.percent / HUNDRED if charged and not charged.recoverable else ZERO)
    taken = outlet.terms.percent / HUNDRED * with_tax
    off = discount_percent / HUNDRED
    within = min(off, outlet.discount.limit_percent / HUNDRED)
    sale, counted = 1 - off, 1 - within if outlet.discount.share == "both" else Decimal(1)
    borne = (1 - outlet.discount.member_percent / HUNDRED) * within if outlet.discount.share == "split" else ZERO
    if outlet.discount.beyond_limit == "outlet":
        borne += off - within
    fee = pays * outlet.payment_fee.percent / HUNDRED if outlet.payment_fee and outlet.payment_fee.borne_by == "member" else ZERO
    base = pays if outlet.commission_base == "gross" else Decimal(1)
    kept = taken * base * counted - borne * with_tax
    if kept < 0:  # nothing is left to the outlet: what leaves its base saves nothing
        kept = taken = ZERO
    return net * (sale * (1 - fee - levy) - kept), taken


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
    # The last digits of a quotient are rounded ones: they must not lift an exact amount by a whole cent.
    return up_to_minor(_SETTLED.plus(best), rules.currency), worst
