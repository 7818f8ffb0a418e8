"""Who is owed what of the money that came in for works at an outlet, who is paid first, and what is still to be paid.

Knows sales and payments, no works. Arithmetic, not advice: local law and the written agreement decide.
"""

from collections.abc import Iterable, Mapping
from datetime import date
from decimal import Decimal
from typing import Literal

from msgspec import Struct

from evenhang.engine.money import ZERO, GivenMoney, Money, money
from evenhang.engine.refusals import Contradictory, Refusal
from evenhang.engine.sale import Sale
from evenhang.engine.settlement import shares_of
from evenhang.engine.yields import Reason

PaidParty = Literal["member", "tax-office", "collective", "payment-provider"]
# The member first (California Civil Code, s. 1738.6(d), read); the order of the others is ours: no source.
ORDER: tuple[PaidParty, ...] = ("member", "tax-office", "collective", "payment-provider")


class PaidFirst(Struct, frozen=True):
    """Who is paid first: where it is law, where that stands, how sure, and what this statement does with it."""

    place: str
    source: str
    known: Literal["read", "memory"]
    detail: str


FIRST = PaidFirst(
    "California",
    "Civil Code, s. 1738.6(d)",
    "read",
    "The proceeds of a consigned work go to its maker first, unless the maker has agreed otherwise in writing. This statement follows "
    "that order: of a part payment the member is paid first. Elsewhere local law and the agreement decide.",
)


class OutletPayment(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """A payment that the outlet has made, in its currency."""

    paid_on: date
    amount: GivenMoney
    party: PaidParty = "member"


class PaymentRow(Struct, frozen=True):
    """A payment that counts, or the reason why it does not."""

    paid_on: date
    party: PaidParty
    amount: Money | None
    reason: Reason | None = None


class PartyDue(Struct, frozen=True):
    """What the outlet owes a party, what it has paid, and the balance: below 0 where too much was paid. `rank` 1 is paid first."""

    rank: int
    party: PaidParty
    due: Money
    paid: Money
    balance: Money


def due_of(sold: Sale, received: Decimal) -> dict[PaidParty, Decimal]:
    """What each party is due of what the buyer has paid so far: each its share in order, as far as the money goes.

    With all paid these are the shares, and the outlet keeps its own. A negative share is paid in by its party, also by the outlet.
    """
    shares = {share.party: share.amount.amount for share in shares_of(sold)}
    left = received - sum((min(ZERO, amount) for amount in shares.values()), ZERO)
    out: dict[PaidParty, Decimal] = {}
    for party in ORDER:
        out[party] = min(shares[party], left)
        left -= max(ZERO, out[party])
    return out


def due_at_once(sold: Sale) -> dict[PaidParty, Decimal]:
    """What an outlet owes that buys outright, before it has sold anything: the member's amount, and the levy in it."""
    return {"member": sold.proceeds, "collective": sold.levy}


def payment_rows(payments: Iterable[OutletPayment], currency: str, on: date) -> tuple[PaymentRow, ...]:
    """Each payment, or the reason why it does not count: another currency, or a day that has not come."""
    rows = []
    for i, payment in enumerate(payments):
        try:
            if payment.paid_on > on:
                raise Contradictory(f"On {on} this was not paid yet.", "/paid_on", "Ask as of a later day.")
            paid = money(payment.amount.in_currency(currency, "/amount"), currency)
            rows.append(PaymentRow(payment.paid_on, payment.party, paid))
        except Refusal as refusal:
            reason = Reason(f"#/payments/{i}{refusal.pointer}", refusal.code, refusal.sentence)
            rows.append(PaymentRow(payment.paid_on, payment.party, None, reason))
    return tuple(rows)


def balances(dues: Iterable[Mapping[PaidParty, Decimal]], payments: Iterable[PaymentRow], currency: str) -> tuple[PartyDue, ...]:
    """What is owed to each party in the order in which they are paid; sums of the rows' amounts as written."""
    owed, paid = dict.fromkeys(ORDER, ZERO), dict.fromkeys(ORDER, ZERO)
    for due in dues:
        for party, amount in due.items():
            owed[party] += amount
    for payment in payments:
        paid[payment.party] += payment.amount.amount if payment.amount else ZERO
    return tuple(
        PartyDue(rank, party, *(money(amount, currency) for amount in (owed[party], paid[party], owed[party] - paid[party])))
        for rank, party in enumerate(ORDER, 1)
    )
