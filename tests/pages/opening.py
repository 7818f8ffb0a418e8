"""The page of the operations over a part of its contract, which is drawn as the whole is, and in a tenth of the time."""

import json
import re
from typing import Any

import httpx

OPENED = ("/members", "/members/{member}/quotes", "/members/{member}/price")
NAMED = re.compile(r'"#/components/([^/"]+)/([^/"]+)"')
BLOCK = "#operations-Prices-quoteWork"


def part_of(document: dict[str, Any]) -> dict[str, Any]:
    """The contract with these paths and what they name, near or far; links to other operations are left out."""
    paths = {path: document["paths"][path] for path in OPENED}
    whole = document["components"]
    kept: dict[str, dict[str, Any]] = {"securitySchemes": whole["securitySchemes"]}
    asked = list(NAMED.findall(json.dumps(paths)))
    while asked:
        kind, name = asked.pop()
        if name not in kept.setdefault(kind, {}):
            kept[kind][name] = whole[kind][name]
            asked += NAMED.findall(json.dumps(whole[kind][name]))
    return {**document, "paths": paths, "components": kept}


def opened(page: Any, server: str, scheme: str = "light", at: str = "") -> None:
    """The page is open, in that colour scheme, at the address of an operation or at none."""
    document = part_of(httpx.get(f"{server}/openapi.json", trust_env=False).json())
    page.route("**/openapi.json", lambda route: route.fulfill(json=document))
    page.emulate_media(color_scheme=scheme)
    page.goto(f"{server}/docs{at}")
    page.wait_for_selector(".opblock")
