"""The price guide of a member, for everybody: its data as JSON.

`guide_on` is the seam: whoever sends the guide in another form (a table, a page, a picture) asks it for the same answer.
"""

from datetime import date

from msgspec import Struct

from evenhang.api.calls import Call, Digest, Operation, RulesUsed, resolve, used
from evenhang.engine.guide import Guide, guide_of
from evenhang.engine.money import Currency
from evenhang.engine.works import Name


class GuideQuery(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """Which part of the guide, in which currency, on which day."""

    medium: Name | None = None
    currency: Currency | None = None
    as_of: date | None = None
    rules_digest: Digest | None = None


class GuideAnswer(Struct, frozen=True):
    """The price guide. Only what anybody may see."""

    member: str
    as_of: date
    rules: RulesUsed
    guide: Guide


def guide_on(call: Call) -> GuideAnswer:
    """The guide as it stands on the day, in the currency asked for."""
    rules, on = resolve(call)
    asked: GuideQuery = call.body
    return GuideAnswer(rules.member, on, used(rules), guide_of(rules, on, asked.medium, asked.currency))


GUIDE = Operation(
    "readGuide",
    "GET",
    "/members/{member}/guide",
    "Read the price guide",
    "The member's public prices: per medium and size, from the smallest to the largest, unframed and framed, with the days between which "
    "they stand.",
    (GuideAnswer,),
    guide_on,
    query=GuideQuery,
)
