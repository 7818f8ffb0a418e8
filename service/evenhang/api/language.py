"""Which language an answer is in: the caller's Accept-Language against the languages offered.

Knows no catalogue and no text. RFC 9110, section 12.5.4, says what the field means; RFC 4647, section 3.4, how a range finds a language.
"""

import re
from functools import lru_cache

# English is what the texts are written in and what everybody gets whom nothing else suits.
DEFAULT = "en"
LANGUAGES = (DEFAULT, "fr", "de", "es", "ja")
# Browsers send under 100 characters and a handful of ranges; what goes beyond these is not read.
MOST_CHARACTERS = 1000
MOST_RANGES = 50
# RFC 4647, section 2.1 (basic ranges), with the weight of RFC 9110, section 12.4.2.
_RANGE = re.compile(
    r"[ \t]*(?P<range>[A-Za-z]{1,8}(?:-[A-Za-z0-9]{1,8})*|[*])[ \t]*(?:;[ \t]*[qQ]=(?P<weight>0(?:[.][0-9]{0,3})?|1(?:[.]0{0,3})?)[ \t]*)?"
)


def language_of(accept: str) -> str:
    """The language to answer in, a tag of LANGUAGES, for an Accept-Language field; "" where there is none.

    A range that does not fit the grammar is passed over, and so is what lies beyond the limits. Nothing suitable: English,
    unless English itself is refused with q=0 and another language is not (a 406 would help nobody).
    """
    read = accept if len(accept) <= MOST_CHARACTERS else accept[:MOST_CHARACTERS].rpartition(",")[0]
    return _chosen(read)


@lru_cache(maxsize=256)
def _chosen(accept: str) -> str:
    """The language for a field within its limits; kept, for most callers send one of a few fields."""
    weights = _weights(accept)
    refused = {tag for tag, weight in weights.items() if weight == 0}
    for tag, weight in sorted(weights.items(), key=lambda item: -item[1]):
        if weight > 0 and tag != "*" and (found := _lookup(tag, refused)):
            return found
    # "*" is every language that no other range names; lookup leaves it to the default (RFC 4647, section 3.4).
    welcome = [language for language in LANGUAGES if language not in refused]
    return welcome[0] if welcome else DEFAULT


def _weights(accept: str) -> dict[str, float]:
    """The weight of each range, in the order of the field; said twice, the first counts."""
    out: dict[str, float] = {}
    for part in accept.split(",")[:MOST_RANGES]:
        if match := _RANGE.fullmatch(part):
            out.setdefault(match["range"].lower(), float(match["weight"] or 1))
    return out


def _lookup(tag: str, refused: set[str]) -> str | None:
    """The longest start of the range that is offered and not refused; a single letter goes with what followed it (RFC 4647, 3.4)."""
    steps = tag.split("-")
    while steps:
        found = "-".join(steps)
        if found in refused:
            return None
        if found in LANGUAGES:
            return found
        steps.pop()
        if steps and len(steps[-1]) == 1:
            steps.pop()
    return None
