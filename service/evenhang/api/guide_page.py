"""The price guide as a page to read and print, and as a piece of HTML for a page of the member's own.

Knows words and links; the marks stand in the templates, which escape every title.
"""

from collections.abc import Callable
from datetime import date
from functools import partial
from urllib.parse import urlencode

from markupsafe import Markup
from msgspec import Struct

from evenhang.api import guide_words
from evenhang.api.guide import Form, GuideAnswer, GuideQuery
from evenhang.api.guide_ld import linked_data
from evenhang.api.guide_words import OWN_NAMES, day_in, number_in, words_in
from evenhang.api.language import LANGUAGES
from evenhang.api.templates import render
from evenhang.api.translation import said_in
from evenhang.engine.guide import GuideMedium, GuideRow
from evenhang.pictures.guide import has_chart
from evenhang.pictures.guide_sizes import sides_of, titled

# The page runs no script and shows nothing from elsewhere. Its linked data is no script: nothing executes it.
PAGE_POLICY = "default-src 'none'; style-src 'self'; img-src 'self' data:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
# The piece may be framed by anybody: it holds public words and figures, and nothing to click.
FRAGMENT_POLICY = "default-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors *"


class Link(Struct, frozen=True):
    """An address below the guide's own, what it is called, and whether it is this page."""

    href: str
    text: str
    here: bool = False
    lang: str | None = None


def page_of(answer: GuideAnswer, asked: GuideQuery, language: str, *, picture: bool, media: tuple[tuple[str, str], ...]) -> bytes:
    """The whole page. `picture` says whether pictures can be drawn here; `media` are all of the member's, name and title."""
    words, link = words_in(language), _linking(asked, language)
    forms: list[tuple[Form, str]] = [("csv", words["table"]), ("json", "JSON"), ("jsonld", "JSON-LD")]
    forms += [("svg", words["picture"])] if picture else []
    return render(
        "guide.html",
        **_shown(answer, language),
        languages=[Link(link(lang=tag), OWN_NAMES[tag], tag == language, tag) for tag in LANGUAGES],
        currencies=[Link(link(currency=code), code, code == answer.guide.currency) for code in answer.guide.currencies],
        choices=[
            Link(link(medium=None), words["all_media"], asked.medium is None),
            *(Link(link(medium=name), title, name == asked.medium) for name, title in media),
        ],
        forms=[Link(link(form=form), text) for form, text in forms],
        charts=[
            Link(link(form="svg", medium=medium.medium), medium.title) for medium in answer.guide.media if picture and has_chart(medium)
        ],
        linked=Markup(linked_data(answer, language).decode()),  # every < > and & in it is spelt as JSON's \u escape
    )


def embed_of(answer: GuideAnswer, language: str) -> bytes:
    """The piece: headings and tables alone, which take on the look of the page around them."""
    return render("guide_embed.html", **_shown(answer, language))


def _shown(answer: GuideAnswer, language: str) -> dict[str, object]:
    guide = answer.guide
    return {
        "answer": answer,
        "guide": guide,
        "language": language,
        "words": words_in(language),
        "amount": lambda money: guide_words.amount_in(money, language),
        "note_in": lambda note: said_in(note, language),
        "title_of": lambda row: titled(row, partial(number_in, language=language)),
        "dimensions": lambda row: _dimensions(row, language),
        "sides": lambda medium: _sides(medium, language),
        "terms": Markup(guide_words.terms(guide, language, _time)),  # words and figures of ours, and a currency's code
        "as_of": Markup(words_in(language)["as_of"].format(_time(answer.as_of, language))),
        "tax": guide_words.tax_words(guide, language),
        "parity": guide_words.parity(guide, language),
    }


def _sides(medium: GuideMedium, language: str) -> str:
    """In which order the sizes of a medium name their sides; "" for sizes of one side, and pieces."""
    words = words_in(language)
    sizes = [row.size for row in medium.rows if row.size is not None]
    if any(size.depth is not None for size in sizes):
        return f"{words['height_width']} × {words['depth']}"
    return words["height_width"] if any(size.width is not None for size in sizes) else ""


def _dimensions(row: GuideRow, language: str) -> str:
    """The size where the title does not say it already, with a multiplication sign as labels have it."""
    if row.size is None or row.size.text() in row.title:
        return ""
    return sides_of(row.size, partial(number_in, language=language))


def _time(day: date, language: str) -> str:
    """The day for people, with the one for programs beside it."""
    return f'<time datetime="{day.isoformat()}">{day_in(day, language)}</time>'


def _linking(asked: GuideQuery, language: str) -> Callable[..., str]:
    """Addresses of the same guide with something else asked for; what was asked for stays."""
    kept = {name: getattr(asked, name) for name in ("medium", "currency", "as_of", "rules_digest")} | {"lang": language}

    def link(**changed: str | None) -> str:
        said = {name: value for name, value in (kept | changed).items() if value is not None}
        return "?" + urlencode(said)

    return link
