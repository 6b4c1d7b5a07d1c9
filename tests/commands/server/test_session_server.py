"""What is said while somebody types is what `shootlint check` says of the same text, never of an older one."""

from __future__ import annotations

import json
import shutil
from collections import Counter
from pathlib import Path

import pytest

from shootlint.commands.main import main
from shootlint.commands.server import session as session_module
from shootlint.commands.server.findings import said_of
from shootlint.commands.server.mending import offers
from shootlint.commands.server.session import Session

ROOT = Path(__file__).parents[3]
PLANS = sorted(path.relative_to(ROOT).as_posix() for path in (ROOT / "plans").rglob("*.shoot"))


def report_of(path, tmp_path):
    main(["check", path, "--no-cache", "--no-margins", "--report", f"json={tmp_path / 'report.json'}"])
    return json.loads((tmp_path / "report.json").read_text("utf-8"))["plans"][0]


def place(said, source):
    (line, column), (end_line, end_column) = source.line_and_column(said.start), source.line_and_column(said.end)
    return {"line": line, "column": column, "end-line": end_line, "end-column": end_column}


def as_reported(said, source):
    return said.rule, said.level, said.message.split("\n")[0], tuple(place(said, source).values())


@pytest.mark.parametrize("path", PLANS)
def test_the_editor_and_the_command_line_say_the_same(desk, tmp_path, path):
    report = report_of(path, tmp_path)
    desk.open(path)
    source = desk.checked(path).source
    said = desk.said(path)
    assert Counter(as_reported(each, source) for each in said if each.finding is not None) == Counter(
        (each["rule"], each["level"], each["message"], tuple(each["place"].values())) for each in report["findings"]
    )
    assert Counter(as_reported(each, source)[2:] for each in said if each.rule is None and each.level == "error") == Counter(
        (each["message"], tuple(each["place"].values())) for each in report["complaints"] if each["path"] == path
    )
    silent = [each for each in said if each.level == "hint"]
    assert {each["setup"] for each in report["not-judged"] if each["rule"] is not None} == {
        source.text[each.start : each.end].split('"')[1] for each in silent
    }
    for each in report["not-judged"]:
        if each["rule"] is not None:
            assert any(each["rule"] in hint.message and all(need in hint.message for need in each["needs"]) for hint in silent)


@pytest.mark.parametrize("path", ["plans/first-draft.shoot", "plans/hurried-draft-borrowed-kit.shoot"])
def test_the_mends_are_those_of_the_command_line(desk, tmp_path, path):
    report = report_of(path, tmp_path)
    checked = desk.open(path)
    found = {}
    for offer in offers(checked, 0, len(checked.source.text)):
        found.setdefault((offer.said.rule, offer.said.start, offer.said.message.split("\n")[0]), []).append(offer)
    wanted = {}
    for each in report["findings"]:
        start = checked.source.line_starts[each["place"]["line"] - 1] + each["place"]["column"] - 1
        if each["mends"]:
            wanted[each["rule"], start, each["message"]] = each["mends"]
    assert set(found) == set(wanted)
    for key, mends in wanted.items():
        assert [each.title for each in found[key]] == [each["title"] for each in mends]
        assert [[change.text for change in each.changes] for each in found[key]] == [
            [change["text"] for change in each["changes"]] for each in mends
        ]
        mechanical = [each["grade"] == "mechanical" for each in mends]
        preferred = [each.preferred for each in found[key]]
        # The first that keeps the picture, and no other.
        first = mechanical.index(True) if any(mechanical) else None
        assert preferred == [place == first for place in range(len(mends))]


def test_an_offered_mend_takes_its_finding_away(desk):
    name = "plans/first-draft.shoot"
    checked = desk.open(name)
    before = Counter((each.rule, each.finding.about) for each in said_of(checked) if each.finding is not None)
    offer = next(offers(checked, 0, len(checked.source.text)))
    text = checked.source.text
    for change in reversed(offer.changes):
        text = text[: change.place.start] + change.text + text[change.place.end :]
    desk.change(name, text)
    after = Counter((each.rule, each.finding.about) for each in desk.said(name) if each.finding is not None)
    mended = offer.said.rule, offer.said.finding.about
    assert before[mended] == 1 and after[mended] == 0


def test_a_mistake_in_one_setup_leaves_the_findings_of_the_others(desk):
    name = "plans/hurried-draft.shoot"
    checked = desk.open(name)
    setups = list(dict.fromkeys(each.finding.setup for each in said_of(checked) if each.finding is not None))
    assert len(setups) > 1
    broken = checked.source.text.replace("iso ", "iso lots #", 1)
    first = checked.source.text[: checked.source.text.index("iso ")].rpartition('setup "')[2].partition('"')[0]
    desk.change(name, broken)
    said = desk.said(name)
    left = {each.finding.setup for each in said if each.finding is not None and each.finding.rule.scope != "plan"}
    assert left == set(setups) - {first}
    assert any(each.level == "hint" and "until its mistakes are mended" in each.message for each in said)
    assert [each.message for each in said if each.level == "error" and each.rule is None] != []


def test_an_unsaved_kit_is_what_plans_see(desk):
    desk.open("plans/evening.shoot")
    assert desk.said("plans/evening.shoot") == []
    kit = (desk.folder / "plans/kit/belfry.shoot").read_text("utf-8")
    desk.open("plans/kit/belfry.shoot")
    assert not desk.session.is_stale(desk.uri("plans/evening.shoot"))
    desk.change("plans/kit/belfry.shoot", kit.replace("sync    1/160 s", "sync    1/20 s"))
    assert desk.session.is_stale(desk.uri("plans/evening.shoot"))
    assert "exposure.shutter-above-sync" in {each.rule for each in desk.said("plans/evening.shoot")}
    desk.change("plans/kit/belfry.shoot", kit.replace("sync    1/160 s", "sync    soon"))
    (mistake, hint) = desk.said("plans/evening.shoot")
    assert "1 mistake in plans/kit/belfry.shoot" in mistake.message and hint.level == "hint"
    text = desk.checked("plans/evening.shoot").source.text
    assert text[mistake.start : mistake.end] == '"kit/belfry.shoot"'
    assert mistake.related[0].path == desk.folder / "plans/kit/belfry.shoot"
    desk.session.close(desk.uri("plans/kit/belfry.shoot"))
    assert desk.said("plans/evening.shoot") == []


def test_a_kit_that_changes_on_the_disk_is_noticed(desk):
    path = desk.folder / "plans/kit/belfry.shoot"
    kit = path.read_text("utf-8")
    desk.open("plans/evening.shoot")
    path.write_text(kit.replace("sync    1/160 s", "sync    1/20 s"), "utf-8")
    assert "exposure.shutter-above-sync" in {each.rule for each in desk.said("plans/evening.shoot")}
    path.unlink()
    assert any("the kit cannot be used" in each.message for each in desk.said("plans/evening.shoot"))
    path.write_text(kit, "utf-8")
    assert desk.said("plans/evening.shoot") == []


def test_a_house_file_that_comes_changes_and_goes_is_noticed(desk):
    name = "plans/evening.shoot"
    desk.open(name)
    house = desk.folder / "plans/house.rules"
    strict = 'use shipped\nrule house.iso {\n  title "t"\n  level error\n  for each setup\n  require iso <= 50\n  say "too grainy"\n  because "b"\n}\n'
    house.write_text(strict, "utf-8")
    assert "house.iso" in {each.rule for each in desk.said(name)}
    desk.open("plans/house.rules")
    desk.change("plans/house.rules", strict.replace("<= 50", "<= 100"))
    assert desk.said(name) == []
    desk.change("plans/house.rules", strict.replace("<= 50", "<= 50 m"))
    assert [each.message for each in desk.said("plans/house.rules")] != []
    assert any("mistake in plans/house.rules" in each.message for each in desk.said(name))
    desk.session.close(desk.uri("plans/house.rules"))
    house.unlink()
    assert desk.said(name) == []


def test_a_rule_file_that_a_house_uses_is_read_in_the_houses_book(desk):
    (desk.folder / "plans/house.rules").write_text('use shipped\nuse "own/sharper.rules"\n', "utf-8")
    (desk.folder / "plans/own").mkdir()
    (desk.folder / "plans/own/sharper.rules").write_text("adjust focus.person-soft { allowance 100 % }\n", "utf-8")
    desk.open("plans/own/sharper.rules")
    assert desk.said("plans/own/sharper.rules") == []
    desk.change("plans/own/sharper.rules", "adjust focus.person-soft { allowance 100 mm }\n")
    (said,) = desk.said("plans/own/sharper.rules")
    assert said.level == "error" and desk.checked("plans/own/sharper.rules").source.text[said.start : said.end] == "100 mm"


@pytest.mark.parametrize(
    ("condition", "message"),
    [
        ("blur <= 3", "3 carries no unit"),
        ("blur <= 2 stops", "cannot be compared"),
        ("blurr <= 2 mm", "did you mean blur?"),
        ("iso <= ", "expected"),
    ],
)
def test_a_rule_is_checked_for_units_while_it_is_typed(desk, condition, message):
    text = (desk.folder / "plans/house-style/house.rules").read_text("utf-8")
    wrong = text.replace("for      each setup where print-width >= 60 cm", "for      each person").replace(
        "iso <= 200", condition
    )
    desk.open("plans/house-style/house.rules")
    assert desk.said("plans/house-style/house.rules") == []
    desk.change("plans/house-style/house.rules", wrong)
    said = desk.said("plans/house-style/house.rules")
    assert said and all(each.level == "error" for each in said)
    if message != "expected":
        assert message in said[0].message


def test_a_rule_that_cannot_be_asked_leaves_the_others(desk, monkeypatch):
    """A crash in one rule must not blank the rest: python-lsp-server #153 is what that does to people."""
    desk.open("plans/first-draft.shoot")
    before = Counter(each.rule for each in desk.said("plans/first-draft.shoot") if each.finding is not None)
    real = session_module.judge

    def judge(plan, book, day, **known):
        if "focus.person-soft" in book.rules:
            raise ZeroDivisionError("the rule is at fault")
        return real(plan, book, day, **known)

    monkeypatch.setattr(session_module, "judge", judge)
    text = desk.checked("plans/first-draft.shoot").source.text
    desk.change("plans/first-draft.shoot", text + "\n")
    said = desk.said("plans/first-draft.shoot")
    assert Counter(each.rule for each in said if each.finding is not None) == before - Counter({"focus.person-soft": 99})
    assert any("a fault of the program: focus.person-soft" in each.message for each in said)
    assert any("ZeroDivisionError" in each for each in desk.told)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("\ud83d", "line 1 is not UTF-8 text"),
        ("shootplan 1\0", "binary"),
        ("x" * 1_000_001, "larger than"),
    ],
)
def test_what_is_no_text_is_said_and_nothing_else(desk, text, message):
    desk.open("plans/evening.shoot", text)
    (said,) = desk.said("plans/evening.shoot")
    assert message in said.message


@pytest.mark.parametrize(
    "text", ["", "\ufeff", "#", "shootplan", "}", "{" * 40, '"', "shootplan 1\nsetup {", "a\rb", "\u2028", "\x0c", "é\U0001f600"]
)
@pytest.mark.parametrize("name", ["plans/evening.shoot", "plans/house-style/house.rules"])
def test_any_text_is_borne(desk, name, text):
    checked = desk.open(name, text)
    for each in said_of(checked):
        assert 0 <= each.start <= each.end <= len(checked.source.text)


def test_a_text_without_a_file_is_judged_by_the_folder_that_the_editor_runs_in(tmp_path, monkeypatch):
    shutil.copytree(ROOT / "plans/kit", tmp_path / "kit")
    (tmp_path / ".git").mkdir()
    monkeypatch.chdir(tmp_path)
    session = Session()
    session.open("untitled:Untitled-1", None, 1, (ROOT / "plans/first-draft.shoot").read_text("utf-8"))
    assert len([each for each in said_of(session.checked("untitled:Untitled-1")) if each.finding is not None]) > 5


def test_a_house_file_that_leads_out_of_the_repository_is_refused_here_too(desk, tmp_path):
    (tmp_path / "secret.txt").write_text("a secret\n")
    (desk.folder / "house.rules").symlink_to(tmp_path / "secret.txt")
    checked = desk.open("plans/evening.shoot")
    (told,) = [each.message for each in checked.complaints]
    assert "its house.rules cannot be used: it is a link that leads out of the repository" in told
    assert not any("secret" in said.message for said in desk.said("plans/evening.shoot"))
