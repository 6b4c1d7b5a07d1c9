"""What a page must hold. Each check gives the faults it finds as sentences, so that a test asserts that there are none.

`faults` asks all of them. That each of them can find something is tested in test_checks_browsing.py.
"""

from __future__ import annotations

import base64
import re
import subprocess
import unicodedata
from collections import Counter
from pathlib import Path
from typing import Any

from .chromium import DESKTOP, Chromium, Heard

LOOKS = Path(__file__).with_name("looks.js").read_text("utf-8")
TAGS = ("wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice")
WIDTHS = (320, 390, 768)
"""CSS pixels: WCAG 2.2, success criterion 1.4.10; a phone; a tablet."""
NARROW = WIDTHS[0]
PAPERS = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
"""Width and height in mm: ISO 216; ANSI/ASME Y14.1."""
PIXELS_A_MM = 96 / 25.4
USUAL_MARGIN = 10 * PIXELS_A_MM
"""Where a page asks for no margins, about what browsers give it."""


def look(page: Any, what: str, *arguments: Any) -> Any:
    """What one of the functions of looks.js sees."""
    return page.evaluate(f"(told) => ({LOOKS}).{what}(...told)", list(arguments))


def faults(chromium: Chromium, file: Path) -> list[str]:
    """Everything that is wrong with a page."""
    checks = (heard, outside, inaccessible, faint, sideways, cut, cut_on_paper, lost_on_paper, not_black_on_white)
    return [f"{check.__name__}: {fault}" for check in checks for fault in check(chromium, file)]


def heard(chromium: Chromium, file: Path) -> list[str]:
    """What a page says on the console, and what it asks for beside itself. Data within the page is no request."""

    def listen(page: Any, found: Heard) -> list[str]:
        page.wait_for_timeout(100)
        wanted = [each for each in found.asked if not each.startswith("data:")]
        return [*found.said, *(f"asks for {each}" for each in wanted if each != file.resolve().as_uri())]

    return chromium.look(file, listen)


def outside(chromium: Chromium, file: Path) -> list[str]:
    """Code in a page, and names of what lies elsewhere and would be loaded."""
    return chromium.look(file, lambda page, _: look(page, "outside"))


def inaccessible(chromium: Chromium, file: Path) -> list[str]:
    """What axe-core finds, in light and dark, wide and narrow."""
    from axe_playwright_python.sync_playwright import Axe

    options = {"runOnly": {"type": "tag", "values": TAGS}, "resultTypes": ["violations"]}

    def asked(page: Any, _: Heard) -> list[str]:
        found = Axe().run(page, options=options).response
        # A run that asked nothing would find nothing.
        assert len(found["passes"]) > 5, "axe-core did not run"
        return [
            f"{each['id']}: {each['help']}: {'; '.join(node['html'][:120] for node in each['nodes'][:3])}"
            for each in found["violations"]
        ]

    return [
        f"{'dark' if dark else 'light'}, {width} px: {each}"
        for dark in (False, True)
        for width in (DESKTOP, NARROW)
        for each in chromium.look(file, asked, width=width, dark=dark)
    ]


def faint(chromium: Chromium, file: Path) -> list[str]:
    """Text that does not stand out from the pixels behind it: axe-core does not ask that of text in drawings."""

    def compare(page: Any, _: Heard) -> list[str]:
        told = look(page, "inks")
        look(page, "withoutLetters")
        picture = base64.b64encode(page.screenshot(full_page=True)).decode()
        return page.context.new_page().evaluate(f"(told) => ({LOOKS}).faint(...told)", [picture, told])

    ways = {"light": {}, "dark": {"dark": True}, "paper": {"paper": True}, "paper, dark": {"paper": True, "dark": True}}
    return [f"{way}: {each}" for way, how in ways.items() for each in chromium.look(file, compare, **how)]


def sideways(chromium: Chromium, file: Path) -> list[str]:
    """What is wider than a narrow window and neither wraps nor lies in something that keys can scroll."""
    return [
        f"{width} px: {each}" for width in WIDTHS for each in chromium.look(file, lambda page, _: look(page, "wide"), width=width)
    ]


def cut(chromium: Chromium, file: Path) -> list[str]:
    """Text on a screen that is cut off, or lies over other text."""

    def seen(page: Any, _: Heard) -> list[str]:
        return [*look(page, "cut", False), *look(page, "overlapping")]

    return [f"{width} px: {each}" for width in (*WIDTHS, DESKTOP) for each in chromium.look(file, seen, width=width)]


def cut_on_paper(chromium: Chromium, file: Path) -> list[str]:
    """What does not fit on paper: the page is laid out as wide as a sheet without its margins."""
    top, right, bottom, left = _margins(chromium, file)
    found = []
    for paper, size in PAPERS.items():
        width, height = (int(each * PIXELS_A_MM) for each in size)
        inner = height - top - bottom

        def seen(page: Any, _: Heard, inner: float = inner) -> list[str]:
            return [*look(page, "wide"), *look(page, "cut", True), *look(page, "overlapping"), *look(page, "tall", inner)]

        told = chromium.look(file, seen, width=int(width - left - right), height=int(inner), paper=True)
        found += [f"{paper}: {each}" for each in told]
    return found


def not_black_on_white(chromium: Chromium, file: Path) -> list[str]:
    """Text that is not printed black, and any other hue on paper, whatever colours the reader prefers."""
    return [
        f"{'dark' if dark else 'light'}: {each}"
        for dark in (False, True)
        for each in chromium.look(file, lambda page, _: look(page, "ink"), dark=dark, paper=True)
    ]


def lost_on_paper(chromium: Chromium, file: Path) -> list[str]:
    """Words of the page that are on none of the sheets printed of it, and sheets without a word."""
    words = chromium.look(file, lambda page, _: look(page, "words"), paper=True)
    assert words, "the page has no words"
    found = []
    for paper in PAPERS:
        sheets = printed(chromium, file, paper)
        found += [f"{paper}: page {number} is empty" for number, sheet in enumerate(sheets, 1) if not _words(sheet)]
        found += [f'{paper}: "{word}" is not printed' for word in _missing(" ".join(words), " ".join(sheets))]
    return found


def printed(chromium: Chromium, file: Path, paper: str) -> list[str]:
    """The text of each printed sheet, by poppler. The browser sends nothing to it that lies beside the sheet's margins."""
    pdf = as_pdf(chromium, file, paper)
    told = subprocess.run(["pdftotext", "-raw", "-", "-"], input=pdf, capture_output=True, check=True).stdout.decode()
    return told.split("\f")[:-1]


def as_pdf(chromium: Chromium, file: Path, paper: str) -> bytes:
    """A page as it comes out of a printer."""
    sides = zip(("top", "right", "bottom", "left"), _margins(chromium, file), strict=True)
    margin = {side: f"{size}px" for side, size in sides}
    return chromium.look(file, lambda page, _: page.pdf(format=paper, margin=margin), paper=True)


def _margins(chromium: Chromium, file: Path) -> list[float]:
    told = chromium.look(file, lambda page, _: look(page, "margins"))
    return told or [USUAL_MARGIN] * 4


def _missing(text: str, sheets: str) -> list[str]:
    """The words that are more often in a text than on its sheets. One that is broken over lines is found in its pieces."""
    wanted, pieces = Counter(_words(text)), []
    for word in _words(sheets):
        if wanted[word]:
            wanted[word] -= 1
        else:
            pieces.append(word)
    joined = "".join(pieces)
    return [word for word, count in wanted.items() if joined.count(word) < count]


def _words(text: str) -> list[str]:
    # Fonts have letters that are two (ligatures), and styles write capitals.
    return re.findall(r"\w+", unicodedata.normalize("NFKC", text).replace("\u00ad", "").casefold())
