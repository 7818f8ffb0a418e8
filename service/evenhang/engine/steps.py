"""A settled sale in words: each step with its label, the rule that made it, and the sum to follow with a pencil.

Knows nothing of how the figures came about: it writes down a Sale.
"""

from collections.abc import Iterator
from decimal import Decimal

from msgspec import Struct

from evenhang.engine.money import HUNDRED, ZERO, Money, in_percent, minor_unit, money, numeral
from evenhang.engine.rules import Commission, MarkUp, NoTax, Origin, Outlet, RuleSet, TaxAdded
from evenhang.engine.sale import OwnCosts, Sale
from evenhang.engine.saying import Numeral, Said, reckon, say

PAYERS = {"member": say("the member"), "outlet": say("the outlet"), "house": say("the collective")}
# Code, label, amount, path of the rule, working.
Row = tuple[str, str, Decimal, str, str]


class Step(Struct, frozen=True):
    """One step of a settlement, the rule that made it, and the sum in words."""

    code: str
    label: str
    amount: Money
    rule: Origin
    working: str


def steps_of(rules: RuleSet, name: str, sold: Sale, costs: OwnCosts, percent: Decimal, hours: Decimal | None) -> tuple[Step, ...]:
    """Every step from the listed price to the yield, in the order in which it is worked out."""
    rows = (
        *_to_the_net(rules, name, sold, percent),
        *_to_the_proceeds(rules, name, sold, costs.frame),
        *_to_the_yield(rules, name, sold, costs, hours),
    )
    return tuple(Step(code, label, money(amount, sold.currency), rules.origin(path), words) for code, label, amount, path, words in rows)


def _text(sold: Sale, amount: Decimal) -> Numeral:
    """An amount with its currency's minor digits; anything finer as it is."""
    unit = minor_unit(sold.currency)
    return Numeral(format(amount.quantize(unit), "f")) if amount % unit == 0 else numeral(amount)


def _less(sold: Sale, first: Decimal, *others: Decimal) -> Said | Numeral:
    """`first` less whatever of the others is not 0."""
    words: Said | Numeral = _text(sold, first)
    for other in others:
        if other > 0:
            words = reckon("{sum} - {amount}", sum=words, amount=_text(sold, other))
        elif other < 0:
            words = reckon("{sum} + {amount}", sum=words, amount=_text(sold, -other))
    return words


def _part(percent: Decimal, whole: Numeral) -> Said:
    return say("{percent} of {whole}", percent=in_percent(percent), whole=whole)


def _to_the_net(rules: RuleSet, name: str, sold: Sale, percent: Decimal) -> Iterator[Row]:
    """Listed price, discount, sale, tax, what the buyer pays, net sale."""
    outlet, tax = rules.rules.outlets[name], rules.outlet_tax(name)
    discounting = f"outlets.{name}.discount"
    taxing = f"outlets.{name}.tax" if outlet.tax is not None else "tax"
    yield "listed", say("Listed price"), sold.listed, "rounding", say("as it is listed")
    off = _part(percent, _text(sold, sold.listed)) if percent else say("no discount")
    yield "discount", say("Discount"), sold.discount, discounting, off
    yield "sale", say("Sale"), sold.sale, discounting, _less(sold, sold.listed, sold.discount)
    sale, rate = _text(sold, sold.sale), numeral(tax.percent)
    pays: str = sale
    if isinstance(tax, NoTax):
        words = say("no tax")
    elif isinstance(tax, TaxAdded):
        words = say("{part}, on top", part=_part(tax.percent, sale))
        pays = reckon("{sale} + {tax}", sale=sale, tax=_text(sold, sold.tax))
    else:
        words = say("{sale} x {rate} / {whole}, contained in it", sale=sale, rate=rate, whole=numeral(HUNDRED + tax.percent))
        pays = say("{sale}, its tax contained", sale=sale)
    yield "tax", say("Tax"), sold.tax, taxing, words
    yield "buyer-pays", say("Buyer pays"), sold.pays, taxing, pays
    yield "net-sale", say("Net sale"), sold.net, taxing, _less(sold, sold.pays, sold.tax)


def _to_the_proceeds(rules: RuleSet, name: str, sold: Sale, frame: Decimal) -> Iterator[Row]:
    """Payment fee, what the outlet keeps, tax on it, levy, proceeds."""
    at, outlet = f"outlets.{name}", rules.rules.outlets[name]
    fee = outlet.payment_fee
    words: str = say("no payment fee")
    if fee is not None:
        part = _part(fee.percent, _text(sold, sold.pays))
        part = reckon("{part} + {fixed}", part=part, fixed=_text(sold, fee.fixed)) if fee.fixed else part
        words = say("{fee}, borne by {payer}", fee=part, payer=PAYERS[sold.bearer])
    yield "payment-fee", say("Payment fee"), sold.fee, f"{at}.payment_fee", words
    yield from _kept(rules, name, outlet, sold, frame)
    words = say("no tax on the commission")
    if outlet.tax_on_commission is not None and sold.kept.fixed is None:
        words = _part(outlet.tax_on_commission.percent, _text(sold, sold.kept.amount))
        words = say("{part}, which comes back to the member", part=words) if sold.recoverable else words
    yield "tax-on-commission", say("Tax on commission"), sold.on_commission, f"{at}.tax_on_commission", words
    percent = rules.rules.levy_percent
    words = _part(percent, _text(sold, sold.levied)) if percent else say("no levy")
    yield "levy", say("Levy of the collective"), sold.levy, "levy_percent", words
    words = _less(sold, sold.net, sold.members_fee, sold.kept.amount, sold.tax_passed, sold.levy)
    yield "proceeds", say("Proceeds"), sold.proceeds, f"{at}.terms", words


def _kept(rules: RuleSet, name: str, outlet: Outlet, sold: Sale, frame: Decimal) -> Iterator[Row]:
    """The commission and its base; or the member's fixed amount, and the rest that is the outlet's."""
    kept, at, terms = sold.kept, f"outlets.{name}", outlet.terms
    if not isinstance(terms, Commission):
        net = _text(sold, kept.counted)
        words: str = _part(terms.percent, net)
        if isinstance(terms, MarkUp):
            words = reckon("{net} x 100 / {whole}", net=net, whole=numeral(HUNDRED + terms.percent))
        words = say("{sum}, the net price without discount", sum=words) if sold.discount else words
        yield "member-amount", say("The member's fixed amount"), kept.base, f"{at}.terms", words
        yield "commission", say("The outlet's rest"), kept.amount, f"{at}.terms", _less(sold, sold.net, kept.base)
        return
    first = frame if outlet.frame_first else ZERO
    words = _less(sold, kept.counted, kept.counted - kept.before, first)
    words = say("{sum}, of the price less the discount within its limit", sum=words) if kept.counted != sold.listed else words
    if kept.before < kept.counted:
        words = say("{sum}, less its tax", sum=words)
    elif kept.before > kept.counted:
        words = say("{sum}, with its tax", sum=words)
    words = say("{sum}, less the frame", sum=words) if first else words
    words = say("{sum}, never below 0", sum=words) if first > kept.before else words
    yield "commission-base", say("Base of the commission"), kept.base, f"{at}.commission_base", words
    words = _part(terms.percent, _text(sold, kept.base))
    if kept.off:
        words = say("{part} - {off}, the outlet's part of the discount", part=words, off=_text(sold, kept.off))
    words = say("{sum}, never below 0", sum=words) if kept.uncovered else words
    yield "commission", say("Commission"), kept.amount, f"{at}.terms", words


def _to_the_yield(rules: RuleSet, name: str, sold: Sale, costs: OwnCosts, hours: Decimal | None) -> Iterator[Row]:
    """Each of the work's own costs, their sum, earnings, and the yield where there are hours."""
    rate = rules.rate(sold.currency)
    words = say("as stated")
    if sold.currency != rules.currency:
        words = say("as stated in {currency}, x {rate}", currency=rules.currency, rate=numeral(rate))
    for cost, amount in costs.lines.items():
        yield f"cost:{cost}", rules.rules.costs[cost].title, amount, f"costs.{cost}", words
    first, *rest = costs.lines.values() or (ZERO,)
    added = _less(sold, first, *(-amount for amount in rest)) if costs.lines else say("no costs were given")
    yield "costs", say("The work's own costs"), costs.total, "costs", added
    earnings = sold.proceeds - costs.total
    yield "earnings", say("Earnings"), earnings, f"outlets.{name}.terms", _less(sold, sold.proceeds, costs.total)
    if hours:
        words = reckon("{earnings} / {hours} h", earnings=_text(sold, earnings), hours=numeral(hours))
        yield "yield", say("Yield per hour"), earnings / hours, f"outlets.{name}.terms", words
