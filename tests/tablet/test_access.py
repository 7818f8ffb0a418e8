"""For every hand and eye: a screen reader's rules, large targets, narrow and wide, light and dark, and strict types in the scripts."""

import os
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect
from tests.tablet.driving import check_token, choose, expect_price, open_desk, sealed_token

ROOT = Path(__file__).parents[2]
AXE = ROOT / ".ci/node_modules/axe-core/axe.min.js"
CHECKS = ("typescript/bin/tsc -p demo_clients/tablet/tsconfig.json", "prettier/bin/prettier.cjs --check demo_clients/tablet/page/*.js")
LEAST = 44  # CSS pixels; WCAG 2.2, 2.5.5 (level AAA)


def need(tool: Path) -> None:
    """Skip where the Node tools are not installed; in CI they must be."""
    if not tool.exists():
        how = f"{tool.name} is missing: npm ci --ignore-scripts --prefix .ci"
        if os.environ.get("CI") == "true":
            pytest.fail(how)
        pytest.skip(how)


def violations(page: Page) -> list[str]:
    """What axe-core finds, by rule and element."""
    page.evaluate(AXE.read_text(encoding="utf-8"))
    found = page.evaluate("async () => (await axe.run(document, {resultTypes: ['violations']})).violations")
    return [f"{row['id']}: {node['html'][:90]}" for row in found for node in row["nodes"]]


def small_targets(page: Page) -> list[str]:
    """Visible controls under 44 pixels either way; a tile counts, not the button that fills it."""
    return list(
        page.evaluate(
            """least => [...document.querySelectorAll('button, a[href]:not(.skip), select, textarea, input, .tile')]
              .map(control => [control, control.getBoundingClientRect()])
              .filter(([, box]) => box.width > 0 && (box.width < least || box.height < least))
              .map(([control, box]) => `${control.outerHTML.slice(0, 60)} ${box.width}x${box.height}`)""",
            LEAST,
        )
    )


@pytest.mark.parametrize(("width", "height", "scheme"), [(320, 640, "light"), (1180, 820, "dark")])
def test_every_view_reads_well(tablet: Page, desk: Any, width: int, height: int, scheme: Any) -> None:
    """Each state of the page: nothing chosen, priced, away, the slip, a verdict."""
    need(AXE)
    tablet.set_viewport_size({"width": width, "height": height})
    tablet.emulate_media(color_scheme=scheme, reduced_motion="reduce")
    open_desk(tablet, desk)
    seen = {"nothing": violations(tablet)}
    choose(tablet, "Alder Lane", "Oil on linen", "30 x 40 cm", "Framed")
    expect_price(tablet, "EUR 310.00")
    seen["priced"] = violations(tablet) + small_targets(tablet)
    assert tablet.evaluate("document.documentElement.scrollWidth") <= width
    token = sealed_token(tablet)
    seen["slip"] = violations(tablet) + small_targets(tablet)
    assert tablet.evaluate("document.documentElement.scrollWidth") <= width
    check_token(tablet, token)
    expect(tablet.locator("#verdict")).to_be_visible()
    seen["verdict"] = violations(tablet) + small_targets(tablet)
    assert tablet.evaluate("document.documentElement.scrollWidth") <= width
    desk.service = "http://127.0.0.1:9"
    tablet.get_by_role("link", name="Price a work").tap()
    choose(tablet, "80 x 100 cm")
    expect(tablet.locator("#price")).to_have_attribute("data-state", "away")
    seen["away"] = violations(tablet)
    assert {state: found for state, found in seen.items() if found} == {}


def test_the_guards_above_see_a_fault(tablet: Page, desk: Any) -> None:
    need(AXE)
    open_desk(tablet, desk)
    tablet.evaluate("document.querySelector('label.language').replaceWith(document.getElementById('language'))")
    tablet.evaluate("document.getElementById('anew').style.cssText = 'min-height: 0; height: 20px'")
    assert any(found.startswith("select-name") for found in violations(tablet))
    assert any("anew" in found for found in small_targets(tablet))


def test_numbers_bring_a_number_keyboard(tablet: Page, desk: Any) -> None:
    open_desk(tablet, desk)
    choose(tablet, "Muddlefern", "Stoneware sculpture")
    expect(tablet.locator("#boxes input")).to_have_count(3)
    assert set(tablet.locator("#typed input[id]").evaluate_all("all => all.map(one => one.inputMode)")) == {"decimal"}
    assert tablet.locator("#days").get_attribute("inputmode") == "numeric"


def test_the_price_prints_without_its_controls(tablet: Page, desk: Any) -> None:
    open_desk(tablet, desk)
    choose(tablet, "Alder Lane", "Oil on linen", "30 x 40 cm")
    expect_price(tablet, "EUR 250.00")
    tablet.emulate_media(media="print")
    expect(tablet.locator("#amount")).to_be_visible()
    for controls in ("#form", "#offer", ".top"):
        expect(tablet.locator(controls)).to_be_hidden()


@pytest.mark.parametrize("tool", CHECKS)
def test_the_scripts_hold_their_types_and_their_form(tool: str) -> None:
    script, *words = tool.split()
    path = ROOT / ".ci/node_modules" / script
    need(path)
    node = shutil.which("node")
    assert node is not None
    ran = subprocess.run([node, str(path), *words], cwd=ROOT, capture_output=True, text=True, check=False)
    assert ran.returncode == 0, ran.stdout + ran.stderr
