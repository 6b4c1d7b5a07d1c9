"""What paths stand for: files, folders, links and standard input."""

from __future__ import annotations

import os

import pytest

KIT = """\
shootplan 1
camera "Body" {
  sensor  36 mm x 24 mm
  pixels  6000 px x 4000 px
  sync    1/200 s
  shutter 1/4000 s to 30 s
  iso     100 to 6400, base 100
}
lens "Fifty" { focal 50 mm; aperture f/1.8 to f/16 }
"""


def judged(found):
    """The names of the plans in a JSON report, and of what could not be read."""
    return [plan["path"] for plan in found["plans"]], [each["path"] for each in found["unreadable"]]


@pytest.fixture
def with_kit(studio, plan):
    """A plan that takes its camera and lens from kit/body.shoot."""
    start, end = plan.index("camera "), plan.index("setup ")
    studio.write("kit/body.shoot", KIT)
    return plan[:start] + 'kit "kit/body.shoot"\n' + plan[end:]


def test_a_folder_means_every_plan_below_it_in_the_order_of_names(studio, plan, with_kit):
    for name in ("b/z.shoot", "b/a/m.shoot", "b/c.shoot", "a.shoot"):
        studio.write(name, plan)
    studio.write("c.shoot", with_kit)
    studio.write("b/notes.txt", "not a plan")
    plans, unreadable = judged(studio.json("check", "."))
    assert plans == ["a.shoot", "c.shoot", "plan.shoot", "b/c.shoot", "b/z.shoot", "b/a/m.shoot"]
    assert unreadable == []


def test_kits_in_a_folder_are_left_out(studio, with_kit):
    studio.write("plan.shoot", with_kit)
    assert judged(studio.json("check", ".")) == (["plan.shoot"], [])


def test_hidden_files_and_folders_are_left_out(studio, plan):
    studio.write(".old/plan.shoot", plan)
    studio.write("some/.trash/plan.shoot", plan)
    studio.write("some/.plan.shoot", plan)
    # Editors lay such a link, to nowhere, beside a file that has unsaved changes.
    (studio.folder / ".#plan.shoot").symlink_to("someone@somewhere.1234")
    assert judged(studio.json("check", ".")) == (["plan.shoot"], [])


def test_a_hidden_file_that_is_named_is_judged(studio, plan):
    studio.write(".draft.shoot", plan)
    assert judged(studio.json("check", ".draft.shoot")) == ([".draft.shoot"], [])


def test_links_to_folders_are_not_followed(studio, plan, tmp_path):
    studio.write("real/plan.shoot", plan)
    (studio.folder / "link").symlink_to("real")
    (studio.folder / "real/round").symlink_to("..")
    assert judged(studio.json("check", ".")) == (["plan.shoot", "real/plan.shoot"], [])
    assert judged(studio.json("check", "link")) == (["link/plan.shoot"], [])


def test_each_real_file_is_judged_once(studio):
    (studio.folder / "second.shoot").symlink_to("plan.shoot")
    (studio.folder / "a").mkdir()
    (studio.folder / "a/third.shoot").symlink_to("../plan.shoot")
    paths = ["plan.shoot", "./plan.shoot", "second.shoot", ".", "a", str(studio.folder / "plan.shoot"), "a/../plan.shoot"]
    assert judged(studio.json("check", *paths)) == (["plan.shoot"], [])


@pytest.mark.parametrize("content", [{}, {"empty/notes.txt": "x"}, {"empty/kit.shoot": KIT}, {"empty/.a/p.shoot": "PLAN"}])
def test_a_folder_without_plans_ends_with_2(studio, plan, content):
    (studio.folder / "empty").mkdir()
    for name, text in content.items():
        studio.write(name, plan if text == "PLAN" else text)
    found = studio.run("check", "empty")
    assert found.status == 2
    assert "empty:1:1: error: there is no plan below this folder" in found.lines
    assert found.counts.startswith("0 plans, 1 mistake, ")


def test_a_folder_without_plans_is_told_beside_one_with_plans(studio):
    (studio.folder / "empty").mkdir()
    found = studio.run("check", "plan.shoot", "empty")
    assert found.status == 2
    assert "empty:1:1: error: there is no plan below this folder" in found.lines
    assert found.counts.startswith("1 plan, 1 mistake, ")


def test_a_folder_that_cannot_be_read_is_told(studio, monkeypatch):
    (studio.folder / "locked").mkdir()
    real = os.scandir

    def scandir(path):
        if str(path).endswith("locked"):
            raise PermissionError(13, "Permission denied", str(path))
        return real(path)

    monkeypatch.setattr(os, "scandir", scandir)
    found = studio.run("check", ".")
    assert found.status == 2
    assert "locked:1:1: error: the folder cannot be read: Permission denied" in found.out


def test_a_plan_whose_setup_cannot_be_made_out_does_not_pass_in_silence(studio, plan):
    studio.write("plan.shoot", plan.replace("setup ", "setupp "))
    found = studio.run("check", ".")
    assert found.status == 2
    assert "did you mean setup?" in found.out


def test_another_program_s_shoot_file_in_a_folder_is_left_out(studio):
    studio.write("other.shoot", '{"scene": 1}\n')
    assert judged(studio.json("check", ".")) == (["plan.shoot"], [])


def test_a_mistake_in_a_kit_is_told_once_though_both_it_and_its_plans_are_there(studio, with_kit):
    studio.write("plan.shoot", with_kit)
    studio.write("second.shoot", with_kit)
    studio.write("kit/body.shoot", KIT.replace("f/1.8", "f1.8"))
    found = studio.run("check", ".")
    assert found.status == 2
    assert found.out.count("kit/body.shoot:9:") == 1
    assert found.counts.startswith("2 plans, 1 mistake, ")


@pytest.mark.parametrize("command", ["check", "measure", "why"])
def test_a_rule_file_that_is_named_as_a_plan_is_said_to_be_one(studio, command):
    found = studio.run(command, "studio.rules", *["a.b"] * (command == "why"))
    assert found.status == 2
    assert "this is a rule file and no plan; --rules judges plans by it" in found.out + found.err


def test_a_kit_that_is_named_is_read_and_said_to_be_one(studio):
    studio.write("kit.shoot", KIT)
    found = studio.run("check", "kit.shoot")
    assert found.status == 0
    assert found.lines == [
        "kit.shoot: not judged: the file has no setup; it is a kit",
        "0 plans, 0 errors, 0 warnings, 0 notes, 0 accepted, 1 not judged",
    ]
    studio.write("kit.shoot", KIT.replace("f/1.8", "f1.8"))
    assert studio.run("check", "kit.shoot").status == 2


def test_a_missing_file_is_told_and_the_others_are_judged(studio):
    found = studio.run("check", "none.shoot", "plan.shoot", "--rules", "studio.rules")
    assert found.status == 2
    assert found.lines[0] == "none.shoot:1:1: error: there is no such file"
    assert "Both is at ISO 400" in found.out
    assert found.counts.startswith("1 plan, 1 mistake, ")


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"shootplan 1\0", "the file is binary"),
        (b"shootplan 1\n# \xe9\n", "line 2 is not UTF-8"),
        (b"#" * 1_000_001, "the file is larger than"),
    ],
)
def test_a_file_that_is_no_text_is_told_and_the_others_are_judged(studio, content, told):
    studio.write("binary.shoot", content)
    for paths in (["."], ["binary.shoot", "plan.shoot"]):
        found = studio.run("check", *paths, "--rules", "studio.rules")
        assert found.status == 2
        assert f"binary.shoot:1:1: error: {told}" in found.out
        assert "Both is at ISO 400" in found.out


def test_a_pipe_among_the_plans_does_not_hang(studio):
    os.mkfifo(studio.folder / "pipe.shoot")
    found = studio.run("check", ".")
    assert found.status == 2
    assert "pipe.shoot:1:1: error: this is not an ordinary file" in found.out


def test_standard_input_is_a_plan_with_its_kit_beside_the_current_folder(studio, with_kit, rules):
    studio.write("house.rules", rules)
    found = studio.start("check", "-", given=with_kit.encode())
    assert (found.status, found.err) == (0, "")
    assert "standard input:22:12: warning: Both is at ISO 400 [house.base-iso]" in found.out
    missing = studio.start("check", "-", given=with_kit.replace("body.shoot", "bodi.shoot").encode())
    assert missing.status == 2
    assert 'did you mean "kit/body.shoot"?' in missing.out


def test_standard_input_is_read_once_and_beside_files(studio, plan):
    found = studio.start("check", "-", "plan.shoot", "-", given=plan.encode())
    assert found.lines[-1].startswith("2 plans, ")


@pytest.mark.parametrize(("given", "told"), [(b"\0", "binary"), (b"\xff", "UTF-8"), (b"#" * 2_000_000, "larger than")])
def test_standard_input_that_is_no_text_ends_with_2(studio, given, told):
    found = studio.start("check", "-", given=given)
    assert found.status == 2
    assert found.lines[0].startswith("standard input:1:1: error: ")
    assert told in found.lines[0]


@pytest.mark.parametrize("command", [["measure"], ["why"]])
def test_measure_and_why_take_standard_input_and_a_folder_of_one_plan(studio, plan, command):
    rest = ["house.tall", "--rules", "studio.rules"] if command == ["why"] else []
    assert 'setup "Both"' in studio.start(*command, "-", *rest, given=plan.encode()).out
    assert 'setup "Both"' in studio.run(*command, ".", *rest).out
    studio.write("second.shoot", plan)
    found = studio.run(*command, ".", *rest)
    assert (found.status, found.out) == (2, "")
    assert "a folder of several plans; name one of them" in found.err
