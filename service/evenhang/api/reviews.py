"""Reviews: the old price list against the rules of a day, and the years ahead."""

from datetime import date
from typing import Annotated

from msgspec import Meta, Struct, field

from evenhang.api.calls import SAFE, Call, Digest, Operation, RulesUsed, Tried, resolve, used
from evenhang.api.pictured import pictured
from evenhang.api.replies import JSON, Reply
from evenhang.engine.ahead import Ahead, look_ahead
from evenhang.engine.checks.catalogue import CatalogueWork
from evenhang.engine.review import ReviewRow, Rises, Stake, review_list, rises_of, stake_of
from evenhang.engine.settlement import CAUTION
from evenhang.pictures.canvas import SVG
from evenhang.pictures.review import draw_review


class ReviewRequest(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """The price list as it is listed now; `as_of` is the day from which the new prices hold."""

    works: Annotated[tuple[CatalogueWork, ...], Meta(max_length=1_000)]
    years: Annotated[int, Meta(ge=0, le=30)] = 5
    kept_back: Annotated[tuple[Annotated[str, Meta(min_length=1, max_length=64)], ...], Meta(max_length=20)] = ()
    as_of: date | None = None
    rules_digest: Digest | None = None
    try_: Tried = field(default=None, name="try")


class ReviewAnswer(Struct, frozen=True):
    """The new list, how far it rises, the income at stake, and the years ahead."""

    member: str
    as_of: date
    rules: RulesUsed
    works: tuple[ReviewRow, ...]
    left_out: int
    rises: Rises
    stake: Stake
    ahead: Ahead
    caution: str = CAUTION


def review(call: Call) -> ReviewAnswer | Reply:
    """The review by the rules in force on the day."""
    rules, on = resolve(call)
    asked: ReviewRequest = call.body
    found = review_list(rules, asked.works, on)
    answer = ReviewAnswer(
        member=rules.member,
        as_of=on,
        rules=used(rules),
        works=found.rows,
        left_out=sum(row.reason is not None for row in found.rows),
        rises=rises_of(found.listings),
        stake=stake_of(rules, found.listings),
        ahead=look_ahead(rules, found.listings, asked.kept_back, on, asked.years),
    )
    return pictured(call, answer, lambda voice: draw_review(answer.works, voice))


REVIEWS = Operation(
    "reviewList",
    "POST",
    "/members/{member}/reviews",
    "Review a price list",
    "The old price list against the rules of a day: every work's old and new price, never lower than listed, how far they rise,"
    " the income at stake, and the list in the years ahead, also for works kept back." + SAFE,
    (ReviewAnswer,),
    review,
    ReviewRequest,
    scope="books",
    media=(JSON, SVG),
)
