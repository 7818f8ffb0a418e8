"""What a token holds of an offer, written short and still readable: prices and sizes as the text that a label would carry.

Knows no keys. Whoever verifies a token alone reads this JSON, so its fields only change with `v`.
"""

import re
from datetime import date
from decimal import Decimal
from typing import get_args

import msgspec
from msgspec import Struct

from evenhang.engine.money import MINOR_DIGITS, Money, minor_unit
from evenhang.engine.offer import Offer, OfferedExtra, OfferedPrice, OfferedSize, OfferedWork
from evenhang.engine.quote import TaxKind
from evenhang.engine.sizes import LengthUnit, Shape
from evenhang.sealing.keys import to_bytes, to_text

VERSION = 1


class _Work(Struct, frozen=True, omit_defaults=True):
    """The work; `sizes` such as "60 x 80 cm", `extras` such as "gilded-edge" or "4 x gilded-edge"."""

    medium: str
    title: str | None = None
    sizes: tuple[str, ...] = ()
    format: str | None = None
    shape: Shape = "rectangle"
    grade: str | None = None
    extras: tuple[str, ...] = ()
    covers: tuple[str, ...] = ()


class _Content(Struct, frozen=True, omit_defaults=True):
    """The offer; `price` such as "940.00 EUR", `tax` such as "included 85.45", the rules' digest in base64url.

    An outlet that is only named asks the price itself, another says its own ("fair 151000 JPY"). `again` is said where it is false.
    """

    v: int
    id: str
    member: str
    work: _Work
    words: str
    price: str
    tax: str
    outlets: tuple[str, ...]
    rules: str
    on: date
    last: date
    again: bool = True


def write_content(offer: Offer) -> bytes:
    """The JSON of `offer` as it is signed."""
    content = _Content(
        v=VERSION,
        id=offer.id,
        member=offer.member,
        work=_write_work(offer.work),
        words=offer.words,
        price=f"{offer.price.amount} {offer.price.currency}",
        tax=f"{offer.tax_kind} {offer.tax.amount}",
        outlets=tuple(here.outlet if here.price == offer.price else _write_elsewhere(here) for here in offer.outlets),
        rules=to_text(bytes.fromhex(offer.rules_digest)),
        on=offer.issued_on,
        last=offer.last_on,
        again=offer.repriceable,
    )
    return msgspec.json.encode(content)


def read_content(raw: bytes) -> Offer:
    """The offer that was written so; ValueError for another version or anything that `write_content` would not write, byte for byte."""
    said = msgspec.json.decode(raw, type=_Content)
    if said.v != VERSION:
        raise ValueError(f"version {said.v}")
    price = _read_money(said.price)
    kind, tax = said.tax.split(" ")
    offer = Offer(
        id=said.id,
        member=said.member,
        words=said.words,
        work=_read_work(said.work),
        price=price,
        tax_kind=msgspec.convert(kind, TaxKind),
        tax=_read_money(f"{tax} {price.currency}"),
        outlets=tuple(_read_outlet(here, price) for here in said.outlets),
        rules_digest=to_bytes(said.rules).hex(),
        issued_on=said.on,
        last_on=said.last,
        repriceable=said.again,
    )
    if write_content(offer) != raw:
        raise ValueError("not written so")
    return offer


def _write_work(work: OfferedWork) -> _Work:
    sizes = (" x ".join(side for side in (s.height, s.width, s.depth) if side is not None) + f" {s.unit}" for s in work.sizes)
    extras = (extra.name if extra.quantity == 1 else f"{extra.quantity} x {extra.name}" for extra in work.extras)
    return _Work(work.medium, work.title, tuple(sizes), work.format, work.shape, work.grade, tuple(extras), work.covers)


def _read_work(work: _Work) -> OfferedWork:
    sizes, extras = tuple(map(_read_size, work.sizes)), tuple(map(_read_extra, work.extras))
    return OfferedWork(work.medium, work.title, sizes, work.format, work.shape, work.grade, extras, work.covers)


def _write_elsewhere(here: OfferedPrice) -> str:
    return f"{here.outlet} {here.price.amount} {here.price.currency}"


def _read_outlet(text: str, price: Money) -> OfferedPrice:
    outlet, _, own = text.partition(" ")
    return OfferedPrice(outlet, _read_money(own) if own else price)


def _read_money(text: str) -> Money:
    amount, currency = text.split(" ")
    if currency not in MINOR_DIGITS:
        raise ValueError("no currency")
    return Money(_figure(amount).quantize(minor_unit(currency)), currency)


def _figure(text: str) -> Decimal:
    if not re.fullmatch(r"[0-9]{1,12}([.][0-9]{1,12})?", text, re.ASCII):
        raise ValueError("no figure")
    return Decimal(text)


def _read_size(text: str) -> OfferedSize:
    sides, _, unit = text.rpartition(" ")
    height, width, depth, *more = (*sides.split(" x "), None, None)
    if unit not in get_args(LengthUnit) or height is None or any(more):
        raise ValueError("no size")
    for side in filter(None, (height, width, depth)):
        _figure(side)
    return OfferedSize(height, msgspec.convert(unit, LengthUnit), width, depth)


def _read_extra(text: str) -> OfferedExtra:
    quantity, _, name = text.rpartition(" x ")
    return OfferedExtra(name, int(quantity or 1))
