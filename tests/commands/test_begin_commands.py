"""begin: what it writes is sound and tidy, nothing is ever written over, and a group is taken over whole."""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest

from shootlint.language.loading import Loader
from shootlint.language.model import Plan

ROOT = Path(__file__).parents[2]
PLANS = ROOT / "plans"
STARTER = ["house.rules", "kit/studio.shoot", "plan.shoot"]
TAKEN_FROM = sorted(path for path in PLANS.rglob("*.shoot") if path.parent.name != "kit")


def files(folder: Path) -> list[str]:
    return sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file())


def plan_in(path: Path) -> Plan:
    document = Loader().load(path, path.name)
    assert not document.complaints, [str(each) for each in document.complaints]
    assert document.plan is not None
    return document.plan


@pytest.fixture
def empty(studio):
    """A folder with nothing in it, and nothing that holds there from above."""
    for name in ("plan.shoot", "studio.rules"):
        (studio.folder / name).unlink()
    return studio


@pytest.mark.parametrize("folder", [".", "potters", "this/year/potters", "a folder with spaces"])
def test_the_starter_holds_to_the_last_note_and_is_tidy(empty, folder):
    told = empty.run("begin", folder)
    assert (told.status, told.err) == (0, "")
    assert files(empty.folder / folder) == STARTER
    assert told.lines[-1] == f"now: shootlint check {Path(folder) / 'plan.shoot'}"
    checked = empty.run("check", folder, "--fail-on", "note")
    assert checked.status == 0
    assert checked.counts == "1 plan, 0 errors, 0 warnings, 0 notes, 0 accepted, 0 not judged"
    assert empty.run("tidy", "--verify", folder).out == "3 files, 0 not tidy, 0 refused\n"
    assert empty.run("rules", "--verify", f"{folder}/house.rules").counts.endswith(" 0 faults")
    assert "house.battery-to-spare" in empty.run("why", f"{folder}/plan.shoot", "house.battery-to-spare").out


def test_the_starter_is_the_one_that_stands_with_the_plans(empty):
    empty.run("begin")
    for name in STARTER:
        assert (empty.folder / name).read_bytes() == (PLANS / "starter" / name).read_bytes()


def test_the_starter_shares_no_name_with_the_other_plans():
    names = re.compile(r'"([^"]+)"')
    others = {
        name for path in PLANS.rglob("*.shoot") if "starter" not in path.parts for name in names.findall(path.read_text("utf-8"))
    }
    ours = plan_in(PLANS / "starter/plan.shoot")
    assert ours.people is not None and ours.site is not None
    mine = {str(each.name) for each in ours.people.members} | {str(ours.title), str(ours.site.name)}
    assert not mine & others


@pytest.mark.parametrize("there", STARTER)
@pytest.mark.parametrize("kind", ["file", "link to nowhere"])
def test_nothing_is_written_over_and_nothing_half_written(empty, there, kind):
    path = empty.folder / there
    path.parent.mkdir(exist_ok=True)
    if kind == "file":
        path.write_text("mine")
    else:
        path.symlink_to("nowhere")
    told = empty.run("begin")
    assert (told.status, told.out) == (2, "")
    assert told.err == f"shootlint: {there} is there already, and nothing is ever written over it; nothing was written\n"
    assert [name for name in files(empty.folder) if not name.startswith(".git")] == ([there] if kind == "file" else [])
    assert path.is_symlink() or path.read_text() == "mine"


def test_a_write_that_fails_leaves_no_file_and_no_folder(empty, monkeypatch):
    from shootlint.commands import writing

    real, calls = os.link, []

    def full(source, target):
        calls.append(target)
        if len(calls) == 3:
            raise FileExistsError(17, "came in between", target)
        real(source, target)

    monkeypatch.setattr(writing.os, "link", full)
    told = empty.run("begin", "deep/potters")
    assert told.status == 2 and "there already" in told.err
    assert not (empty.folder / "deep").exists()


def test_without_second_names_files_are_made_all_the_same(empty, monkeypatch):
    from shootlint.commands import writing

    def none(*_):
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr(writing.os, "link", none)
    assert empty.run("begin").status == 0
    assert [name for name in files(empty.folder) if not name.startswith(".git")] == STARTER
    assert (empty.folder / "plan.shoot").read_bytes() == (PLANS / "starter/plan.shoot").read_bytes()
    assert empty.run("begin").status == 2


def test_a_link_that_leads_out_of_the_folder_is_not_followed(empty, tmp_path):
    outside = tmp_path / "outside"
    outside.mkdir()
    (empty.folder / "kit").symlink_to(outside)
    told = empty.run("begin")
    assert told.status == 2 and "leads out of" in told.err
    assert files(outside) == [] and not (empty.folder / "plan.shoot").exists()


def test_a_folder_that_may_not_be_written_to_is_told(empty, monkeypatch):
    """As the system tells it; whoever runs the tests may be allowed everything."""

    def refused(path, *_):
        raise PermissionError(13, "Permission denied", str(path))

    monkeypatch.setattr(os, "mkdir", refused)
    told = empty.run("begin", "potters")
    assert told.status == 2 and "potters cannot be written: Permission denied; nothing was written" in told.err


def test_a_file_where_the_folder_should_be_is_told(empty):
    empty.write("potters", "a file")
    told = empty.run("begin", "potters")
    assert told.status == 2 and told.err.startswith("shootlint: ") and "nothing was written" in told.err


def test_a_house_that_holds_there_already_keeps_its_say(empty):
    empty.write("house.rules", 'rulebook "Ours"\nuse shipped\n')
    told = empty.run("begin", "potters")
    assert told.status == 0
    assert "house.rules holds there, so no other house.rules was written" in told.out
    assert files(empty.folder / "potters") == ["kit/studio.shoot", "plan.shoot"]


# --- from an existing group


@pytest.mark.parametrize("path", TAKEN_FROM, ids=lambda path: str(path.relative_to(PLANS)))
def test_a_group_is_taken_over_whole_and_without_a_mistake(empty, path):
    old = plan_in(path)
    told = empty.run("begin", "next", "--from", str(path))
    assert told.status == 0
    new = plan_in(empty.folder / "next" / path.name)
    for part in ("people", "site", "title", "print", "setup", *("camera", "lens", "light", "stand", "gel", "filter", "step")):
        from shootlint.language.sameness import same

        assert same(getattr(new, part), getattr(old, part)), part
    assert (new.date, new.weather, new.meter, new.accept) == (None, None, (), ())
    assert f"next/{path.name}: fill in date" in told.out
    assert empty.run("check", f"next/{path.name}").status in (0, 1)
    assert empty.run("tidy", "--verify", "next").status == 0


def test_what_was_of_the_day_stands_as_comments_and_all_comments_stay(empty):
    empty.run("begin", "next", "--from", str(PLANS / "evening.shoot"))
    text = (empty.folder / "next/evening.shoot").read_text("utf-8")
    assert text.startswith('# Begun from "Ravensby bell-ringers, autumn portrait" of 2026-09-05.\n# What was of that day alone')
    assert "\n# date  2026-09-05\n" in text and "\n#   wind 2 m/s, gusts 4 m/s\n" in text and "\n# meter 10.9 EV at 18:30" in text
    for line in (PLANS / "evening.shoot").read_text("utf-8").split("\n"):
        assert line.partition("#")[2] in text


def test_a_new_day_may_be_told_at_once(empty):
    told = empty.run("begin", "next", "--from", str(PLANS / "evening.shoot"), "--date", "2027-08-28")
    assert told.status == 0
    assert "next/evening.shoot: fill in weather and meter; what was of the old day stands there as comments" in told.out
    assert str(plan_in(empty.folder / "next/evening.shoot").date) == "2027-08-28"


def test_a_new_day_for_a_plan_that_had_none(studio, plan):
    studio.write("plan.shoot", plan.replace("date  2026-06-20\n", ""))
    assert studio.run("begin", "next", "--from", "plan.shoot", "--date", "2027-08-28").status == 0
    assert str(plan_in(studio.folder / "next/plan.shoot").date) == "2027-08-28"


KIT = 'shootplan 1\n{}\nstand "{}" {{ mass 4 kg; spread 95 cm }}\n'


def test_kits_from_elsewhere_are_copied_and_can_be_reached(studio, plan, tmp_path):
    """Kits beside, above and named by kits; two of one name; the new folder is in no repository with them."""
    studio.write("bags/one/kit.shoot", KIT.format('kit "../two/kit.shoot"', "One"))
    studio.write("bags/two/kit.shoot", KIT.format("", "Two"))
    studio.write("plans/kit/own.shoot", KIT.format('kit "../../bags/two/kit.shoot"', "Own"))
    studio.write("plans/rowers.shoot", plan.replace("date ", 'kit "kit/own.shoot"; kit "../bags/one/kit.shoot"\ndate '))
    new = tmp_path / "elsewhere" / "rowers"
    told = studio.run("begin", str(new), "--from", "plans/rowers.shoot")
    assert (told.status, told.err) == (0, "")
    assert files(new) == ["kit/kit-2.shoot", "kit/kit.shoot", "kit/own.shoot", "rowers.shoot"]
    assert [str(stand.name) for stand in plan_in(new / "rowers.shoot").stand] == [
        str(stand.name) for stand in plan_in(studio.folder / "plans/rowers.shoot").stand
    ]


def test_the_houses_rules_come_along_with_all_that_they_use(studio, plan, tmp_path):
    studio.write("shoots/house.rules", 'use shipped\nuse "../studio.rules"\nuse "own/light.rules"\n')
    studio.write("shoots/own/light.rules", "level light.uneven error\n")
    studio.write("shoots/rowers.shoot", plan)
    new = tmp_path / "elsewhere" / "rowers"
    assert studio.run("begin", str(new), "--from", "shoots/rowers.shoot", "--date", "2026-06-20").status == 0
    assert files(new) == ["house.rules", "own/light.rules", "rowers.shoot", "rules/studio.rules"]
    before = studio.json("check", "shoots/rowers.shoot")["plans"][0]
    after = studio.json("check", str(new / "rowers.shoot"))["plans"][0]
    assert [each["rule"] for each in before["findings"]] == [each["rule"] for each in after["findings"]]
    assert "house.base-iso" in {each["rule"] for each in after["findings"]}


def test_the_houses_rules_stay_where_they_are_where_they_hold_anyway(studio, rules):
    studio.write("house.rules", rules)
    assert studio.run("begin", "next", "--from", "plan.shoot").status == 0
    assert files(studio.folder / "next") == ["plan.shoot"]


def test_line_ends_and_the_mark_of_a_file_are_kept(studio, plan):
    studio.write("plan.shoot", b"\xef\xbb\xbf" + plan.replace("\n", "\r\n").encode())
    assert studio.run("begin", "next", "--from", "plan.shoot", "--date", "2027-08-28").status == 0
    content = (studio.folder / "next/plan.shoot").read_bytes()
    assert content.startswith(b"\xef\xbb\xbf#") and content.count(b"\r\n") == content.count(b"\n") > 30


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["--from", "none.shoot"], "none.shoot: there is no such file"),
        (["--from", "broken.shoot"], "broken.shoot: only a plan without a mistake can be taken over"),
        (["--from", "kit.shoot"], "kit.shoot: this is a kit, for it has no setup; name a plan"),
        (["--from", "plan.shoot", "--date", "2027-13-01"], "--date 2027-13-01: there is no day 2027-13-01"),
        (["--from", "plan.shoot", "--date", "tomorrow"], "--date tomorrow: expected a date such as 2026-09-05"),
        (["--from", "plan.shoot", "--date", "2027-01-01\ncamera"], "--date"),
        (["--date", "2027-01-01"], "--date goes with --from"),
        (["--from", "-"], "standard input lies in no folder that could be taken over; name a file"),
    ],
)
def test_what_cannot_be_taken_over_is_told_and_nothing_is_written(studio, broken, arguments, told):
    studio.write("broken.shoot", broken)
    studio.write("kit.shoot", KIT.format("", "One"))
    found = studio.run("begin", "next", *arguments)
    assert found.status == 2 and told in found.err and "Traceback" not in found.err
    assert not (studio.folder / "next").exists()


def test_a_folder_without_a_name_is_not_the_current_one(empty):
    told = empty.run("begin", "")
    assert told.status == 2 and "the name of the folder is empty" in told.err
    assert [name for name in files(empty.folder) if not name.startswith(".git")] == []


def test_a_plan_is_not_begun_from_itself_in_its_own_folder(studio, plan):
    assert "plan.shoot is there already" in studio.run("begin", ".", "--from", "plan.shoot").err
    assert (studio.folder / "plan.shoot").read_text("utf-8") == plan


def test_a_house_beside_the_new_folder_has_no_say_in_it(studio, rules):
    """A folder that was named by `..` counted as one below the current folder, whose house.rules was said to hold there."""
    studio.write("office/house.rules", rules)
    studio.write("office/plan.shoot", (studio.folder / "plan.shoot").read_bytes())
    done = studio.start("begin", "../new", folder="office")
    assert done.status == 0 and (studio.folder / "new" / "house.rules").exists()
    assert "holds there" not in done.out + done.err
    done = studio.start("begin", "../taken", "--from", "plan.shoot", folder="office")
    assert done.status == 0 and (studio.folder / "taken" / "house.rules").read_text() == rules
