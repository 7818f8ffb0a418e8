"""An offer, keys and a token for the tests of sealing, and strategies that make up others."""

import string
from datetime import date
from decimal import Decimal as D

from hypothesis import strategies as st

from evenhang.demo import OFFER_KEY
from evenhang.engine.money import Money, figure
from evenhang.engine.offer import Offer, OfferedExtra, OfferedPrice, OfferedSize, OfferedWork
from evenhang.sealing.keys import load_seals
from evenhang.sealing.seal import seal

ON = date(2026, 5, 1)
SEALS = load_seals(OFFER_KEY, demo=True)
KEY = next(iter(SEALS.keys.values()))
PRICE = Money(D("940.00"), "EUR")
OFFER = Offer(
    id="abcdefghij234567",
    member="thimble-yard",
    words="Gouache on board, 60 x 80 cm, Frame",
    work=OfferedWork("gouache", "Low water", (OfferedSize("60", "cm", "80"),), None, "rectangle", "close-work", (), ("frame",)),
    price=PRICE,
    tax_kind="included",
    tax=Money(D("85.45"), "EUR"),
    outlets=(OfferedPrice("studio", PRICE), OfferedPrice("fair", Money(D("151000"), "JPY"))),
    rules_digest="0f" * 32,
    issued_on=ON,
    last_on=date(2026, 5, 31),
    repriceable=True,
)
TOKEN = seal(OFFER, KEY)

names = st.text(string.ascii_lowercase + string.digits + "-", min_size=1, max_size=12)
# A title is anything that JSON can carry; lone surrogates are no text.
texts = st.text(st.characters(exclude_categories=["Cs"]), max_size=40)
sides = st.integers(1, 10**8).map(lambda n: figure(D(n).scaleb(-2)))
amounts = st.integers(0, 10**10).map(lambda n: D(n).scaleb(-2))
sizes = st.builds(OfferedSize, sides, st.sampled_from(["mm", "cm", "m", "in"]), sides) | st.builds(
    OfferedSize, sides, st.sampled_from(["mm", "cm", "m", "in"]), sides, sides
)
extras = st.builds(OfferedExtra, names, st.integers(1, 1000))
works = st.builds(
    OfferedWork,
    names,
    st.none() | texts,
    st.lists(sizes, max_size=3).map(tuple),
    st.none() | names,
    st.sampled_from(["rectangle", "round", "oval"]),
    st.none() | names,
    st.lists(extras, max_size=3).map(tuple),
    st.lists(names, max_size=3).map(tuple),
)
monies = st.builds(Money, amounts, st.just("EUR")) | st.builds(Money, amounts.map(lambda a: a.scaleb(-1)), st.just("KWD"))
offers = st.builds(
    Offer,
    id=st.text(string.ascii_lowercase + "234567", min_size=16, max_size=16),
    member=names,
    words=texts,
    work=works,
    price=st.builds(Money, amounts, st.just("EUR")),
    tax_kind=st.sampled_from(["none", "included", "added"]),
    tax=st.builds(Money, amounts, st.just("EUR")),
    outlets=st.lists(st.builds(OfferedPrice, names, monies), max_size=4).map(tuple),
    rules_digest=st.binary(min_size=32, max_size=32).map(bytes.hex),
    issued_on=st.dates(),
    last_on=st.dates(),
    repriceable=st.booleans(),
)
