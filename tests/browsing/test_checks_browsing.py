"""Each check of pages finds what is there to find: a good page has no fault, and one change for the worse is caught."""

from __future__ import annotations

from pathlib import Path

import pytest

from . import checks

GOOD = """<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width">
<title>A page</title>
<style>
  :root { color-scheme: light dark; --ink: #1a1a1a; --paper: #fff; --line: #06c; }
  @media (prefers-color-scheme: dark) { :root { --ink: #eee; --paper: #111; --line: #8cf; } }
  @media print { :root { --ink: #000; --paper: #fff; --line: #000; } }
  @page { margin: 15mm }
  body { margin: 0 1rem; color: var(--ink); background: var(--paper); }
  svg { max-width: 100%; height: auto; display: block; break-inside: avoid; }
  svg text { fill: var(--ink); font-size: 16px; }
  svg rect { fill: none; stroke: var(--line); }
  .wide { overflow-x: auto; }
  @media print { .wide { overflow: visible; } .wide table { width: 100%; } }
  th, td { text-align: left; padding: 0.2rem 1rem; }
  .card { width: 12rem; }
  /* MORE STYLE */
</style>
</head>
<body>
<main>
<h1>The page</h1>
<p class="first">What is said first.</p>
<svg viewBox="0 0 300 100" role="img" aria-labelledby="t1"><title id="t1">A box</title>
<rect x="1" y="1" width="298" height="98"/><text class="mark" x="20" y="50">Big box</text></svg>
<div class="wide" tabindex="0" role="region" aria-label="Times"><table><caption>Times</caption>
<thead><tr><th scope="col">From</th><th scope="col">To</th><th scope="col">Whatever happens then, told at length</th></tr></thead>
<tbody><tr><td>17:40</td><td>17:55</td><td>waterproofbootsandflashlights</td></tr></tbody></table></div>
<div class="card"><p>Everyone, full length, in two rows</p></div>
<!-- MORE -->
</main>
</body>
</html>
"""
STYLE, MORE = "/* MORE STYLE */", "<!-- MORE -->"


@pytest.fixture
def page(tmp_path: Path):
    def make(where: str = "", what: str = "") -> Path:
        assert where in GOOD
        file = tmp_path / "page.html"
        file.write_text(GOOD.replace(where, what, 1) if where else GOOD, "utf-8")
        return file

    return make


def test_a_good_page_has_no_fault(chromium, page):
    assert checks.faults(chromium, page()) == []


WORSE = {
    "a word on the console": ("heard", MORE, "<script>console.log('ready')</script>", "log: ready"),
    "an error of a script": ("heard", MORE, "<script>nothing.here()</script>", "nothing is not defined"),
    "a picture from elsewhere": (
        "heard",
        MORE,
        '<img alt="" src="https://example.org/a.png">',
        "asks for https://example.org/a.png",
    ),
    "a file beside it": ("heard", MORE, '<link rel="stylesheet" href="other.css">', "other.css"),
    "a script": ("outside", MORE, "<script>let one = 1</script>", "a script"),
    "a handler": ("outside", "<h1>", '<h1 onclick="stop()">', "code in onclick"),
    "a connection": ("outside", "<title>A", '<link rel="preconnect" href="https://example.org"><title>A', "example.org"),
    "a font": ("outside", STYLE, '@font-face { font-family: a; src: url("https://example.org/a.woff2") }', "a.woff2"),
    "a picture without words": (
        "inaccessible",
        MORE,
        '<img src="data:image/gif;base64,R0lGODlhAQABAAAAACwAAAAAAQABAAA=">',
        "image-alt",
    ),
    "no language": ("inaccessible", ' lang="en"', "", "html-has-lang"),
    "text outside landmarks": ("inaccessible", "</main>", "</main><p>Apart</p>", "region"),
    "grey on white": ("inaccessible", STYLE, "@media screen { .first { color: #999 } }", "light, 1280 px: color-contrast"),
    "dark on dark": (
        "inaccessible",
        STYLE,
        "@media (prefers-color-scheme: dark) { .first { color: #333 } }",
        "dark, 320 px: color-contrast",
    ),
    "grey on white in a drawing": (
        "faint",
        STYLE,
        "@media screen { svg .mark { fill: #999 } }",
        'light: "Big box" has a contrast of 2.8',
    ),
    "dark on dark in a drawing": ("faint", STYLE, "@media (prefers-color-scheme: dark) { svg .mark { fill: #333 } }", "dark: "),
    "a dark shape behind text": ("faint", STYLE, "@media print { svg rect { fill: #444 } }", "paper: "),
    "a wide block": (
        "sideways",
        STYLE,
        ".card { width: 400px }",
        '320 px: <div.card> "Everyone, full length, in two rows" reaches',
    ),
    "a word too long for a phone": ("sideways", MORE, f"<p>{'long' * 20}</p>", "390 px: the page is"),
    "a wide block that is hidden": (
        "sideways",
        STYLE,
        "body { overflow-x: hidden } .card { width: 800px }",
        "768 px: <div.card>",
    ),
    "a scroller that keys do not reach": ("sideways", ' tabindex="0"', "", "keys do not reach it"),
    "text cut in its box": (
        "cut",
        STYLE,
        ".card { height: 0.5rem; overflow: hidden }",
        '"Everyone, full length, in two rows" is cut off',
    ),
    "text cut by a drawing": ("cut", 'x="20"', 'x="280"', '320 px: "Big box" is cut off by <svg>'),
    "text over text": ("cut", STYLE, ".card { margin-top: -3rem }", "lie over each other"),
    "a block wider than paper": ("cut_on_paper", STYLE, "@media print { .card { width: 25cm } }", "Letter: the page is"),
    "a block cut on paper": ("cut_on_paper", STYLE, "@media print { .card { height: 0.5rem; overflow: hidden } }", "A4: "),
    "a scroller on paper": (
        "cut_on_paper",
        ".wide { overflow: visible; }",
        ".wide { width: 5cm }",
        '"waterproofbootsandflashlights" is cut off',
    ),
    "a drawing taller than paper": ("cut_on_paper", STYLE, "@media print { svg { height: 28cm } }", "px tall, a page"),
    "what is folded": (
        "lost_on_paper",
        MORE,
        "<details><summary>More</summary><p>Umbrellas</p></details>",
        'A4: "umbrellas" is not printed',
    ),
    "what lies beside the paper": (
        "lost_on_paper",
        STYLE,
        "@media print { .first { position: absolute; left: -9cm; width: 5cm } }",
        '"first" is not printed',
    ),
    "what lies beyond the paper's edge": (
        "cut_on_paper",
        STYLE,
        "@media print { .first { position: absolute; left: 16cm; white-space: nowrap } }",
        'A4: <p.first> "What is said first." reaches',
    ),
    "an empty sheet": (
        "lost_on_paper",
        STYLE,
        "@media print { .card { break-after: page; margin-bottom: 1px } .card::after { content: ''; display: block; break-before: page; height: 1px } }",
        "is empty",
    ),
    "blue on paper": ("not_black_on_white", STYLE, "@media print { h1 { color: navy } }", '"The page" is not printed black'),
    "a shade on paper": ("not_black_on_white", STYLE, "@media print { .card { background: #eee } }", "lies on"),
    "a red line on paper": ("not_black_on_white", STYLE, "@media print { svg rect { stroke: red } }", "printed in colour"),
    "dark colours on paper": ("not_black_on_white", "--ink: #000; --paper: #fff; --line: #000;", "", "dark: "),
}


@pytest.mark.parametrize(("check", "where", "what", "found"), WORSE.values(), ids=WORSE)
def test_one_change_for_the_worse_is_caught(chromium, page, check, where, what, found):
    told = getattr(checks, check)(chromium, page(where, what))
    assert any(found in each for each in told), told


def test_what_is_left_out_of_paper_on_purpose_is_not_missed(chromium, page):
    file = page(MORE, '<p class="aside">Umbrellas</p><style>@media print { .aside { display: none } }</style>')
    assert checks.lost_on_paper(chromium, file) == []


def test_an_open_loop_of_events_is_no_trouble(chromium, page):
    """The browser's library keeps a loop of events; another test's own must run beside it."""
    import asyncio

    assert checks.outside(chromium, page()) == []
    assert asyncio.run(asyncio.sleep(0, "done")) == "done"
