"""The ladder: price points over sizes, the gaps between them, the buyers' budget bands, and sizes that would close a gap.

Knows nothing of who asks. Price points are compared as ratios, as buyers do: from 100 to 200 is as far as from 500 to 1000.
"""

from collections.abc import Callable, Sequence
from datetime import date
from decimal import Decimal
from functools import cache
from typing import NamedTuple

from msgspec import Struct
from msgspec.structs import replace

from evenhang.engine.money import ONE, ZERO, Amount, Money, Ratio, exact, figure, money
from evenhang.engine.quote import panels_of
from evenhang.engine.refusals import Missing, Refusal, Unknown
from evenhang.engine.rules import RuleSet
from evenhang.engine.rungs import Making, Rung, band_at, prices_along, rung_of, steps_within
from evenhang.engine.saying import joined, say
from evenhang.engine.schedules import Listed
from evenhang.engine.sizes import FORMATS, Measure, Shape
from evenhang.engine.whole import Aspect, Choice, Family, WholeUnit, family_of, last_within
from evenhang.engine.works import Work, WorkCost

USUAL_RATIO = Decimal(2)  # common practice, no source: the next price point at most doubles
MOST_PROPOSED = 20  # sizes for one gap


class Offer(NamedTuple):
    """A size on offer and where in the request it stands."""

    choice: Choice
    pointer: str


class PriceGap(Struct, frozen=True):
    """Two neighbouring price points too far apart, and sizes between them; `closed` where these leave no such step."""

    framed: bool
    lower: Money
    upper: Money
    ratio: Ratio
    proposals: tuple[Rung, ...]
    closed: bool


class BandCount(Struct, frozen=True):
    """A budget band from `at_least` up to `below` (open without it), and how many price points lie in it."""

    title: str
    at_least: Money
    below: Money | None
    unframed: int
    framed: int
    empty: bool
    proposal: Rung | None = None


class Ladder(Struct, frozen=True):
    """The price points of one medium, cheapest first; rows without a price stand last with their reason."""

    medium: str
    title: str
    measure: Measure
    framing: str | None
    rungs: tuple[Rung, ...]
    gaps: tuple[PriceGap, ...]
    bands: tuple[BandCount, ...]
    note: str = ""


def making_of(rules: RuleSet, medium: str, shape: Shape, grade: str | None, framing: WorkCost | None, on: date) -> Making:
    """How works of the medium are made. Unknown for a medium, grade or cost that these rules lack; Missing for a frame nobody can tell."""
    rules.medium(medium)
    if grade is not None and grade not in rules.rules.grades:
        raise Unknown.name("grade", grade, rules.rules.grades, "/grade")
    if framing is None:
        frames = (name for name, cost in rules.rules.costs.items() if cost.frame and cost.estimate is not None)
        framing = next((WorkCost(name) for name in frames), None)
    else:
        cost = rules.rules.costs.get(framing.name)
        if cost is None:
            raise Unknown.name("cost", framing.name, rules.rules.costs, "/framing/name")
        if framing.amount is not None:
            framing.amount.in_currency(rules.currency, "/framing/amount")
        elif cost.estimate is None:
            detail = say('The rules do not estimate "{cost}".', cost=framing.name)
            raise Missing(detail, "/framing/amount", say("State its amount."))
    return Making(medium, on, shape, grade, framing)


def usual_offers(rules: RuleSet, name: str) -> list[Offer]:
    """What the member shows of a medium where no size is asked about: its listed formats, else those of the guide, else the canvases."""
    medium = rules.medium(name)
    if isinstance(medium.schedule, Listed):
        return [Offer(Choice(format=listed), "/formats") for listed in medium.schedule.prices]
    if medium.measure == "piece":
        return [Offer(Choice(pieces=1), "/sizes")]
    if medium.measure == "hours":
        return []
    own = [key for key, shown in rules.rules.formats.items() if shown.media is None or name in shown.media]
    if not own and medium.measure == "canvas":
        canvases = family_of(rules, name, "rectangle", None, "cm")
        return [Offer(canvases.at(i), "/formats") for i in range(canvases.length)]
    return [Offer(Choice(format=key), "/formats") for key in own]


@exact
def build_ladder(
    rules: RuleSet, making: Making, offers: Sequence[Offer], aspect: Aspect | None, unit: WholeUnit, most_ratio: Decimal = USUAL_RATIO
) -> Ladder:
    """The ladder of one medium over the sizes on offer; one bad size never sinks the rest."""
    medium = rules.medium(making.medium)
    rows = [rung_of(rules, making, offer.choice, offer.pointer) for offer in offers]
    priced = sorted((row for row in rows if row.price is not None), key=lambda row: (_at(row, framed=False), _at(row, framed=True)))
    rungs = [_above(row, below) for below, row in zip([None, *priced], priced)]
    gaps: list[PriceGap] = []
    for framed in (False, True):
        gaps += _gaps(rules, making, priced, aspect, unit, most_ratio, framed=framed)
    return Ladder(
        medium=making.medium,
        title=medium.title,
        measure=medium.measure,
        framing=None if making.framing is None else making.framing.name,
        rungs=(*rungs, *(row for row in rows if row.price is None)),
        gaps=tuple(gaps),
        bands=_with_proposals(rules, making, count_bands(rules, rungs), rungs, aspect, unit),
        note=_note(medium.measure, rows, making.framing),
    )


def _at(rung: Rung, *, framed: bool) -> Decimal:
    """The rung's price, 0 where it has none."""
    price = rung.framed_price if framed else rung.price
    return ZERO if price is None else price.amount


def _above(rung: Rung, below: Rung | None) -> Rung:
    return rung if below is None else replace(rung, ratio_to_below=figure(_at(rung, framed=False) / _at(below, framed=False), 4))


def _note(measure: Measure, rows: list[Rung], framing: WorkCost | None) -> str:
    """What the caller could add."""
    notes = []
    if not rows:
        sized = say('Give "sizes" or "formats": these rules show no format of this medium.')
        notes.append(say('Give "hours" to price.') if measure == "hours" else sized)
    if framing is None:
        notes.append(say('These rules do not estimate a frame: name a cost with its amount as "framing" to see framed prices.'))
    return joined(notes, " ") if notes else ""


def _gaps(
    rules: RuleSet, making: Making, priced: list[Rung], aspect: Aspect | None, unit: WholeUnit, most: Decimal, *, framed: bool
) -> list[PriceGap]:
    """The steps of more than `most` between neighbouring price points, each with sizes in between."""
    points = {_at(row, framed=framed): row for row in reversed(priced) if _at(row, framed=framed)}
    ordered = sorted(points)

    @cache
    def sizes(shape: Aspect | None) -> tuple[Family, Callable[[int], Decimal]]:
        family = family_of(rules, making.medium, making.shape, shape, unit)
        return family, prices_along(rules, making, family, framed=framed)

    out = []
    for low, high in zip(ordered, ordered[1:]):
        if high / low <= most:
            continue
        family, price = sizes(aspect or aspect_of(rules, points[low]))
        between, closed = _between(family, price, low, high, most)
        proposals = tuple(rung_of(rules, making, family.at(i), "/aspect") for i in between)
        gap = PriceGap(framed, money(low, rules.currency), money(high, rules.currency), figure(high / low, 4), proposals, closed)
        out.append(gap)
    return out


def _between(family: Family, price: Callable[[int], Decimal], low: Decimal, high: Decimal, most: Decimal) -> tuple[list[int], bool]:
    """Sizes that part a gap into even steps, and whether none of these is over `most`."""
    found: list[int] = []
    here, closed = low, True
    try:
        while high / here > most and len(found) < MOST_PROPOSED:
            parts = steps_within(high / here, most)
            last = last_within(family, price, here * (high / here) ** (ONE / parts))
            if last < 0 or price(last) <= here:  # no whole size so near: the next one up, if it is still below
                last += 1
            if last >= family.length or not here < price(last) < high:
                return found, False
            closed = closed and price(last) / here <= most
            here = price(last)
            found.append(last)
    except Refusal:
        return [], False
    return found, closed and high / here <= most


def aspect_of(rules: RuleSet, rung: Rung) -> Aspect | None:
    """The proportions of a rung; None where it has no width."""
    if rung.size is not None and rung.size.width is not None:
        depth = None if rung.size.depth is None else Amount(rung.size.depth)
        return Aspect(Amount(rung.size.height), Amount(rung.size.width), depth)
    if rung.format is None or rung.format not in {**FORMATS, **rules.rules.formats}:
        return None
    sides = panels_of(rules, Work(medium="", format=rung.format))[0][0]
    depth = None if sides.depth is None else Amount(sides.depth)
    return None if sides.width is None else Aspect(Amount(sides.height), Amount(sides.width), depth)


def count_bands(rules: RuleSet, rungs: Sequence[Rung]) -> tuple[BandCount, ...]:
    """The buyers' budget bands with how many price points lie in each."""
    out = []
    start = ZERO
    for band in rules.rules.bands:
        unframed = sum(rung.price is not None and rung.band == band.title for rung in rungs)
        framed = sum(rung.framed_band == band.title for rung in rungs)
        below = None if band.below is None else money(band.below, rules.currency)
        out.append(BandCount(band.title, money(start, rules.currency), below, unframed, framed, empty=not unframed and not framed))
        start = band.below or start
    return tuple(out)


def _with_proposals(
    rules: RuleSet, making: Making, bands: tuple[BandCount, ...], rungs: Sequence[Rung], aspect: Aspect | None, unit: WholeUnit
) -> tuple[BandCount, ...]:
    """Each empty band with the largest size priced in it; of the open band, the smallest."""
    shape = aspect or next((found for rung in rungs if (found := aspect_of(rules, rung))), None)
    family = family_of(rules, making.medium, making.shape, shape, unit)
    return tuple(replace(band, proposal=_in_band(rules, making, family, band)) if band.empty else band for band in bands)


def _in_band(rules: RuleSet, making: Making, family: Family, band: BandCount) -> Rung | None:
    price = prices_along(rules, making, family, framed=False)
    try:
        if band.below is None:
            i = last_within(family, price, band.at_least.amount - rules.unit) + 1
        else:
            i = last_within(family, price, band.below.amount - rules.unit)
        if 0 <= i < family.length and band_at(rules, price(i)) == band.title:
            return rung_of(rules, making, family.at(i), "/aspect")
    except Refusal:
        return None
    return None
