"""GET /.well-known/jwks.json: the public keys of offers (RFC 7517; the place by RFC 8615). Knows no offer."""

import hashlib
from typing import Any

from litestar import Request, Response
from litestar.handlers import HTTPRouteHandler, route

from evenhang.sealing.keys import Seals, public_set

PATH = "/.well-known/jwks.json"
MEDIA_TYPE = "application/jwk-set+json"  # RFC 7517, section 8.5.2
# An hour: a new key is published before its day comes, and one that was taken away is believed no longer than this.
CACHING = "public, max-age=3600"


def jwks_route(seals: Seals) -> HTTPRouteHandler:
    """The route outside /v1: all public keys, with a strong ETag and 304 (RFC 9110, section 13.1.2)."""
    body = public_set(seals)
    tag = f'"{hashlib.sha256(body).hexdigest()[:32]}"'
    headers = {"ETag": tag, "Cache-Control": CACHING}

    async def jwks(request: Request[Any, Any, Any]) -> Response[bytes | None]:
        asked = [part.strip().removeprefix("W/") for part in request.headers.get("if-none-match", "").split(",")]
        if tag in asked or "*" in asked:
            return Response(None, status_code=304, headers=headers)
        return Response(body, media_type=MEDIA_TYPE, headers=headers)

    return route(PATH, http_method=["GET"], name="offerKeys", status_code=200)(jwks)
