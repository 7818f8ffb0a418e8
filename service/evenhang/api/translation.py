"""Saying it in the caller's language: catalogues, decimal marks, and amounts as that language writes them.

Knows no operation. English needs neither a catalogue nor Babel, so both are read when another language is first asked for.
"""

import gettext
from collections.abc import Callable
from functools import cache, lru_cache
from pathlib import Path
from typing import Any, NamedTuple

import msgspec

from evenhang.api.language import DEFAULT, LANGUAGES
from evenhang.engine.money import Money
from evenhang.engine.saying import Numeral, Said

FOLDER = Path(__file__).parents[1] / "locale"
DOMAIN = "evenhang"
# CLDR: es has minimumGroupingDigits 2, so 1240,00 but 12.400,00; Babel does not know the figure. The other languages have 1.
_LEAST_GROUPED = {"es": 10_000}


def encode(value: object, language: str = DEFAULT) -> bytes:
    """`value` as JSON, every text for people in `language`; names, titles and machine fields as they are."""
    return _encoder(language).encode(value)


def said_in(text: str, language: str) -> str:
    """`text` in `language` where it is ours; a plain text is nobody's to translate and comes back as it is."""
    if language == DEFAULT:
        return str.__str__(text)
    if isinstance(text, Numeral):
        return text.replace(".", _decimal_mark(language))
    if not isinstance(text, Said):
        return text
    template = _catalogue(language).gettext(text.template) if text.template else ""
    return template.format_map({name: _value_in(value, language) for name, value in text.values.items()}) if text.values else template


def displayed(amount: Money, language: str) -> str:
    """The amount as `language` writes it (CLDR), always with the minor digits of ISO 4217: CLDR's differ for some currencies."""
    if language == DEFAULT:
        return str(amount)
    value = amount.amount
    look = _look(language, amount.currency)
    least = _LEAST_GROUPED.get(language, 0)
    digits = f"{abs(value):,f}" if abs(value) >= least else f"{abs(value):f}"
    before, after = look.negative if value < 0 else look.positive
    return before + digits.translate(look.marks) + after


def _value_in(value: object, language: str) -> str:
    if isinstance(value, str):
        return said_in(value, language)
    return displayed(value, language) if isinstance(value, Money) else str(value)


@cache
def _encoder(language: str) -> msgspec.json.Encoder:
    return msgspec.json.Encoder(enc_hook=_hook(language))


def _hook(language: str) -> Callable[[Any], str]:
    def hook(value: Any) -> str:
        if isinstance(value, str):
            return said_in(value, language)
        raise NotImplementedError(type(value))  # how a hook tells msgspec that the type is none of ours

    return hook


@cache
def _catalogue(language: str) -> gettext.NullTranslations:
    if language not in LANGUAGES:
        raise KeyError(language)
    return gettext.translation(DOMAIN, FOLDER, [language])


@cache
def _decimal_mark(language: str) -> str:
    from babel.numbers import get_decimal_symbol

    return get_decimal_symbol(language)


class _Look(NamedTuple):
    """How a language writes amounts of a currency: what stands before and after the digits, and its marks for English ones."""

    positive: tuple[str, str]
    negative: tuple[str, str]
    marks: dict[int, str]


@lru_cache(maxsize=1000)
def _look(language: str, currency: str) -> _Look:
    """Out of CLDR's standard pattern, once: Babel's own formatting takes as long as a quote. All patterns here group by threes."""
    from babel import Locale
    from babel.numbers import get_currency_symbol, get_group_symbol, parse_pattern

    symbol = get_currency_symbol(currency, language)
    text = Locale.parse(language).currency_formats["standard"].pattern
    if symbol[-1].isalpha():
        text = text.replace("¤#", "¤\u00a0#")  # letters stand off from digits (UTS 35, part 3, currencySpacing), which Babel leaves out
    pattern = parse_pattern(text)
    ends = [(pattern.prefix[i].replace("¤", symbol), pattern.suffix[i].replace("¤", symbol)) for i in (0, 1)]
    return _Look(ends[0], ends[1], str.maketrans({",": get_group_symbol(language), ".": _decimal_mark(language)}))
