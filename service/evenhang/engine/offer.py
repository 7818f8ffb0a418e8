"""A standing offer: what it says of a work and its price, until when it stands, and what the price would be on another day.

Knows no keys and no tokens. It has no place for hours, a cost's amount, a commission or a yield, so none can slip into it.
"""

import hashlib
from base64 import b32encode
from datetime import date, timedelta
from decimal import Decimal
from itertools import groupby
from typing import Annotated, Literal

import msgspec
from msgspec import Meta, Struct

from evenhang.engine.money import Amount, Money, Ratio, figure, money
from evenhang.engine.quote import Price, TaxKind, outlet_prices, price_work, tax_of
from evenhang.engine.refusals import Missing, OutOfRange, Refusal
from evenhang.engine.rules import RuleSet
from evenhang.engine.sizes import LengthUnit, Shape, Size
from evenhang.engine.works import ChosenExtra, Work, WorkCost

MOST_DAYS = 366
StandsDays = Annotated[int, Meta(ge=1, le=MOST_DAYS)]
State = Literal["standing", "not-yet", "expired"]


class OfferedSize(Struct, frozen=True, omit_defaults=True):
    """A sight size as it was offered, in figures as text."""

    height: Ratio
    unit: LengthUnit
    width: Ratio | None = None
    depth: Ratio | None = None


class OfferedExtra(Struct, frozen=True, omit_defaults=True):
    """An extra in the offered price, and how many of it."""

    name: str
    quantity: int = 1


class OfferedWork(Struct, frozen=True, omit_defaults=True):
    """The work as the buyer may know it. `covers` names the charged items that a public quote names, without their amounts."""

    medium: str
    title: str | None = None
    sizes: tuple[OfferedSize, ...] = ()
    format: str | None = None
    shape: Shape = "rectangle"
    grade: str | None = None
    extras: tuple[OfferedExtra, ...] = ()
    covers: tuple[str, ...] = ()


class OfferedPrice(Struct, frozen=True):
    """The offered price in an outlet, in its currency."""

    outlet: str
    price: Money


class Offer(Struct, frozen=True):
    """One work at one price, from the day it was issued on to the last day it stands, both inclusive.

    `id` is a hash of everything else. `repriceable`: what stands here is enough to price the work again by later rules.
    """

    id: str
    member: str
    words: str
    work: OfferedWork
    price: Money
    tax_kind: TaxKind
    tax: Money
    outlets: tuple[OfferedPrice, ...]
    rules_digest: str
    issued_on: date
    last_on: date
    repriceable: bool


def make_offer(rules: RuleSet, work: Work, price: Price, shown: tuple[str, ...], on: date, days: int) -> Offer:
    """The offer of `work` at `price`, standing `days` days after the day `on`; `shown` are the costs that the public may see named.

    OutOfRange where the last day lies beyond the calendar.
    """
    kind, tax = tax_of(rules, price.retail)
    offered = _offered(work, shown)
    draft = Offer(
        id="",
        member=rules.member,
        words=words_of(rules, offered),
        work=offered,
        price=money(price.retail, rules.currency),
        tax_kind=kind,
        tax=tax,
        outlets=tuple(OfferedPrice(here.outlet, here.price) for here in outlet_prices(rules, price.retail)),
        rules_digest=rules.digest,
        issued_on=on,
        last_on=last_day(on, days),
        repriceable=_says_enough(rules, work, offered, price, on),
    )
    return msgspec.structs.replace(draft, id=content_id(draft))


def content_id(offer: Offer) -> str:
    """16 letters and digits (RFC 4648 base32, 80 bits of SHA-256) of all that the offer says but its own id: no chance in it."""
    said = msgspec.json.encode(msgspec.structs.replace(offer, id=""))
    return b32encode(hashlib.sha256(said).digest()[:10]).decode().lower()


def last_day(issued_on: date, days: int) -> date:
    """The last day of a period of days; the day on which it is set going does not count.

    So does Regulation (EEC, Euratom) No 1182/71, Article 3(1), second paragraph, for periods in acts of the Union.
    """
    try:
        return issued_on + timedelta(days=days)
    except OverflowError:
        raise OutOfRange("The last day of this offer lies beyond the calendar.", "/as_of", "Ask as of an earlier day.") from None


def state_of(offer: Offer, on: date) -> State:
    """Whether the offer stands on the day `on`."""
    if on < offer.issued_on:
        return "not-yet"
    return "standing" if on <= offer.last_on else "expired"


def price_again(rules: RuleSet, offer: Offer, on: date) -> Decimal:
    """What the same work costs by `rules` on the day `on`. Missing where the offer does not say enough, or as a quote is refused."""
    if not offer.repriceable:
        detail = "The price rests on hours or on costs that an offer never holds, so it cannot be worked out again from it."
        raise Missing(detail, "", "Ask for a new quote.")
    return price_work(rules, _work(offer.work), on).retail


def words_of(rules: RuleSet, work: OfferedWork) -> str:
    """The work in one line by the titles of its rules, such as: Oil on canvas, 60 x 80 cm, 2 x Gilded edge, Frame."""
    said = rules.rules
    words = [rules.medium(work.medium).title]
    if work.sizes:
        counted = [(size.text(), len(list(same))) for size, same in groupby(map(_size, work.sizes))]
        words.append(" + ".join(text if count == 1 else f"{count} panels of {text}" for text, count in counted))
    if work.format:
        words.append(said.formats[work.format].title if work.format in said.formats else work.format)
    if work.shape != "rectangle":
        words.append(work.shape)
    if work.grade:
        words.append(said.grades[work.grade].title)
    for extra in work.extras:
        words.append((f"{extra.quantity} x " if extra.quantity > 1 else "") + said.extras[extra.name].title)
    words += [said.costs[name].title for name in work.covers]
    return ", ".join(words)


def _offered(work: Work, shown: tuple[str, ...]) -> OfferedWork:
    sizes = work.panels or ((work.size,) if work.size else ())
    return OfferedWork(
        medium=work.medium,
        title=work.title,
        sizes=tuple(_offered_size(size) for size in sizes),
        format=work.format,
        shape=work.shape,
        grade=work.grade,
        extras=tuple(OfferedExtra(extra.name, extra.quantity) for extra in work.extras),
        covers=tuple(cost.name for cost in work.costs if cost.name in shown),
    )


def _offered_size(size: Size) -> OfferedSize:
    width, depth = (None if side is None else figure(side) for side in (size.width, size.depth))
    return OfferedSize(figure(size.height), size.unit, width, depth)


def _work(offered: OfferedWork) -> Work:
    """The offered work as it is asked for: several sizes are panels."""
    sizes = tuple(_size(size) for size in offered.sizes)
    return Work(
        medium=offered.medium,
        title=offered.title,
        size=sizes[0] if len(sizes) == 1 else None,
        panels=sizes if len(sizes) > 1 else None,
        format=offered.format,
        shape=offered.shape,
        grade=offered.grade,
        extras=tuple(ChosenExtra(extra.name, extra.quantity) for extra in offered.extras),
        costs=tuple(WorkCost(name) for name in offered.covers),
    )


def _size(size: OfferedSize) -> Size:
    width, depth = (None if side is None else Amount.parse(side) for side in (size.width, size.depth))
    return Size(Amount.parse(size.height), size.unit, width, depth)


def _says_enough(rules: RuleSet, work: Work, offered: OfferedWork, price: Price, on: date) -> bool:
    """Whether every charged cost is named and estimated by the rules, and the price needs no hours."""
    charged = [cost for cost in work.costs if rules.rules.costs[cost.name].treatment != "absorbed"]
    if any(cost.amount is not None or cost.name not in offered.covers for cost in charged):
        return False
    try:
        return price_work(rules, _work(offered), on).retail == price.retail
    except Refusal:
        return False
