"""Answers as pictures: which operations draw, and what is said where nothing can be drawn.

Knows kinds of answer; what a picture shows stands in evenhang.pictures.
"""

from collections.abc import Callable
from typing import TypeVar

from evenhang.api.calls import Call
from evenhang.api.guide_words import number_in
from evenhang.api.problems import Declined
from evenhang.api.replies import Reply
from evenhang.api.translation import said_in
from evenhang.pictures.canvas import POLICY, SVG, Drawing, can_draw, drawn
from evenhang.pictures.voice import Voice

A = TypeVar("A")
NO_PICTURES = "Pictures are not drawn here: the house has not installed them (evenhang[pictures])."


def pictured(call: Call, answer: A, draw: Callable[[Voice], Drawing]) -> A | Reply:
    """The answer itself, or its picture in the caller's language where the caller takes that kind more gladly."""
    return picture_reply(drawn(draw(voice_in(call.language))), call.language) if call.media_type == SVG else answer


def voice_in(language: str) -> Voice:
    """What a picture says in that language."""
    return Voice(lambda text: said_in(text, language), lambda value: number_in(value, language))


def picture_reply(picture: bytes, language: str) -> Reply:
    """A picture with the policy that its own styles need, and the language that it speaks."""
    return Reply(picture, SVG, headers={"content-security-policy": POLICY, **spoken(language)})


def spoken(language: str) -> dict[str, str]:
    """The headers of an answer that came ready made in that language: its copies differ by Accept-Language."""
    return {"content-language": language, "vary": "Accept-Language"}


def check_drawing() -> None:
    """Declined (406) where nothing can be drawn."""
    if not can_draw():
        raise Declined(406, NO_PICTURES)


def offered(media: tuple[str, ...]) -> tuple[str, ...]:
    """The kinds of answer that can be given here: without the extra no pictures, whatever the contract says."""
    return media if SVG not in media or can_draw() else tuple(kind for kind in media if kind != SVG)
