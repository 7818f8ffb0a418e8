"""A rung: one size of a medium with its prices, unframed and framed, or the reason why it has none.

Knows nothing of who asks, nor of the sizes beside it.
"""

from collections.abc import Callable
from datetime import date
from decimal import ROUND_CEILING, Decimal
from functools import cache

from msgspec import Struct
from msgspec.structs import replace

from evenhang.engine.money import Amount, Money, Ratio, figure, money, numeral
from evenhang.engine.quote import Price, price_work
from evenhang.engine.refusals import Missing, Refusal
from evenhang.engine.rules import RuleSet
from evenhang.engine.saying import say
from evenhang.engine.sizes import FORMATS, LengthUnit, Shape, Size
from evenhang.engine.whole import Choice, Family
from evenhang.engine.works import Work, WorkCost
from evenhang.engine.yields import Reason


class Making(Struct, frozen=True):
    """All of a work but its size: how it is made, what frames it, and the day of its price."""

    medium: str
    on: date
    shape: Shape = "rectangle"
    grade: str | None = None
    framing: WorkCost | None = None


class SightSize(Struct, frozen=True, omit_defaults=True):
    """A sight size as an answer shows it; it may be sent back as the size of a work."""

    height: Ratio
    unit: LengthUnit
    width: Ratio | None = None
    depth: Ratio | None = None


class Rung(Struct, frozen=True):
    """One size with its prices. `reason` says why there is no price, or none with the frame."""

    label: str
    size: SightSize | None = None
    format: str | None = None
    hours: Ratio | None = None
    pieces: int | None = None
    measured: Ratio | None = None
    per: str | None = None
    price: Money | None = None
    framed_price: Money | None = None
    band: str | None = None
    framed_band: str | None = None
    ratio_to_below: Ratio | None = None
    reason: Reason | None = None


def price_of(rules: RuleSet, making: Making, choice: Choice, *, framed: bool) -> Price:
    """The price at that size. Refusals point into the work, or at /framing: `making_of` has seen to its name and amount."""
    framing = making.framing if framed else None
    panels = None
    if choice.pieces is not None and choice.pieces > 1:
        if framing is not None and framing.amount is None:
            detail = say("How large the pieces are is not known, so the frame cannot be estimated.")
            raise Missing(detail, "/framing/amount", say("State its amount."))
        panels = (Size(Amount(1), "cm", Amount(1)),) * choice.pieces  # priced by their number: their size says nothing
    costs = () if framing is None else (framing,)
    work = Work(
        medium=making.medium,
        size=choice.size,
        panels=panels,
        format=choice.format,
        shape=making.shape if choice.size is not None else "rectangle",
        grade=making.grade,
        costs=costs,
        hours=choice.hours,
    )
    return price_work(rules, work, making.on)


def label_of(rules: RuleSet, choice: Choice) -> str:
    """The size as a list writes it."""
    if choice.size is not None:
        return choice.size.text()
    if choice.format is not None:
        shown = rules.rules.formats.get(choice.format)
        return shown.title if shown else FORMATS[choice.format].title if choice.format in FORMATS else choice.format
    if choice.hours is not None:
        return say("Hours: {n}", n=numeral(choice.hours))
    return say("Pieces: {n}", n=choice.pieces or 1)


def rung_of(rules: RuleSet, making: Making, choice: Choice, pointer: str) -> Rung:
    """The size with its prices; what cannot be priced carries its reason, its pointer brought to `pointer`."""
    shown = Rung(
        label=label_of(rules, choice),
        size=sight_size(choice.size),
        format=choice.format,
        hours=None if choice.hours is None else figure(choice.hours),
        pieces=choice.pieces,
    )
    found: dict[bool, Price] = {}
    reason = None
    for framed in (False, True) if making.framing is not None else (False,):
        try:
            found[framed] = price_of(rules, making, choice, framed=framed)
        except Refusal as refusal:
            reason = reason_of(refusal, pointer)
            break
    if False not in found:
        return replace(shown, reason=reason)
    retail = found[False].retail
    framed_retail = found[True].retail if True in found else None
    return replace(
        shown,
        measured=found[False].measured,
        per=found[False].per,
        price=money(retail, rules.currency),
        framed_price=None if framed_retail is None else money(framed_retail, rules.currency),
        band=band_at(rules, retail),
        framed_band=None if framed_retail is None else band_at(rules, framed_retail),
        reason=reason,
    )


def sight_size(size: Size | None) -> SightSize | None:
    """The size as text."""
    if size is None:
        return None
    width, depth = (None if side is None else figure(side) for side in (size.width, size.depth))
    return SightSize(figure(size.height), size.unit, width, depth)


def reason_of(refusal: Refusal, pointer: str) -> Reason:
    """The refusal as a row's reason: what it says of the work's size is said of where that size came from."""
    step, rest = refusal.pointer.split("/")[1:2], refusal.pointer.split("/")[2:]
    at = "/".join([pointer, *rest]) if step and step[0] in ("size", "format", "hours", "panels") else refusal.pointer
    return Reason(f"#{at}", refusal.code, refusal.sentence)


def band_at(rules: RuleSet, price: Decimal) -> str | None:
    """The title of the buyers' budget band in which a price lies; None where the rules have none for it."""
    return next((band.title for band in rules.rules.bands if band.below is None or price < band.below), None)


def steps_within(apart: Decimal, most: Decimal) -> int:
    """The fewest even steps, none over `most` (over 1), that lead to `apart` times the first price."""
    steps = int((apart.ln() / most.ln()).to_integral_value(ROUND_CEILING))
    # The last digit of a logarithm must not make one step too many, or one too few.
    return steps - 1 if steps > 1 and most ** (steps - 1) >= apart else steps + 1 if most**steps < apart else steps


def prices_along(rules: RuleSet, making: Making, family: Family, *, framed: bool) -> Callable[[int], Decimal]:
    """The retail price of each size of the family, each computed once."""

    @cache
    def price(i: int) -> Decimal:
        return price_of(rules, making, family.at(i), framed=framed).retail

    return price
