"""A price at an address: one work in query parameters, for a link or a shop's page, kept by caches.

Knows what anybody may see; the member's view is only quoted.
"""

from datetime import date
from typing import Annotated

from msgspec import Meta, Struct

from evenhang.api.calls import Call, Digest, Operation, resolve
from evenhang.api.quotes import PublicQuote, public_quote
from evenhang.engine.choices import is_hidden
from evenhang.engine.money import Amount
from evenhang.engine.quote import price_work
from evenhang.engine.refusals import Contradictory, Missing, NotOffered, Refusal, Unknown
from evenhang.engine.rules import RuleSet
from evenhang.engine.saying import say
from evenhang.engine.sizes import LengthUnit, Shape, Size
from evenhang.engine.works import ChosenExtra, Name, Work, WorkCost


class PriceQuery(Struct, frozen=True, forbid_unknown_fields=True):
    """A work in query parameters. Its size is height and width, or a format; `extra` and `cost` may stand several times."""

    medium: Name
    height: Amount | None = None
    width: Amount | None = None
    depth: Amount | None = None
    unit: LengthUnit = "cm"
    format: Name | None = None
    shape: Shape = "rectangle"
    grade: Name | None = None
    hours: Amount | None = None
    framed: bool = False
    extra: Annotated[tuple[Name, ...], Meta(max_length=50)] = ()
    cost: Annotated[tuple[Name, ...], Meta(max_length=50)] = ()
    as_of: date | None = None
    rules_digest: Digest | None = None


def price(call: Call) -> PublicQuote:
    """The public price of the work on the day; refusals point at the parameter."""
    rules, on = resolve(call)
    try:
        work = _work(rules, call.body)
        return public_quote(rules, price_work(rules, work, on), on)
    except Refusal as refusal:
        refusal.pointer = _parameter(refusal.pointer, call.body)
        raise


def _work(rules: RuleSet, asked: PriceQuery) -> Work:
    """The work that the parameters describe."""
    if asked.height is None and (asked.width is not None or asked.depth is not None):
        raise Missing(say("The size has no height."), "/height", say("A size is said height first."))
    size = Size(asked.height, asked.unit, asked.width, asked.depth) if asked.height is not None else None
    costs = (*((_frame(rules),) if asked.framed else ()), *asked.cost)
    for place, name in enumerate(costs):
        cost = rules.rules.costs.get(name)
        if cost is not None and is_hidden(cost):
            detail = say('"{name}" is charged at its own cost, which is not public.', name=name)
            raise NotOffered(detail, f"/costs/{place}", say("Ask the workshop for a price with it."))
    return Work(
        asked.medium,
        size=size,
        format=asked.format,
        shape=asked.shape,
        grade=asked.grade,
        extras=tuple(ChosenExtra(name, asked.extra.count(name)) for name in dict.fromkeys(asked.extra)),
        costs=tuple(WorkCost(name) for name in costs),
        hours=asked.hours,
    )


def _frame(rules: RuleSet) -> str:
    """The cost that is the frame's by the member's rules. Unknown where there is none, Contradictory where there are several."""
    frames = [name for name, rule in rules.rules.costs.items() if rule.frame]
    if not frames:
        raise Unknown(say("This member's rules price no frame."), "/framed", say("Leave it out."))
    if len(frames) > 1:
        detail = say("This member frames in several ways: {names}.", names=", ".join(frames))
        raise Contradictory(detail, "/framed", say("Name one of them as {field}.", field="`cost`"))
    return frames[0]


def _parameter(pointer: str, asked: PriceQuery) -> str:
    """Where a pointer into the work leads in the query."""
    steps = pointer.split("/")[1:]
    match steps:
        case ["size", side]:
            return f"/{side}"
        case ["size"]:
            return "/height"
        case ["extras", *_]:
            return "/extra"
        case ["costs", "0", *_] if asked.framed:
            return "/framed"
        case ["costs", *_]:
            return "/cost"
    return pointer


PRICE = Operation(
    "readPrice",
    "GET",
    "/members/{member}/price",
    "Read one price",
    "The public price of one work that the query describes, for a link or a shop's page. It may be kept for a minute, and is then asked"
    " for again by its ETag.",
    (PublicQuote,),
    price,
    query=PriceQuery,
    cache="public, max-age=60",
)
