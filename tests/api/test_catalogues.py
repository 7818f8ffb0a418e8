"""The catalogues against the code: nothing missing, nothing left over, placeholders agree, and no text of the engine is unmarked."""

import ast
import io
import re
import struct
from collections.abc import Iterator
from pathlib import Path

import pytest
from babel.messages.catalog import Catalog
from babel.messages.extract import extract_from_dir
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po

from evenhang.api.language import DEFAULT, LANGUAGES
from evenhang.api.translation import DOMAIN, FOLDER
from evenhang.engine.refusals import Refusal

PACKAGE = FOLDER.parent
TRANSLATED = [language for language in LANGUAGES if language != DEFAULT]
PLACEHOLDER = re.compile(r"{([a-z_]+)}")


def po_file(language: str) -> Path:
    return FOLDER / language / "LC_MESSAGES" / f"{DOMAIN}.po"


def catalogue(language: str) -> Catalog:
    with po_file(language).open("rb") as file:
        return read_po(file, locale=language)


def extracted() -> set[str]:
    """What `pybabel extract` finds: the literal in each say(...)."""
    found = extract_from_dir(PACKAGE, [("**.py", "python")], keywords={"say": None})
    return {message for _, _, message, _, _ in found if isinstance(message, str)}


def faults(messages: set[str], read: Catalog) -> Iterator[str]:
    """Everything that is wrong with a catalogue, in words."""
    entries = {str(entry.id): entry for entry in read if entry.id}
    yield from (f"missing: {text}" for text in sorted(messages - entries.keys()))
    yield from (f"left over: {text}" for text in sorted(entries.keys() - messages))
    yield from (f"obsolete: {text}" for text in read.obsolete)
    for text, entry in entries.items():
        if not str(entry.string).strip():
            yield f"empty: {text}"
        elif entry.fuzzy:
            yield f"fuzzy: {text}"
        elif sorted(PLACEHOLDER.findall(text)) != sorted(PLACEHOLDER.findall(str(entry.string))) or braces(entry.string):
            yield f"placeholders: {text}"


def braces(text: object) -> str:
    """What is left of a template's braces when its plain placeholders are taken out: attributes, indices, stray braces."""
    return re.sub(r"[^{}]", "", PLACEHOLDER.sub("", str(text)))


@pytest.mark.parametrize("language", TRANSLATED)
def test_every_message_is_translated_and_no_other(language: str) -> None:
    assert list(faults(extracted(), catalogue(language))) == []


@pytest.mark.parametrize("language", TRANSLATED)
def test_the_compiled_catalogue_is_the_written_one(language: str) -> None:
    compiled = io.BytesIO()
    write_mo(compiled, catalogue(language))
    assert messages(po_file(language).with_suffix(".mo").read_bytes()) == messages(compiled.getvalue())


def messages(compiled: bytes) -> list[tuple[str, str]]:
    """The messages of a compiled catalogue as they follow one another; its head names the version of the compiler, which may change."""
    count, ids, strings = struct.unpack("<3I", compiled[8:20])

    def text(table: int, i: int) -> str:
        length, at = struct.unpack("<2I", compiled[table + 8 * i : table + 8 * i + 8])
        return compiled[at : at + length].decode()

    return [(text(ids, i), text(strings, i)) for i in range(count) if text(ids, i)]


@pytest.mark.parametrize("language", TRANSLATED)
def test_quotation_marks_are_the_languages_own(language: str) -> None:
    assert [str(entry.string) for entry in catalogue(language) if entry.id and '"' in str(entry.string)] == []


def test_there_is_a_catalogue_for_each_language_and_no_other() -> None:
    assert sorted(path.name for path in FOLDER.iterdir() if path.is_dir()) == sorted(TRANSLATED)


@pytest.mark.parametrize(
    ("text", "translation", "flags", "fault"),
    [
        ("Sale", None, (), "missing: Sale"),
        ("Sale", "", (), "empty: Sale"),
        ("Sale", "Verkauf", ("fuzzy",), "fuzzy: Sale"),
        ("In {outlet}", "In {laden}", (), "placeholders: In {outlet}"),
        ("In {outlet}", "In {outlet} {outlet}", (), "placeholders: In {outlet}"),
        ("In {outlet}", "In {outlet} {outlet.x}", (), "placeholders: In {outlet}"),
        ("In {outlet}", "In {outlet}", (), None),
    ],
)
def test_a_planted_fault_is_seen(text: str, translation: str | None, flags: tuple[str, ...], fault: str | None) -> None:
    read = Catalog(locale="de")
    if translation is not None:
        read.add(text, translation, flags=flags)
    assert list(faults({text}, read)) == ([fault] if fault else [])
    read.add("Gone", "Weg")
    assert "left over: Gone" in list(faults({text}, read))


# What follows reads the code itself.


def modules(*folders: str) -> list[Path]:
    return sorted(path for folder in folders for path in (PACKAGE / folder).rglob("*.py"))


def calls(tree: ast.AST, *names: str) -> list[ast.Call]:
    return [node for node in ast.walk(tree) if isinstance(node, ast.Call) and getattr(node.func, "id", "") in names]


def template_faults(source: str) -> Iterator[str]:
    """Templates that the extraction cannot see, whose values do not fit them, or that hide words in a sum."""
    for call in calls(ast.parse(source), "say", "reckon"):
        name, first = getattr(call.func, "id", ""), call.args[0] if call.args else None
        given = [keyword.arg for keyword in call.keywords]
        if not isinstance(first, ast.Constant) or not isinstance(first.value, str):
            if name == "say":
                yield f"{call.lineno}: say takes a literal"
        elif None not in given and (set(PLACEHOLDER.findall(first.value)) != set(given) or braces(first.value)):
            yield f"{call.lineno}: {first.value!r} and {given} do not fit"
        elif name == "reckon" and re.search(r"[^\W\d_]{2,}", PLACEHOLDER.sub("", first.value)):
            yield f"{call.lineno}: words in a sum are said, not reckoned: {first.value!r}"


@pytest.mark.parametrize(
    "path", [path for path in modules(".") if path.name != "saying.py"], ids=lambda p: p.relative_to(PACKAGE).as_posix()
)
def test_templates_are_literals_with_their_values(path: Path) -> None:
    assert list(template_faults(path.read_text())) == []


@pytest.mark.parametrize(
    ("source", "found"),
    [
        ("say(text)", True), ("say(f'{x} of')", True), ("say('{a} of {b}', a=1)", True), ("say('of', a=1)", True),
        ("say('{a.b}', a=1)", True), ("reckon('{a} of {b}', a=1, b=2)", True), ("reckon('{a} x {b}', a=1, b=2)", False),
        ("say('{a} of {b}', a=1, b=2)", False),
    ],
)  # fmt: skip
def test_a_planted_template_is_seen(source: str, found: bool) -> None:
    assert bool(list(template_faults(source))) is found


# Strings that look like texts for people and are none, by module, with the reason.
NO_TEXTS = {
    "dues.py": ["California"],  # the place of a law that is cited
    "money.py": ["AED", "BIF", "BHD", "CLF", "HTG", "MUR", "SDG", "VES"],  # the table of currencies begins its rows so
    "offer.py": ["panels of"],  # in the words that are sealed, which are the same in every language
    "comparables.py": ["exchange rate"],  # a key of the table in refusals.py
    "ready.py": [", reference_measure", ", exponent", ", per", '", points', ", price"],  # lines of a rule file
    "quote.py": ["listed format"],  # a key of the table in refusals.py
    "refusals.py": ["listed format", "exchange rate"],  # those keys
    "sizes.py": ["\n0 18x14", "\nA0 841"],  # tables of formats
}
# A table of laws: what it quotes stays in the language in which it was read, and so do the notes on it.
SOURCES = ("royalty_places.py",)
# What is written for developers or for the contract, not for callers: errors that never leave, patterns, schemas' words.
FOR_DEVELOPERS = ("ValueError", "KeyError", "TypeError", "Meta", "NotImplementedError", "AssertionError")
WORDS = re.compile(r"[A-Za-z]{2,}[,.:;]? +[(\"']?[A-Za-z{]|^[A-Z][a-z]{2,}|[,;] [a-z]{2,}")


def unmarked(path: Path, source: str | None = None) -> list[str]:
    """Texts for people in a module that are in no say(...): its string literals that read like words."""
    tree = ast.parse(source or path.read_text())
    apart: set[ast.AST] = set()
    for node in ast.walk(tree):
        if isinstance(node, (ast.Module, ast.ClassDef, ast.FunctionDef)) and ast.get_docstring(node) is not None:
            apart.update(ast.walk(node.body[0]))
        names = {getattr(target, "id", "") for target in getattr(node, "targets", [])}
        if isinstance(node, ast.Assign) and names & {"WORDS", "PATTERN", "__all__"}:
            apart.update(ast.walk(node.value))
    for call in calls(tree, "say", "reckon", *FOR_DEVELOPERS):
        apart.update(node for part in (*call.args, *call.keywords) for node in ast.walk(part))
    texts = [node.value for node in ast.walk(tree) if isinstance(node, ast.Constant) and isinstance(node.value, str) and node not in apart]
    known = tuple(NO_TEXTS.get(path.name, ()))
    return [text for text in texts if WORDS.search(text) and not (known and text.strip(" ").startswith(known))]


@pytest.mark.parametrize("path", [path for path in modules("engine") if path.name not in SOURCES], ids=lambda p: p.name)
def test_every_text_of_the_engine_is_marked(path: Path) -> None:
    """A new label or sentence stands in say(...), so that it can be said in every language: see "Languages" in DEVELOPERS.md."""
    assert unmarked(path) == []


@pytest.mark.parametrize(
    ("source", "found"),
    [
        ('x = Step("tax", "Tax", a, rule, "no tax")', ["Tax", "no tax"]),
        ('x = f"{a} % of {b}, less the frame"', [", less the frame"]),
        ('raise Missing("Add the width.", "/width", say("Add it."))', ["Add the width."]),
        ('def f():\n    """Words of a docstring."""\n    raise ValueError("weights must sum to more than 0")', []),
        ('x = say("The outlet\'s rest")\ny = {"kind": "at_cost"}', []),
    ],
)
def test_an_unmarked_text_is_seen(source: str, found: list[str]) -> None:
    assert unmarked(Path("new.py"), source) == found


# Which arguments of what declines are texts, by position.
DECLINING = {"Declined": (1,), "Reason": (2,), "Flaw": (1,), "ProblemError": (2,)} | {
    kind.__name__: (0, 2) for kind in (Refusal, *Refusal.__subclasses__())
}


def unsaid(source: str) -> Iterator[str]:
    """What a module outside the engine declines with in plain words, which is then English for everybody."""
    for call in calls(ast.parse(source), *DECLINING):
        texts = [call.args[i] for i in DECLINING[getattr(call.func, "id", "")] if i < len(call.args)]
        yield from (
            ast.unparse(text) for text in texts if isinstance(text, ast.JoinedStr) or (isinstance(text, ast.Constant) and text.value)
        )


def test_whoever_is_declined_is_told_in_their_language() -> None:
    """But for bodies that are no JSON: what is wrong with those comes from the readers of JSON."""
    found = {path.name: list(unsaid(path.read_text())) for path in modules("api", "sealing", "rulebook")}
    assert {name: texts for name, texts in found.items() if texts} == {"reading.py": ["f'The body is not JSON: {str(error)[:200]}'"] * 2}


@pytest.mark.parametrize(
    ("source", "found"),
    [
        ('Declined(404, "There is nothing.")', True), ('Declined(429, f"Wait {n} s.")', True), ('Declined(404, say("Nothing."))', False),
        ('Missing(say("No height."), "/height", "Add it.")', True), ('OutOfRange(say("Over 0."), "/price")', False),
        ('Missing(say("No."), "", "")', False), ('Reason("#/token", refusal.code, refusal.sentence)', False),
    ],
)  # fmt: skip
def test_a_planted_refusal_is_seen(source: str, found: bool) -> None:
    assert bool(list(unsaid(source))) is found
