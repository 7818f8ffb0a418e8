"""The price guide in the form that the caller takes: one address, by Accept or by the query's `form`, in the caller's language.

Knows which form is which kind of answer; each is made in a file of its own.
"""

from functools import lru_cache

from evenhang.api.calls import Call, Operation, resolve
from evenhang.api.guide import Form, GuideAnswer, GuideQuery, guide_on
from evenhang.api.guide_csv import csv_of
from evenhang.api.guide_ld import linked_data
from evenhang.api.guide_page import FRAGMENT_POLICY, PAGE_POLICY, embed_of, page_of
from evenhang.api.guide_words import terms, words_in
from evenhang.api.pictured import check_drawing, picture_reply, spoken, voice_in
from evenhang.api.replies import HTML, JSON, Reply
from evenhang.engine.guide import Guide
from evenhang.pictures.canvas import SVG, can_draw, drawn
from evenhang.pictures.guide import draw_guide

CSV, LINKED = "text/csv", "application/ld+json"
FORM_OF: dict[str, Form] = {JSON: "json", HTML: "html", CSV: "csv", LINKED: "jsonld", SVG: "svg"}


def read_guide(call: Call) -> Reply | GuideAnswer:
    """The guide in the form asked for. What follows the language says so, and that its copies differ by Accept-Language."""
    asked: GuideQuery = call.body
    answer = guide_on(call)
    language = asked.lang or call.language
    match asked.form or FORM_OF[call.media_type]:
        case "json":
            return answer
        case "csv":
            name = f"{answer.member}-prices-{answer.as_of}.csv"
            return Reply(csv_of(answer), CSV, headers={"content-disposition": f'attachment; filename="{name}"'})
        case "jsonld":
            return Reply(linked_data(answer, language), LINKED, headers=_spoken(language))
        case "embed":
            return Reply(embed_of(answer, language), HTML, headers=_spoken(language, FRAGMENT_POLICY))
        case "svg":
            check_drawing()
            return picture_reply(_picture(answer.guide, language), language)
    rules, _ = resolve(call)
    media = tuple((name, medium.title) for name, medium in rules.rules.media.items())
    page = page_of(answer, asked, language, picture=can_draw(), media=media)
    return Reply(page, HTML, headers=_spoken(language, PAGE_POLICY))


@lru_cache(maxsize=128)
def _picture(guide: Guide, language: str) -> bytes:
    """Kept, because it is drawn in a few tenths of a second and anybody may ask for it."""
    return drawn(draw_guide(guide, words_in(language), terms(guide, language), voice_in(language)))


def _spoken(language: str, policy: str = "") -> dict[str, str]:
    return spoken(language) | ({"content-security-policy": policy} if policy else {})


GUIDE = Operation(
    "readGuide",
    "GET",
    "/members/{member}/guide",
    "Read the price guide",
    "The member's public prices: per medium and size, from the smallest to the largest, unframed and framed, with the days between which"
    " they stand. As data, as a page that prints well, as a table (CSV), as linked data of schema.org and as a picture, by `Accept` or by"
    " `form`; `form=embed` is a piece of HTML for a page of the member's own.",
    (GuideAnswer,),
    read_guide,
    query=GuideQuery,
    media=(JSON, HTML, CSV, LINKED, SVG),
    cache="public, max-age=60",
)
