"""Amounts, money, currencies, rounding, and sharing out without losing a cent.

Knows nothing of works or rules. Exact decimals throughout: no binary float touches money.
"""

import re
from collections.abc import Callable, Sequence
from decimal import ROUND_CEILING, ROUND_DOWN, ROUND_HALF_UP, Context, Decimal, localcontext
from functools import wraps
from typing import Annotated, ClassVar, ParamSpec, Self, TypeVar

from msgspec import Meta, Struct

from evenhang.engine.refusals import Contradictory
from evenhang.engine.saying import Numeral, Said, reckon, say

# 50 digits hold a product of three 12-digit measures with 4 digits to spare after the point, and
# leave powers and logarithms far more than the 28 significant digits that the trade page asks for.
EXACT = Context(prec=50, rounding=ROUND_HALF_UP)

P = ParamSpec("P")
R = TypeVar("R")

ZERO = Decimal(0)
ONE = Decimal(1)
HUNDRED = Decimal(100)

# ISO 4217, the maintenance agency's table of 2026-01-01: minor digits other than 2, and the codes with 2.
# The metals, funds units and test codes (XAU, XDR, XXX ...) have no minor digits and price nothing here.
_DIGITS = {
    0: "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF",
    2: "AED AFN ALL AMD AOA ARS AUD AWG AZN BAM BBD BDT BMD BND BOB BOV BRL BSD BTN BWP BYN BZD CAD CDF CHE CHF"
    " CHW CNY COP COU CRC CUP CVE CZK DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD GTQ GYD HKD HNL"
    " HTG HUF IDR ILS INR IRR JMD KES KGS KHR KPW KYD KZT LAK LBP LKR LRD LSL MAD MDL MGA MKD MMK MNT MOP MRU"
    " MUR MVR MWK MXN MXV MYR MZN NAD NGN NIO NOK NPR NZD PAB PEN PGK PHP PKR PLN QAR RON RSD RUB SAR SBD SCR"
    " SDG SEK SGD SHP SLE SOS SRD SSP STN SVC SYP SZL THB TJS TMT TOP TRY TTD TWD TZS UAH USD USN UYU UZS VED"
    " VES WST XAD XCD XCG YER ZAR ZMW ZWG",
    3: "BHD IQD JOD KWD LYD OMR TND",
    4: "CLF UYW",
}
MINOR_DIGITS: dict[str, int] = {code: digits for digits, codes in _DIGITS.items() for code in codes.split()}
_MINOR_UNIT = {code: ONE.scaleb(-digits) for code, digits in MINOR_DIGITS.items()}


def exact(verb: Callable[P, R]) -> Callable[P, R]:
    """Run `verb` in the exact decimal context, whatever the calling thread has set."""

    @wraps(verb)
    def inside(*args: P.args, **kwargs: P.kwargs) -> R:
        with localcontext(EXACT):
            return verb(*args, **kwargs)

    return inside


class _Typed(Decimal):
    """A decimal that comes in as a string of ASCII digits and one point, and as nothing else."""

    PATTERN: ClassVar[str]
    WORDS: ClassVar[str]
    _full: ClassVar[re.Pattern[str]]

    def __init_subclass__(cls) -> None:
        cls._full = re.compile(cls.PATTERN.strip("^$"))

    @classmethod
    def parse(cls, raw: object) -> Self:
        """The value of `raw`, a string; ValueError with a sentence for people otherwise."""
        if isinstance(raw, cls):
            return raw
        if isinstance(raw, (int, float)) and not isinstance(raw, bool):
            raise ValueError(f"a JSON number would pass through a binary float and lose cents: send a string, {cls.WORDS}")
        if not isinstance(raw, str) or not cls._full.fullmatch(raw):
            raise ValueError(f"expected {cls.WORDS}")
        return cls(raw)


class Amount(_Typed):
    """A size, an amount, hours or a percentage: 0 or more, at most 12 digits before the point and 6 after it."""

    PATTERN = "^[0-9]{1,12}([.][0-9]{1,6})?$"
    WORDS = 'digits with at most one point, such as "1240.00" (at most 12 before it and 6 after)'


class Factor(_Typed):
    """A rate, an exponent or a factor: 0 or more, at most 12 digits before the point and 12 after it."""

    PATTERN = "^[0-9]{1,12}([.][0-9]{1,12})?$"
    WORDS = 'digits with at most one point, such as "1.0825" (at most 12 before it and 12 after)'


# Answers: already quantised, so str() never shows an exponent; the pattern is for the contract.
Figure = Annotated[Decimal, Meta(extra_json_schema={"pattern": "^-?[0-9]{1,40}([.][0-9]{1,12})?$", "maxLength": 54})]
# Unit rates, exchange rates, percentages and other numbers that are not Money: text, at most 12 decimals.
Ratio = Annotated[str, Meta(pattern="^-?[0-9]{1,40}([.][0-9]{1,12})?$", max_length=54)]
Currency = Annotated[str, Meta(pattern="^[A-Z]{3}$", max_length=3, examples=["EUR"])]


class Money(Struct, frozen=True):
    """An amount of money, with exactly its currency's minor digits."""

    amount: Figure
    currency: Currency

    def __str__(self) -> str:
        """As English text shows it: EUR 1,240.00. The code, for a sign such as $ is many currencies'; the space does not break."""
        sign = "-" if self.amount < 0 else ""
        return f"{sign}{self.currency}\u00a0{abs(self.amount):,f}"


class GivenMoney(Struct, frozen=True, forbid_unknown_fields=True):
    """An amount of money that a caller hands in."""

    amount: Amount
    currency: Currency

    def in_currency(self, currency: str, pointer: str) -> Decimal:
        """The amount, if it is in `currency` and has no more digits than it; Contradictory otherwise."""
        if self.currency != currency:
            raise Contradictory(
                say("This amount is in {given}, but {needed} is needed here.", given=self.currency, needed=currency),
                f"{pointer}/currency",
                say("State it in {currency}.", currency=currency),
            )
        if self.amount != self.amount.quantize(minor_unit(currency), ROUND_DOWN):
            raise Contradictory(
                say(
                    "{amount} has more digits after the point than {currency} has ({digits}).",
                    amount=Numeral(self.amount),
                    currency=currency,
                    digits=MINOR_DIGITS[currency],
                ),
                f"{pointer}/amount",
            )
        return self.amount


def minor_unit(currency: str) -> Decimal:
    """The smallest unit of `currency`, such as 0.01 for EUR, 1 for JPY, 0.001 for KWD. KeyError if unknown."""
    return _MINOR_UNIT[currency]


def to_minor(amount: Decimal, currency: str) -> Decimal:
    """`amount` rounded half up (away from zero) to the minor unit of `currency`, never -0."""
    return amount.quantize(_MINOR_UNIT[currency], ROUND_HALF_UP) + ZERO


def up_to_minor(amount: Decimal, currency: str) -> Decimal:
    """`amount` rounded up to the minor unit of `currency`, never -0."""
    return amount.quantize(_MINOR_UNIT[currency], ROUND_CEILING) + ZERO


def money(amount: Decimal, currency: str) -> Money:
    """`amount`, rounded half up to the minor unit, as Money."""
    return Money(to_minor(amount, currency), currency)


def figure(value: Decimal, digits: int = 12) -> str:
    """`value` with at most `digits` decimals, trailing zeros dropped, never with an exponent or as -0."""
    text = format(value.quantize(ONE.scaleb(-digits), ROUND_HALF_UP, EXACT), "f")
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def numeral(value: Decimal, digits: int = 12) -> Numeral:
    """`value` as `figure` writes it, for a text for people."""
    return Numeral(figure(value, digits))


def in_percent(value: Decimal, digits: int = 12) -> Said:
    """A percentage, in a text for people. A message of its own: languages differ in the space before the sign."""
    return say("{n} %", n=numeral(value, digits))


def shown(amount: Money) -> Said:
    """The amount as people read it, in whichever language the answer is."""
    return reckon("{amount}", amount=amount)


def share_out(total: Decimal, weights: Sequence[Decimal], unit: Decimal) -> list[Decimal]:
    """Split `total` by `weights` into multiples of `unit` that sum to it exactly.

    Largest remainder (Hamilton): each part is rounded down, the units left over go to the largest
    remainders, the earlier part first where two are equal. `total` is a multiple of `unit`.
    ValueError when the weights sum to 0.
    """
    whole = sum(weights, ZERO)
    if whole <= 0:
        raise ValueError("weights must sum to more than 0")
    with localcontext(EXACT):
        ideal = [total * weight / whole for weight in weights]
        parts = [(part / unit).to_integral_value(ROUND_DOWN) * unit for part in ideal]
        left = int((total - sum(parts, ZERO)) / unit)
        order = sorted(range(len(parts)), key=lambda i: (parts[i] - ideal[i], i))
        for i in order[:left]:
            parts[i] += unit
    return parts
