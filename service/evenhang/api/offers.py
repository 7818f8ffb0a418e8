"""Offers: a price sealed into a token that stands for some days, and whether a token is genuine and still stands."""

from datetime import date
from typing import Annotated

from msgspec import Meta, Struct

from evenhang.api.calls import SAFE, Call, Digest, Operation, RulesUsed, resolve, used
from evenhang.api.quotes import PublicQuote, public_quote
from evenhang.engine.money import Money, money
from evenhang.engine.offer import Offer, StandsDays, State, make_offer, price_again, state_of
from evenhang.engine.quote import price_work
from evenhang.engine.refusals import Garbled, NoOfferKey, Refusal, RulesMoved, Unknown
from evenhang.engine.rules import RuleSet
from evenhang.engine.settlement import CAUTION
from evenhang.engine.works import Work
from evenhang.engine.yields import Reason
from evenhang.sealing.seal import MOST_CHARACTERS, Flaw, seal, unseal

Token = Annotated[str, Meta(max_length=MOST_CHARACTERS)]


class OfferRequest(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """One work to offer at its price of `as_of`, the day on which the offer is issued."""

    work: Work
    stands_days: StandsDays | None = None
    as_of: date | None = None
    rules_digest: Digest | None = None


class SealedOffer(Struct, frozen=True):
    """The offer as a token, and the quote that it seals."""

    member: str
    as_of: date
    rules: RulesUsed
    token: str
    offer_id: str
    last_on: date
    quote: PublicQuote
    note: str
    caution: str = CAUTION


class VerifyRequest(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """A token, and the day for which it is asked whether the offer stands."""

    token: Token
    as_of: date | None = None
    rules_digest: Digest | None = None


class OfferVerdict(Struct, frozen=True):
    """Whether the token is genuine, whether the offer stands on the day, what it says, and what the work would cost by today's rules.

    Not genuine: no more than the reason. Genuine: an offer stands as it was sealed, whatever the rules say by then.
    """

    as_of: date
    genuine: bool
    standing: bool
    statement: str
    state: State | None = None
    reason: Reason | None = None
    offer: Offer | None = None
    rules: RulesUsed | None = None
    rules_moved: bool | None = None
    price_now: Money | None = None
    price_now_reason: Reason | None = None
    note: str = ""
    caution: str = CAUTION


def seal_offer(call: Call) -> SealedOffer:
    """The work's price on the day, sealed by the key that signs on it."""
    rules, on = resolve(call)
    asked: OfferRequest = call.body
    key = call.seals.signs_on(on)
    if key is None:
        raise NoOfferKey(f"No key of this house seals offers on {on}.", "", "Ask the house to make one: evenhang new-offer-key.")
    try:
        price = price_work(rules, asked.work, on)
    except Refusal as refusal:
        raise refusal.under("/work") from None
    quoted = public_quote(rules, price, on)
    shown = tuple(line.code.removeprefix("cost:") for line in quoted.lines if line.code.startswith("cost:"))
    offer = make_offer(rules, asked.work, price, shown, on, asked.stands_days or rules.rules.offers_stand_days)
    return SealedOffer(rules.member, on, used(rules), seal(offer, key), offer.id, offer.last_on, quoted, call.seals.note)


def verify_offer(call: Call) -> OfferVerdict:
    """Genuine or not, standing or not, and the price by the rules in force on the day."""
    asked: VerifyRequest = call.body
    on = asked.as_of or call.today
    try:
        found = unseal(asked.token, call.seals)
    except Garbled as refusal:
        raise refusal.under("/token") from None
    if isinstance(found, Flaw):
        reason = Reason("#/token", found.code, found.detail)
        return OfferVerdict(on, False, False, "This is no offer of ours. " + found.detail, reason=reason, note=call.seals.note)
    return _genuine(call, found, on)


def _genuine(call: Call, offer: Offer, on: date) -> OfferVerdict:
    """The verdict on an offer of this house."""
    state = state_of(offer, on)
    rules, price, reason = None, None, None
    try:
        rules = _in_force(call, offer, on)
        price = money(price_again(rules, offer, on), rules.currency)
    except RulesMoved:
        raise
    except Refusal as refusal:
        reason = Reason("#/token", refusal.code, refusal.sentence)
    return OfferVerdict(
        as_of=on,
        genuine=True,
        standing=state == "standing",
        statement=_statement(offer, state, price, on),
        state=state,
        reason=_not_standing(offer, state),
        offer=offer,
        rules=None if rules is None else used(rules),
        rules_moved=None if rules is None else rules.digest != offer.rules_digest,
        price_now=price,
        price_now_reason=reason,
        note=call.seals.note,
    )


def _not_standing(offer: Offer, state: State) -> Reason | None:
    """Why the offer does not stand; None where it does."""
    if state == "standing":
        return None
    early = f"The offer is issued on {offer.issued_on}; before that day nobody is bound by it."
    return Reason("#/as_of", state, early if state == "not-yet" else f"The last day of the offer was {offer.last_on}.")


def _in_force(call: Call, offer: Offer, on: date) -> RuleSet:
    """The rules of the offer's member on the day. Unknown where there is no such member any more, RulesMoved for another pin."""
    if offer.member not in call.book.segments:
        raise Unknown(f'There is no member "{offer.member}" any more.', "", "The offer stands all the same: ask the house.")
    rules = call.book.in_force(offer.member, on)
    if call.body.rules_digest not in (None, rules.digest):
        raise RulesMoved("Another rule set is in force on that day.", "/rules_digest", f"In force: {rules.digest}.")
    return rules


def _statement(offer: Offer, state: State, price: Money | None, on: date) -> str:
    """One sentence for the front desk."""
    sealed = f"{offer.price.amount} {offer.price.currency}"
    if state == "not-yet":
        return f"This offer of {sealed} is genuine and stands from {offer.issued_on} to {offer.last_on}."
    if state == "expired":
        return f"This offer of {sealed} is genuine, but {offer.last_on} was its last day."
    words = f"This offer is genuine and stands at {sealed} up to and including {offer.last_on}"
    if price is not None and price != offer.price:
        words += f", although the rules of {on} make it {price.amount} {price.currency}"
    return words + "."


OFFERS = Operation(
    "sealOffer",
    "POST",
    "/members/{member}/offers",
    "Seal a price into a standing offer",
    "The public price of one work as a signed token that anybody can verify with the keys under /.well-known/jwks.json, here or alone, "
    "until its last day and after; nothing is stored." + SAFE,
    (SealedOffer,),
    seal_offer,
    OfferRequest,
    scope="desk",
)
VERIFY_OFFER = Operation(
    "verifyOffer",
    "POST",
    "/offers/verify",
    "Verify a standing offer",
    "Whether a token is genuine, whether its offer stands on the day, what it says, and the price by the rules in force. A token that "
    "was changed or has expired is an answer, not an error." + SAFE,
    (OfferVerdict,),
    verify_offer,
    VerifyRequest,
)
