"""Works left at an outlet: the list that goes with them, and the statement once some are sold or come back.

Knows nothing of files: the caller hands in the rules of a day. One bad work never sinks the rest.
Arithmetic, not advice: local law and the written agreement decide.
"""

from collections.abc import Callable, Iterable
from datetime import date
from decimal import Decimal
from typing import Literal

from msgspec import Struct

from evenhang.engine.consigned import ConsignedRow, ConsignedWork, Reckoned, State, check_days, reckon, refused_row
from evenhang.engine.dues import FIRST, OutletPayment, PaidFirst, PartyDue, PaymentRow, balances, payment_rows
from evenhang.engine.money import ZERO, Currency, Money, Ratio, exact, figure, money
from evenhang.engine.refusals import Contradictory, NotInForce, Refusal, Unknown
from evenhang.engine.rules import Commission, MarkUp, Purchase, RuleSet
from evenhang.engine.settlement import CAUTION

RulesOn = Callable[[date], RuleSet]
DAY_OF_SALE = "Sold works are reckoned by the terms of the day on which they were sold, the others by those of this statement's day."
TAX = "What is due to the tax office is paid by whoever accounts for the tax, the outlet or the member; tax law and the agreement decide."
BOUGHT = (
    "This outlet buys outright: what it has taken and not returned is owed at once, sold or not. "
    "A work sold outright and paid on delivery is no consignment (California Civil Code, s. 1738.5, read)."
)


class ConsignmentSum(Struct, frozen=True):
    """Sums over the works of one state, each the sum of the rows' written amounts. Of works that came back there is the price alone."""

    state: State
    works: int
    listed: Money
    discount: Money
    buyer_pays: Money
    outlet_share: Money
    proceeds: Money
    due: Money


class Consignment(Struct, frozen=True):
    """The works at an outlet, and what it owes to whom. `left_out` works have a reason instead of figures and are in no sum."""

    outlet: str
    title: str
    terms: Literal["commission", "mark-up", "purchase"]
    terms_percent: Ratio
    currency: Currency
    works: tuple[ConsignedRow, ...]
    left_out: int
    sums: tuple[ConsignmentSum, ...]
    payments: tuple[PaymentRow, ...]
    dues: tuple[PartyDue, ...]
    notes: tuple[str, ...]
    paid_first: PaidFirst = FIRST
    caution: str = CAUTION


@exact
def consign(
    rules: RuleSet, rules_on: RulesOn, outlet_name: str, works: tuple[ConsignedWork, ...], payments: Iterable[OutletPayment], on: date
) -> Consignment:
    """The statement as of the day `on`: sold works by the rules of the day they were sold (as yields are), the others by `rules`.

    Unknown for an outlet in which the member does not sell, and did not on the day of any of these sales.
    """
    home = _home(rules, rules_on, outlet_name, works)
    currency = home.outlet_currency(outlet_name)
    found: list[Reckoned] = []
    seen: set[str] = set()
    for i, work in enumerate(works):
        try:
            if work.id in seen:
                raise Contradictory("A work of this id stands further up already; it counts once.", "/id", "Give each work its own id.")
            check_days(work, on)
            found.append(reckon(_rules_of(rules, rules_on, work, outlet_name, currency), outlet_name, work))
        except Refusal as refusal:
            found.append(Reckoned(refused_row(work, refusal, f"#/works/{i}")))
        seen.add(work.id)
    paid = payment_rows(payments, currency, on)
    outlet = home.rules.outlets[outlet_name]
    rows = tuple(entry.row for entry in found)
    return Consignment(
        outlet=outlet_name,
        title=outlet.title,
        terms="commission" if isinstance(outlet.terms, Commission) else "mark-up" if isinstance(outlet.terms, MarkUp) else "purchase",
        terms_percent=figure(outlet.terms.percent),
        currency=currency,
        works=rows,
        left_out=sum(row.reason is not None for row in rows),
        sums=tuple(_sum(state, rows, currency) for state in ("there", "sold", "returned")),
        payments=paid,
        dues=balances((entry.dues for entry in found), paid, currency),
        notes=_notes(home, outlet_name, money(sum((entry.comes_back for entry in found), ZERO), currency)),
    )


def _home(rules: RuleSet, rules_on: RulesOn, outlet_name: str, works: tuple[ConsignedWork, ...]) -> RuleSet:
    """The rules that know the outlet: those of today or, of one given up since, those of the last sale there."""
    if outlet_name in rules.rules.sells_in:
        return rules
    for day in sorted({work.sold_on for work in works if work.sold_on is not None and work.sold_on < rules.effective_from}, reverse=True):
        try:
            then = rules_on(day)
        except NotInForce:
            break
        if outlet_name in then.rules.sells_in:
            return then
    raise Unknown.name("outlet", outlet_name, rules.rules.sells_in, "/outlet")


def _rules_of(rules: RuleSet, rules_on: RulesOn, work: ConsignedWork, outlet_name: str, currency: str) -> RuleSet:
    """The rules of the day of the sale; those of the statement's day for a work that is not sold. One statement is in one currency."""
    if work.sold_on is None:
        return rules
    try:
        then = rules_on(work.sold_on)
    except NotInForce as refusal:
        raise NotInForce(refusal.detail, "/sold_on", refusal.cure) from None
    if outlet_name in then.rules.sells_in and then.outlet_currency(outlet_name) != currency:
        detail = f"On that day the outlet sold in {then.outlet_currency(outlet_name)}, on this statement it does in {currency}."
        raise Contradictory(detail, "/sold_on", "Make a statement for each currency.")
    return then


def _sum(state: State, rows: tuple[ConsignedRow, ...], currency: str) -> ConsignmentSum:
    chosen = [row for row in rows if row.state == state and row.reason is None]

    def total(amounts: Iterable[Money | None]) -> Money:
        return money(sum((amount.amount for amount in amounts if amount is not None), Decimal(0)), currency)

    return ConsignmentSum(
        state=state,
        works=len(chosen),
        listed=total(row.listed for row in chosen),
        discount=total(row.discount for row in chosen),
        buyer_pays=total(row.buyer_pays for row in chosen),
        outlet_share=total(row.outlet_share for row in chosen),
        proceeds=total(row.proceeds for row in chosen),
        due=total(row.due for row in chosen),
    )


def _notes(home: RuleSet, outlet_name: str, comes_back: Money) -> tuple[str, ...]:
    """What a reader of the statement has to know of this outlet's terms."""
    notes = [DAY_OF_SALE, TAX]
    if isinstance(home.rules.outlets[outlet_name].terms, Purchase):
        notes.append(BOUGHT)
    if comes_back.amount:
        notes.append(
            f"The tax on the outlet's commission, {comes_back.amount} {comes_back.currency} in all, comes back to the member: where the "
            "outlet keeps it until then, it pays out so much less."
        )
    return tuple(notes)
