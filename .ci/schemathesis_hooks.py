"""Names that the rule book knows, put into what schemathesis makes up, so that it reaches the engine and not only the door.

A name that already breaks the contract is left as it is: what is sent to be refused still is. One request in four keeps
all its own names, so that unknown names are tried as well.
"""

import atexit
import json
import os
import re
import zlib
from pathlib import Path
from typing import Any

import schemathesis

EXAMPLES = Path(__file__).parents[1] / "openapi" / "examples"
NAME = re.compile(r"[a-z0-9][a-z0-9-]{0,62}")
WORDS = ("medium", "outlet", "grade", "format", "currency")


def _words(part: Any, found: dict[str, list[str]]) -> None:
    """Every name in a body, by the field that says it."""
    if isinstance(part, dict):
        for key, value in part.items():
            if key in WORDS and isinstance(value, str) and value not in found[key]:
                found[key].append(value)
            _words(value, found)
    elif isinstance(part, list):
        for item in part:
            _words(item, found)


def _known() -> dict[str, list[str]]:
    """The names that the answered examples of the first member use: the rule book has them."""
    found: dict[str, list[str]] = {word: [] for word in WORDS}
    for request in sorted(EXAMPLES.glob("*/*.request.json")):
        answer = json.loads(request.with_name(request.name.replace(".request.", ".answer.")).read_bytes())
        # The currencies of a resale are those of its place, not the member's.
        if "@" not in request.name and "status" not in answer and request.parent.name != "computeResaleRoyalty":
            _words(json.loads(request.read_bytes()), found)
    return {word: names for word, names in found.items() if names}


KNOWN = _known()
DIGEST = json.loads((EXAMPLES / "listMembers" / "all-members.answer.json").read_bytes())["members"][0]["rules"]["digest"]
MOST_NUMBERS = 1_000  # of an edition, as the contract says
MOST_TRIED = 500  # keys in a `try`, as the contract says
LISTED = {"extras": "gilded-edge", "costs": "frame"}
PLACES = ["de", "fr", "ie", "eu"]  # whose law counts in euro


def _pick(known: list[str], seen: str) -> str:
    return known[zlib.crc32(seen.encode()) % len(known)]


def _named(part: Any) -> Any:
    """The same body with known names, days with rules in force, and each extra and cost said once."""
    if isinstance(part, list):
        return [_named(item) for item in part]
    if not isinstance(part, dict):
        return part
    out = {key: _named(value) for key, value in part.items()}
    for key, known in KNOWN.items():
        value = out.get(key)
        if isinstance(value, str) and (NAME.fullmatch(value) or re.fullmatch("[A-Z]{3}", value)):
            out[key] = _pick(known, value)
    if "member" in out and NAME.fullmatch(str(out["member"])):
        out["member"] = "alder-lane"
    for key, name in LISTED.items():
        rows = out.get(key)
        if isinstance(rows, list) and rows and all(isinstance(row, dict) and NAME.fullmatch(str(row.get("name", ""))) for row in rows):
            out[key] = [{**rows[0], "name": name}, *rows[1:]][:1]
    if isinstance(out.get("as_of"), str) and re.fullmatch("[0-9]{4}-[0-9]{2}-[0-9]{2}", out["as_of"]):
        out["as_of"] = "2026" + out["as_of"][4:] if out["as_of"][5:] != "02-29" else "2026-02-28"
    if isinstance(out.get("rules_digest"), str) and re.fullmatch("[0-9a-f]{64}", out["rules_digest"]):
        out["rules_digest"] = None
    if isinstance(out.get("try"), dict) and len(out["try"]) <= MOST_TRIED:  # hardly any made-up key is one of a rule file
        out["try"] = {"levy_percent": "3"} if out["try"] else {}
    sizes = [key for key in ("size", "panels", "format") if out.get(key) is not None]
    for key in sizes[1:]:  # a size is said once
        if NAME.fullmatch(str(out.get("medium", ""))):
            del out[key]
    return out


def _resold(out: dict[str, Any]) -> dict[str, Any]:
    """A resale at a place of the table, its price in that place's currency, so without a rate."""
    place = str(out.get("place", ""))
    price = out.get("price")
    if not (NAME.fullmatch(place) and isinstance(price, dict) and re.fullmatch("[A-Z]{3}", str(price.get("currency", "")))):
        return out
    out["place"], out["price"] = _pick(PLACES, place), {**price, "currency": "EUR"}
    for key in ("exchange", "smallest_price"):
        if key in out and isinstance(out[key], dict):
            out[key] = None
    return out


def _edition(out: dict[str, Any]) -> dict[str, Any]:
    """An edition of linocuts by the workshop that prints them: of a size, within its most numbers, without proofs, in its currency."""
    work = out.get("work")
    if isinstance(work, dict) and NAME.fullmatch(str(work.get("medium", ""))):
        plain = {key: value for key, value in work.items() if key not in ("grade", "format") or not NAME.fullmatch(str(value))}
        for key, name in (("extras", "hand-colour"), ("costs", "paper")):
            if isinstance(plain.get(key), list):
                plain[key] = [
                    {**row, "name": name} if isinstance(row, dict) and row.get("name") == LISTED[key] else row for row in plain[key]
                ]
        if plain.get("size") is None and plain.get("panels") is None:
            plain["size"] = {"height": "20", "width": "30", "unit": "cm"}
        out["work"] = {**plain, "medium": "linocut"}
    if type(out.get("numbers")) is int and 0 < out["numbers"] <= MOST_NUMBERS:
        out["numbers"] = out["numbers"] % 50 + 1
    if type(out.get("proofs")) is int and 0 <= out["proofs"] <= MOST_NUMBERS:
        out["proofs"] = 0
    if NAME.fullmatch(str(out.get("outlet", ""))):
        out["outlet"] = "winter-market"
    amounts = [out.get("hourly_target"), *(cost.get("amount") for cost in _list(out.get("run_costs")) if isinstance(cost, dict))]
    for amount in amounts:
        if isinstance(amount, dict) and re.fullmatch("[A-Z]{3}", str(amount.get("currency", ""))):
            amount["currency"] = "EUR"
    return out


@schemathesis.hook
def before_load_schema(context: Any, raw_schema: dict[str, Any]) -> None:
    """Without bodies of lines: any text is one, so nothing that is made up could break their schema. tests/hostile sends broken ones."""
    for path in raw_schema["paths"].values():
        for operation in path.values():
            if isinstance(operation, dict):
                operation.get("requestBody", {}).get("content", {}).pop("application/x-ndjson", None)


def _placed(out: dict[str, Any]) -> dict[str, Any]:
    """A position among comparables that are too few to show how prices grow: it is said."""
    return out if out.get("exponent") is not None else {**out, "exponent": "0.8"}


EDITIONS = "/members/{member}/editions"
SPECIAL = {"/resale-royalties": _resold, EDITIONS: _edition, "/members/{member}/positions": _placed}

REACHED: dict[str, list[int]] = {}


@schemathesis.hook
def after_call(context: Any, case: Any, response: Any) -> None:
    """Count what each operation answered: all, and those with an answer."""
    seen = REACHED.setdefault(case.operation.label, [0, 0])
    seen[0] += 1
    seen[1] += 200 <= response.status_code < 300 or response.status_code == 304


@atexit.register
def reached() -> None:
    """Write the counts where GATE_REACHED says; a line for each operation that was asked twenty times and never answered."""
    # One is enough: the coverage phase, most of all requests, sends no known names.
    if path := os.environ.get("GATE_REACHED"):
        poor = [f"{label}: {good} of {asked}" for label, (asked, good) in sorted(REACHED.items()) if asked >= 20 and not good]
        Path(path).write_text("\n".join([f"{len(REACHED)} operations asked", *poor]) + "\n")


@schemathesis.hook
def map_body(context: Any, body: Any) -> Any:
    """Three bodies in four with known names."""
    raw = json.dumps(body, default=str)
    if zlib.crc32(raw.encode()) % 4 == 0:
        return body
    named = _named(body)
    special = SPECIAL.get(context.operation.path)
    return special(named) if special and isinstance(named, dict) else named


def _list(value: Any) -> list[Any]:
    return value if isinstance(value, list) else [value]


@schemathesis.hook
def map_query(context: Any, query: Any) -> Any:
    """Seven queries in eight with known names, of extras and costs only those, and a size said once and whole."""
    raw = json.dumps(query, default=str)
    if not query or zlib.crc32(raw.encode()) % 8 == 0:
        return query
    out = _named(dict(query))
    if not context.operation.path.endswith("/price"):
        return {key: value for key, value in out.items() if value is not None}
    for key, name in (("extra", LISTED["extras"]), ("cost", LISTED["costs"])):
        if all(NAME.fullmatch(str(value)) for value in _list(out.get(key, []))):
            out.pop(key, None)
            if zlib.crc32(raw.encode()) % 8 == 1:
                out[key] = [name]
    sides = [key for key in ("height", "width", "depth") if re.fullmatch(r"[0-9]{1,12}([.][0-9]{1,6})?", str(out.get(key, "")))]
    for key in sides:  # of a size that can be hung on a wall
        out[key] = str(zlib.crc32(raw.encode()) % 90 + 10)
    if out.get("framed") in (True, "true"):  # the frame is said once
        out.pop("cost", None)
    if "height" in out:
        out.pop("format", None)
        out.setdefault("width", out["height"])
    elif NAME.fullmatch(str(out.get("medium", ""))):
        out.setdefault("format", "30f")
        out.pop("width", None)
        out.pop("depth", None)
    return {key: value for key, value in out.items() if value is not None}


@schemathesis.hook
def map_path_parameters(context: Any, path_parameters: Any) -> Any:
    """Seven names in eight at a member or a set that is there; which ones differs by operation, for a made-up name comes back often."""
    member = (path_parameters or {}).get("member")
    if isinstance(member, str) and NAME.fullmatch(member) and zlib.crc32(f"{context.operation.path} {member}".encode()) % 8:
        return {**path_parameters, "member": "bracken-gouge" if context.operation.path == EDITIONS else "alder-lane"}
    digest = (path_parameters or {}).get("digest")
    if isinstance(digest, str) and re.fullmatch("[0-9a-f]{64}", digest) and zlib.crc32(digest.encode()) % 4:
        return {**path_parameters, "digest": DIGEST}
    return path_parameters


@schemathesis.hook
def before_init_operation(context: Any, operation: Any) -> None:
    """What says a server of its own in the document is asked there: the address on the command line is the versioned one."""
    if operation.path.startswith("/.well-known/"):
        operation.base_url = operation.base_url.removesuffix("/v1")
