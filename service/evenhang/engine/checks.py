"""The checks over a catalogue: does the body of work hang together?

Knows nothing of who asks. Sorted passes with a running maximum: never all pairs.
"""

from collections import defaultdict
from datetime import date
from decimal import Decimal
from typing import Annotated, Literal

from msgspec import Meta, Struct

from evenhang.engine.money import ZERO, GivenMoney, Money, money
from evenhang.engine.quote import measure_work, price_work
from evenhang.engine.refusals import Refusal
from evenhang.engine.rounding import on_grid, step_at, to_grid
from evenhang.engine.rules import RuleSet
from evenhang.engine.saying import reckon, say
from evenhang.engine.works import Work


class CatalogueWork(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """A work of the catalogue with its listed price."""

    id: Annotated[str, Meta(min_length=1, max_length=64)]
    work: Work
    price: GivenMoney
    state: Literal["for-sale", "reserved", "sold", "nfs"] = "for-sale"


class Finding(Struct, frozen=True, omit_defaults=True):
    """One finding: its stable code, the works, the figures that prove it, and what would mend it."""

    code: Literal["larger-for-less", "same-size-different-price", "off-the-rounding", "incomplete"]
    severity: Literal["contradiction", "warning", "note"]
    works: tuple[str, ...]
    detail: str
    mend: str
    figures: tuple[Money, ...] = ()


class _Entry(Struct, frozen=True):
    id: str
    measure: Decimal
    art: Decimal
    slack: Decimal  # its rounding step where costs were taken off, else 0


def check_catalogue(rules: RuleSet, works: tuple[CatalogueWork, ...], on: date) -> list[Finding]:
    """The findings over works of one member, in the order of the catalogue's groups.

    Comparable works share medium, grade and extras and are not sold; their art part is compared, the
    charged costs taken off. Equal work, `larger-for-less` names for each work its nearest dearer smaller one.
    """
    findings: list[Finding] = []
    groups: dict[tuple[object, ...], list[_Entry]] = defaultdict(list)
    for item in works:
        try:
            listed = item.price.in_currency(rules.currency, "/price")
            entry = _entry(rules, item, listed, on)
        except Refusal as refusal:
            findings.append(
                Finding("incomplete", "note", (item.id,), reckon("{at}: {detail}", at=refusal.pointer, detail=refusal.detail), refusal.cure)
            )
            continue
        rounding = rules.rounding(rules.currency)
        if not on_grid(rounding, listed):
            near = money(to_grid(rounding, listed), rules.currency)
            mend = say("List it at {price}.", price=near)
            detail = say("The price is not on the rounding grid.")
            findings.append(Finding("off-the-rounding", "warning", (item.id,), detail, mend, (near,)))
        if item.state != "sold":
            extras = tuple(sorted((e.name, e.quantity) for e in item.work.extras))
            groups[(item.work.medium, item.work.grade, extras)].append(entry)
    for entries in groups.values():
        findings += _contradictions(entries, rules.currency)
    return findings


def _entry(rules: RuleSet, item: CatalogueWork, listed: Decimal, on: date) -> _Entry:
    """The work as it is compared: its measure and its art part."""
    medium = rules.medium(item.work.medium, "/work/medium")
    try:
        measure = measure_work(rules, item.work, medium, medium.measure)
        charged = ZERO
        if item.work.costs:
            charged = sum((line.amount.amount for line in price_work(rules, item.work, on).lines if line.code.startswith("cost:")), ZERO)
    except Refusal as refusal:
        raise refusal.under("/work") from None
    return _Entry(item.id, measure, listed - charged, step_at(rules.rounding(rules.currency), listed) if charged else ZERO)


def _contradictions(entries: list[_Entry], currency: str) -> list[Finding]:
    """Larger for less, and same size at different prices, within one group of comparable works."""
    out: list[Finding] = []
    ordered = sorted(entries, key=lambda e: (e.measure, e.art))
    # The chain of smaller works in rising art price: whoever is dearer than a later work stands above it.
    dearer: list[_Entry] = []
    start = 0
    while start < len(ordered):
        end = start
        while end < len(ordered) and ordered[end].measure == ordered[start].measure:
            end += 1
        same = ordered[start:end]
        for entry in same:
            smaller = _nearest_dearer(dearer, entry)
            if smaller is not None:
                figures = (money(smaller.art, currency), money(entry.art, currency))
                detail = say("{larger} is larger than {smaller} and asks less for the art.", larger=entry.id, smaller=smaller.id)
                mend = say("Raise {larger} or lower {smaller}.", larger=entry.id, smaller=smaller.id)
                out.append(Finding("larger-for-less", "contradiction", (smaller.id, entry.id), detail, mend, figures))
        low, high = same[0], same[-1]
        if high.art - low.art > max(high.slack, low.slack):
            figures = (money(low.art, currency), money(high.art, currency))
            detail = say("Works of one size: {n}, asking from {low} to {high}.", n=len(same), low=figures[0], high=figures[1])
            works = tuple(entry.id for entry in same)
            out.append(Finding("same-size-different-price", "contradiction", works, detail, say("Give them one price."), figures))
        for entry in same:
            while dearer and dearer[-1].art <= entry.art:
                dearer.pop()
            dearer.append(entry)
        start = end
    return out


def _nearest_dearer(dearer: list[_Entry], entry: _Entry) -> _Entry | None:
    """The nearest smaller work that asks more than `entry`, beyond the rounding where costs were taken off."""
    for smaller in reversed(dearer):
        if smaller.art - entry.art > max(smaller.slack, entry.slack):
            return smaller
    return None
