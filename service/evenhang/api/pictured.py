"""Answers as pictures: which operations draw, and what is said where nothing can be drawn.

Knows kinds of answer; what a picture shows stands in evenhang.pictures.
"""

from collections.abc import Callable
from typing import TypeVar

from evenhang.api.calls import Call
from evenhang.api.problems import Declined
from evenhang.api.replies import Reply
from evenhang.pictures.canvas import POLICY, SVG, Drawing, can_draw, drawn

A = TypeVar("A")
NO_PICTURES = "Pictures are not drawn here: the house has not installed them (evenhang[pictures])."


def pictured(call: Call, answer: A, draw: Callable[[], Drawing]) -> A | Reply:
    """The answer itself, or its picture where the caller takes that kind more gladly."""
    return picture_reply(drawn(draw())) if call.media_type == SVG else answer


def picture_reply(picture: bytes) -> Reply:
    """A picture with the policy that its own styles need."""
    return Reply(picture, SVG, headers={"content-security-policy": POLICY})


def check_drawing() -> None:
    """Declined (406) where nothing can be drawn."""
    if not can_draw():
        raise Declined(406, NO_PICTURES)


def offered(media: tuple[str, ...]) -> tuple[str, ...]:
    """The kinds of answer that can be given here: without the extra no pictures, whatever the contract says."""
    return media if SVG not in media or can_draw() else tuple(kind for kind in media if kind != SVG)
