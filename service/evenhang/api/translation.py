"""Saying it in the caller's language: catalogues, decimal marks, and amounts as that language writes them.

Knows no operation. English needs neither a catalogue nor Babel, so both are read when another language is first asked for.
"""

import gettext
from collections.abc import Callable
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

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
    if language == DEFAULT or not isinstance(text, Said):
        return str.__str__(text)
    template = _catalogue(language).gettext(text.template) if text.template else ""
    return template.format_map({name: _value_in(value, language) for name, value in text.values.items()}) if text.values else template


def displayed(amount: Money, language: str) -> str:
    """The amount as `language` writes it (CLDR), always with the minor digits of ISO 4217: CLDR's differ for some currencies."""
    if language == DEFAULT:
        return str(amount)
    value, currency = amount.amount, amount.currency
    grouped = abs(value) >= _LEAST_GROUPED.get(language, 0)
    pattern = _pattern(language, currency, max(0, -int(value.as_tuple().exponent)))
    return str(pattern.apply(value, language, currency=currency, currency_digits=False, group_separator=grouped))


def _value_in(value: object, language: str) -> str:
    if isinstance(value, Said):
        return said_in(value, language)
    if isinstance(value, Numeral):
        return value.replace(".", _decimal_mark(language))
    return displayed(value, language) if isinstance(value, Money) else str(value)


@cache
def _encoder(language: str) -> msgspec.json.Encoder:
    return msgspec.json.Encoder(enc_hook=_hook(language))


def _hook(language: str) -> Callable[[Any], str]:
    def hook(value: Any) -> str:
        if isinstance(value, str):
            return said_in(value, language)
        raise NotImplementedError(type(value))

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


@lru_cache(maxsize=256)
def _pattern(language: str, currency: str, digits: int) -> Any:
    """The language's own pattern of amounts, with as many digits after its mark as the currency has."""
    from babel import Locale
    from babel.numbers import get_currency_symbol, parse_pattern

    text = Locale.parse(language).currency_formats["standard"].pattern
    if get_currency_symbol(currency, language)[-1].isalpha():
        text = text.replace("¤#", "¤\u00a0#")  # letters stand off from digits (UTS 35, part 3, currencySpacing), which Babel leaves out
    pattern = parse_pattern(text)
    pattern.frac_prec = (digits, digits)
    return pattern
