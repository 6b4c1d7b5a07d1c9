"""The field sheet says what was judged and measured, of any plan, and nothing in a plan becomes markup."""

from __future__ import annotations

import datetime
import re
from pathlib import Path

import pytest
from lxml import etree, html

from shootlint.checking.judge import Judge
from shootlint.language.source import Source
from shootlint.reports.sheet.gathered import Sheet, gather, sheet_page
from shootlint.reports.sheet.tables import sharpness

PLANS = Path(__file__).parents[2] / "plans"
FILES = [path for path in sorted(PLANS.rglob("*.shoot")) if "\nsetup " in path.read_text("utf-8")]
TODAY = datetime.date(2026, 11, 24)
LARGEST = 300_000
"""Bytes of a sheet, so that a phone has it at once."""
AWKWARD = {
    "markup": "<script>alert(1)</script><b>&amp;",
    "quotes": "O'Hara {{ 7 * 7 }} ${x} %s",
    "right to left": "\u0645\u0631\u064a\u0645 \u05e0\u05e2\u05dd",
    "emoji": "\U0001f469\u200d\U0001f469\u200d\U0001f467 \u5bb6\u65cf",
    "long": "Wilhelmina " * 18 + "II",
    "one word": "W" * 200,
    "combining": "Z\u0351\u036b\u0343\u032a\u0325a\u0310\u0367l\u0302",
}


def sheet_of(text: str, name: str = "plan.shoot", margins: bool = True) -> Sheet:
    judge = Judge((), TODAY, margins=margins)
    judged = judge.judge(judge.loader.load_source(Source(name, text)))
    assert judged.document.plan is not None and judged.book is not None
    return gather(judged.document.plan, judged.book, TODAY, judged.record())


def parsed(sheet: Sheet) -> html.HtmlElement:
    text = sheet_page(sheet)
    assert len(text.encode()) < LARGEST
    return html.document_fromstring(text)


def words(node: etree._Element) -> str:
    return " ".join(" ".join(node.itertext()).split())


@pytest.fixture(scope="module", params=FILES, ids=lambda path: path.stem)
def shipped(request: pytest.FixtureRequest) -> tuple[Sheet, html.HtmlElement]:
    judge = Judge((), TODAY, margins=True)
    judged = judge.judge(judge.loader.load(request.param, request.param.name))
    assert judged.document.plan is not None and judged.book is not None
    sheet = gather(judged.document.plan, judged.book, TODAY, judged.record())
    return sheet, parsed(sheet)


def test_it_says_everything_that_was_found(shipped) -> None:
    sheet, page = shipped
    text = words(page)
    for finding in sheet.record.findings:
        assert " ".join(finding.message.split()) in text
        assert finding.rule in text
        for mend in finding.mends:
            assert mend.title in text
    for note in sheet.record.safety:
        assert " ".join(note.split()) in text
    for margin in sheet.record.margins:
        assert margin.words in text
    for item in sheet.packing:
        assert f"{item.count} × {item.kind} {item.name}" in text


def test_the_errors_stand_on_the_front(shipped) -> None:
    sheet, page = shipped
    (front,) = page.xpath("//section[@aria-labelledby='verdict']")
    assert [words(each) for each in front.xpath(".//li[@class='error']/p[1]")] == [
        f"error {' '.join(each.message.split())}" for each in sheet.record.at_level("error")
    ]
    assert ("Holds" in words(front.xpath(".//p[contains(@class,'verdict')]")[0])) == sheet.record.holds


def test_drawings_have_title_and_words_and_tables_tell_the_same(shipped) -> None:
    sheet, page = shipped
    drawings = page.xpath("//svg[@role='img']")
    assert len(drawings) == 2 * len(sheet.setups) + len(sheet.charts)
    for each in drawings:
        title, description = (page.get_element_by_id(name) for name in each.get("aria-labelledby").split())
        assert words(title) and len(words(description)) > 40
    ids = page.xpath("//@id")
    assert len(ids) == len(set(ids))
    for setup in sheet.setups:
        (table,) = page.xpath(f"//table[@aria-labelledby='{setup.anchor}-people']")
        rows = table.xpath("./tbody/tr")
        assert [words(row.xpath("./th")[0]) for row in rows] == [row[0][1] for row in setup.people]
        heads = page.xpath(f"//svg[@id='lens-{setup.anchor.removeprefix('setup-')}']//ellipse[@class='head']")
        assert len(heads) == len(rows)


def test_it_asks_for_nothing_and_runs_nothing(shipped) -> None:
    _, page = shipped
    assert not page.xpath("//script | //link | //img | //iframe | //object | //embed | //base | //form")
    assert not page.xpath("//@*[starts-with(name(), 'on')] | //@src | //@srcset | //@style")
    assert all(each.startswith("#") for each in page.xpath("//@href"))
    style = page.xpath("string(//style)")
    assert not re.search(r"@import|url\((?!#)", style)


@pytest.mark.parametrize("name", AWKWARD.values(), ids=AWKWARD.keys())
def test_names_are_names_and_nothing_else(plan: str, name: str) -> None:
    quoted = name.replace("\\", "\\\\").replace('"', '\\"')
    text = plan
    for known in ("Asta", "Both", "only", "Wall", "Body", "Rowing club, jetty", "Jetty"):
        text = text.replace(f'"{known}"', f'"{quoted} {known}"')
    sheet = sheet_of(text)
    assert len(sheet.setups) == 1, sheet.record.complaints
    page = parsed(sheet)
    assert not page.xpath("//script | //b | //@onload")
    # A joiner of emoji does not print, and is shown for what it is.
    shown = "".join(each if each.isprintable() else f"\\u{ord(each):04x}" for each in name)
    assert f"{shown} Asta" in words(page)
    assert words(page.xpath("//h1")[0]).startswith(" ".join(shown.split()))
    assert words(page.xpath("//table[contains(@aria-labelledby,'people')]//tbody/tr[1]/th")[0]) == f"{shown} Asta"


def test_sixty_people_fit(plan: str) -> None:
    people = [f"Singer {place}" for place in range(60)]
    rows = "\n".join(
        f'  row "row {row}", {4 + row * 0.6:.1f} m {{\n'
        + "\n".join(f'    "{each}" standing' for each in people[row * 12 : row * 12 + 12])
        + "\n  }"
        for row in range(5)
    )
    told = "\n".join(f'  "{each}" stature {150 + place % 40} cm' for place, each in enumerate(people))
    text = plan.replace('  "Asta" stature 168 cm\n  "Bent" stature 182 cm', told)
    text = text.replace('focus    row "only"', "focus    between rows")
    start = text.index('  row "only"')
    page = parsed(sheet_of(f"{text[:start]}{rows}\n}}\n", margins=False))
    assert len(page.xpath("//table[contains(@aria-labelledby,'people')]//tbody/tr")) == 60
    assert len(page.xpath("//svg//ellipse[@class='person']")) == 60


def test_one_person_without_light_place_time_or_print() -> None:
    text = """\
shootplan 1
people { "Asta" stature 168 cm }
camera "Body" { sensor 36 mm x 24 mm; pixels 6000 px x 4000 px; sync 1/200 s; shutter 1/4000 s to 30 s; iso 100 to 6400, base 100 }
lens "Fifty" { focal 50 mm; aperture f/1.8 to f/16 }
setup "Alone" {
  camera "Body"
  lens "Fifty", 50 mm
  aperture f/5.6
  shutter 1/125 s
  iso 400
  frame landscape
  focus row "only"
  row "only", 4 m { "Asta" standing }
}
"""
    sheet = sheet_of(text)
    page = parsed(sheet)
    told = words(page)
    assert not sheet.charts and not sheet.order.steps
    assert "no date yet. no place yet" in told
    assert "No setup can be put on the clock: the plan lacks" in told
    assert "No light is placed: this is daylight alone." in told
    assert "The view through the lens is not drawn: the plan lacks setup support height." in told
    assert re.search(r"needs [a-z ]+", words(page.xpath("//h3[text()='Not judged']/following-sibling::ul")[0]))


def test_feet_stay_feet() -> None:
    judge = Judge((), TODAY)
    judged = judge.judge(judge.loader.load(PLANS / "southern-shearers.shoot", "southern-shearers.shoot"))
    assert judged.document.plan is not None and judged.book is not None
    page = parsed(gather(judged.document.plan, judged.book, TODAY, judged.record()))
    assert "3 ft" in [each.text for each in page.xpath("//svg//text")]
    assert " ft" in words(page.xpath("//table[contains(@aria-labelledby,'lights')]")[0])


def test_a_mistake_stands_before_everything(plan: str) -> None:
    text = plan.replace("iso      400", "iso      lots", 1)
    second = text[text.index("setup ") :].replace('setup "Both"', 'setup "Again"').replace("iso      lots", "iso      400")
    sheet = sheet_of(f"{text}\n{second}")
    told = words(parsed(sheet).xpath("//section[@aria-labelledby='verdict']")[0])
    assert told.startswith("Before anyone leaves The plan has 1 mistake, and is not judged as a whole.")
    assert "lots" in told
    assert "Setup Both is not judged and not on this sheet until its mistakes are mended." in told
    assert [each.name for each in sheet.setups] == ["Again"]


@pytest.mark.parametrize(
    ("blur", "limit", "said"),
    [
        (0.0, 0.00032, "sharp, 0 of 0.32 mm"),
        (0.00016, 0.00032, "sharp, 0.16 of 0.32 mm"),
        (0.00018, 0.00032, "just sharp, 0.18 of 0.32 mm"),
        (0.00033, 0.00032, "soft, 0.33 of 0.32 mm"),
        (float("nan"), 0.00032, "not known"),
        (0.1, float("nan"), "not known"),
    ],
)
def test_sharpness_in_words(blur: float, limit: float, said: str) -> None:
    assert sharpness(blur, limit) == said
