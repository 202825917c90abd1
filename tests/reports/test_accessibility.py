"""Every page made of the demo surveys, held against the Web Content Accessibility Guidelines 2.1 (W3C, 2018), levels A
and AA, by an automated checker in a real browser; and against the HTML standard's own parser.

A checker finds perhaps a third of what can be wrong, so the rest is asserted here in words of our own.
"""

from __future__ import annotations

import re
from itertools import pairwise
from pathlib import Path

import axe_core_python
import html5lib
import pytest
from browsing import BROWSER, NO_BROWSER, asked

needs_browser = pytest.mark.skipif(BROWSER is None, reason=NO_BROWSER)

WHOLE = ("statement", "workshop", "form")
"""Pages that hold whatever the parts for single readers hold."""

CHECK = """
  const rules = {"color-contrast": {enabled: CONTRAST}};
  const found = await axe.run({exclude: [["svg > *"]]}, {resultTypes: ["violations"], selectors: false, rules});
  return found.violations.map(one => [one.id, one.help, one.nodes.slice(0, 5).map(node => node.html.slice(0, 200))]);
"""
DRAWN = re.compile(r"(<svg[^>]*>(?:<title>[^<]*</title>)?(?:<desc>[^<]*</desc>)?).*?</svg>", re.DOTALL)


def violations(folder: Path, pages: dict[str, str], contrast: bool) -> dict[str, list[object]]:
    """What the checker finds wrong with each page, by all of its rules: the guidelines' and those of good practice.

    To the guidelines a drawing is one picture with its words: what is inside it is left to the tests below.
    """
    script = (Path(axe_core_python.__file__).parent / "axe.min.js").read_text("utf-8")
    bearing = {
        name: DRAWN.sub(r"\1</svg>", page).replace("</body>", f"<script>{script}</script></body>")
        for name, page in pages.items()
    }
    found = asked(folder, bearing, CHECK.replace("CONTRAST", "true" if contrast else "false"))
    return {name: wrong for name, wrong in found.items() if wrong}


@needs_browser
def test_no_violation_of_the_guidelines(pages: dict[str, str], tmp_path: Path) -> None:
    wanted = {name: page for name, page in pages.items() if name.endswith(WHOLE)}
    assert violations(tmp_path, wanted, contrast=False) == {}


@needs_browser
def test_contrast_as_the_browser_paints_it(pages: dict[str, str], tmp_path: Path) -> None:
    """Of one demo only, since it takes long: the style sheets are the same for all, and their inks are tested below."""
    wanted = {name: pages[f"plain-room {name}"] for name in WHOLE}
    assert violations(tmp_path, wanted, contrast=True) == {}


@needs_browser
def test_the_checker_sees_what_is_wrong(tmp_path: Path) -> None:
    page = '<!DOCTYPE html><html><title>x</title><body><img src="x"><p style="color:#aaa">pale</p></body></html>'
    wrong = {name for name, *_ in violations(tmp_path, {"wrong": page}, contrast=True)["wrong"]}
    assert {"html-has-lang", "image-alt", "color-contrast"} <= wrong


def test_strict_parser_takes_every_page(pages: dict[str, str]) -> None:
    for name, page in pages.items():
        if name.endswith(WHOLE):
            read = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(page)
            assert read.find("body/main") is not None, name


def test_strict_parser_refuses_what_is_wrong() -> None:
    with pytest.raises(html5lib.html5parser.ParseError):
        html5lib.HTMLParser(strict=True).parse("<!DOCTYPE html><title>x</title><p>words</b></p>")


def test_headings_go_down_one_step_at_a_time(pages: dict[str, str]) -> None:
    for name, page in pages.items():
        steps = [int(step) for step in re.findall(r"<h([1-6])", page)]
        assert steps[0] == 1, name
        assert all(after <= before + 1 for before, after in pairwise(steps)), name


def test_every_drawing_has_its_meaning_in_words(pages: dict[str, str]) -> None:
    for name, page in pages.items():
        for drawing in re.findall(r"<svg.*?</svg>", page, re.DOTALL):
            words = re.search(r"<desc[^>]*>(.*?)</desc>|aria-label=\"(.*?)\"", drawing, re.DOTALL)
            assert 'role="img"' in drawing, name
            assert words and len(words[1] or words[2]) > 20, name


def test_lettering_of_drawings_is_black_on_white(pages: dict[str, str]) -> None:
    """The strongest contrast there is; a white edge round each letter keeps it clear of lines and hatching."""
    for name, page in pages.items():
        for lettering in re.findall(r"<text [^>]*>", page):
            assert re.findall(r'fill="([^"]*)"', lettering) in ([], ["black"]), name
            assert 'stroke="white"' in lettering, name


def luminance(colour: str) -> float:
    """Relative luminance of a colour written #rgb or #rrggbb (WCAG 2.1, definition of relative luminance)."""
    digits = colour.lstrip("#")
    digits = "".join(2 * digit for digit in digits) if len(digits) == 3 else digits
    parts = [int(digits[at : at + 2], 16) / 255 for at in (0, 2, 4)]
    red, green, blue = (part / 12.92 if part <= 0.03928 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two colours (WCAG 2.1, definition of contrast ratio)."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_contrast_is_the_guidelines() -> None:
    """WCAG 2.1, definition of contrast ratio: black on white is 21:1; #767676 is the lightest grey that keeps 4.5."""
    assert contrast("#000", "#fff") == pytest.approx(21)
    assert contrast("#767676", "#fff") > 4.5 > contrast("#777777", "#fff")


def test_every_ink_of_the_style_keeps_its_contrast(pages: dict[str, str]) -> None:
    """Success criterion 1.4.3: 4.5:1 at least, for every colour that letters take."""
    for name, page in pages.items():
        style = "".join(re.findall(r"<style>(.*?)</style>", page, re.DOTALL))
        named = dict(re.findall(r"--([a-z]+): (#[0-9a-f]+)", style))
        inks = [named.get(ink, ink) for ink in re.findall(r"[;{ ]color: (?:var\(--)?([#0-9a-z]+)", style)]
        assert inks, name
        assert all(contrast(ink, "#fff") >= 4.5 for ink in inks if ink != "inherit"), (name, inks)
