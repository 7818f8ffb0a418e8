"""Positions: own prices among those that other makers ask."""

from datetime import date
from typing import Annotated

from msgspec import Meta, Struct, field

from evenhang.api.calls import SAFE, Call, Digest, Operation, RulesUsed, Tried, resolve, used
from evenhang.engine.comparables import Comparable
from evenhang.engine.money import Factor
from evenhang.engine.position import OwnWork, Positions, find_positions
from evenhang.engine.works import Name


class PositionRequest(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """Own works of one medium, comparable works of other makers, and how prices grow with size, if that is known."""

    medium: Name
    own: Annotated[tuple[OwnWork, ...], Meta(min_length=1, max_length=20)]
    comparables: Annotated[tuple[Comparable, ...], Meta(min_length=1, max_length=500)]
    exponent: Factor | None = None
    as_of: date | None = None
    rules_digest: Digest | None = None
    try_: Tried = field(default=None, name="try")


class PositionAnswer(Struct, frozen=True):
    """Where the own prices stand."""

    member: str
    as_of: date
    rules: RulesUsed
    positions: Positions


def position(call: Call) -> PositionAnswer:
    """The positions on the day: currencies by its pinned rates."""
    rules, on = resolve(call)
    asked: PositionRequest = call.body
    found = find_positions(rules, asked.medium, asked.own, asked.comparables, asked.exponent, on)
    return PositionAnswer(rules.member, on, used(rules), found)


POSITIONS = Operation(
    "findPositions",
    "POST",
    "/members/{member}/positions",
    "Place own prices among other makers'",
    "Comparable works' asked prices, brought to the own work's size and currency: percentile, quantiles, and sell-through by price third."
    " Asked prices are not sale prices." + SAFE,
    (PositionAnswer,),
    position,
    PositionRequest,
    scope="books",
)
