"""What an answer of the service looks like: a network's page of its own may be JSON and a 200 as well, and is nobody's answer."""

from typing import Any


def is_members(said: Any) -> bool:
    """Who the members are, each with its title and its outlets."""
    try:
        return all(_texts(row["member"], row["title"], *row["outlets"]) for row in _list(said["members"]))
    except (KeyError, TypeError):
        return False


def is_price(said: Any) -> bool:
    """A price with its lines, its tax and its outlets, as a page shows them."""
    try:
        lines, outlets = _list(said["lines"]), _list(said["outlets"])
        sums = [said["price"], *(line["amount"] for line in lines), *(outlet["price"] for outlet in outlets)]
        sums += [said["tax"]] if said["tax_kind"] != "none" else []
        labels = [*(line["label"] for line in lines), *(outlet["outlet"] for outlet in outlets)]
        said_so = _texts(said["as_of"], said["caution"], said["tax_kind"], said["rules"]["digest"], *labels)
        return bool(lines) and said_so and all(_texts(money["amount"], money["currency"]) for money in sums)
    except (KeyError, TypeError):
        return False


def is_checked(said: Any) -> bool:
    """What a check has found, each finding in words."""
    try:
        return all(_texts(row["severity"], row["code"], row["detail"], row["mend"]) for row in _list(said["findings"]))
    except (KeyError, TypeError):
        return False


def _list(said: Any) -> list[Any]:
    if not isinstance(said, list):
        raise TypeError("no list")
    return said


def _texts(*said: Any) -> bool:
    return all(isinstance(one, str) for one in said)
