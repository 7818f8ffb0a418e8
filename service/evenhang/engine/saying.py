"""What is said to people: an English text that keeps its template and its values, so that the edge can say it in another language.

Knows no language but English, no catalogue and no file.
"""

from collections.abc import Iterable, Mapping
from functools import cache


class Numeral(str):
    """Digits as they are written in English, with a point; another language puts its own decimal mark there."""

    __slots__ = ()


class Said(str):
    """An English text for people, with what it was made from: the template, and the values in it by name.

    A value is a Numeral (gets the language's decimal mark), a Money (is displayed as the language writes it), another
    Said (is said in the same language), or anything else, which is nobody's to translate: names, titles, days, counts.
    """

    __slots__ = ("template", "values")
    template: str
    values: Mapping[str, object]


def say(template: str, **values: object) -> Said:
    """A text with words of ours in it: its template, a literal, is a message of the catalogues. Use no plural: write "Works: {n}"."""
    return _made(template, values) if values else _unchanging(template)


def reckon(template: str, **values: object) -> Said:
    """A sum: figures, signs and other people's names, but no word of ours, so that there is nothing to translate."""
    return _made(template, values)


def joined(parts: Iterable[object], between: str = ", ") -> Said:
    """Parts in a row, each as it is said in the caller's language; `between` is a sign, never a word."""
    named = {f"part_{i}": part for i, part in enumerate(parts)}
    return _made(between.join(f"{{{name}}}" for name in named), named)


def _made(template: str, values: Mapping[str, object]) -> Said:
    said = Said(template.format_map(values) if values else template)
    said.template = template
    said.values = values
    return said


@cache
def _unchanging(template: str) -> Said:
    """A label is made once: half of what is said has no values, and there are as many as literals in the code."""
    return _made(template, {})
