"""mend: what it shows and writes, what it refuses, and that a plan is never left half changed."""

from __future__ import annotations

import errno
import json
import os
import stat
import subprocess
import sys
from importlib.resources import files

import pytest
from jsonschema import Draft202012Validator

from shootlint.commands import writing

SCHEMA = json.loads(files("shootlint.reports.mend").joinpath("mend.schema.json").read_text("utf-8"))

ISO = 'rule a.{name} {{ title "t"; level {level}; for each setup\nrequire {require}\nsay "x"; because "b"; remedy iso }}\n'


def rule(name: str, require: str, level: str = "error") -> str:
    return ISO.format(name=name, require=require, level=level)


@pytest.fixture
def sixteen(studio):
    """A plan at ISO 400 whose house wants 200 at the most: one editorial change mends it."""
    studio.write("house.rules", rule("iso", "iso <= 200"))
    return studio.folder / "plan.shoot"


@pytest.fixture
def unbagged(studio, plan):
    """A plan with a light whose stand has no bag: one mechanical change mends it, and the sensitivity is editorial."""
    kit = 'light "Lamp" { guide 40 m; power 1/1 to 1/128; modifier bare; mass 1 kg }\nstand "Stand" { mass 2 kg; spread 1 m }\n'
    text = plan.replace("setup ", kit + "setup ").replace(
        '\n  row "only"',
        '\n  place "Lamp" as key, right 30 deg, distance 3 m, height 2 m, power 1/4, stand "Stand"   # keep\n  row "only"',
    )
    studio.write("house.rules", rule("iso", "iso <= 200") + rule("bag", "min(bag) >= 2 kg"))
    return studio.write("plan.shoot", text)


# --- text


def test_the_change_is_shown_as_a_diff_and_a_few_plain_lines(studio, sixteen, plan):
    found = studio.run("mend", "plan.shoot")
    assert (found.status, found.err) == (0, "")
    assert found.lines == [
        "--- plan.shoot",
        "+++ plan.shoot",
        "@@ -27,7 +27,7 @@",
        '   lens     "Fifty", 50 mm',
        "   aperture f/5.6",
        "   shutter  1/125 s",
        "-  iso      400",
        "+  iso      200",
        "   support  tripod, height 1.4 m",
        "   facing   300 deg",
        "   frame    landscape, three-quarter",
        "",
        'setup "Both"',
        "  iso 200 (editorial): one stop less noise",
        "    mends a.iso",
        "1 change would do: 1 error and 0 warnings become 0 errors and 0 warnings",
    ]
    assert sixteen.read_text() == plan


def test_nothing_to_mend_is_told(studio):
    studio.write("house.rules", rule("iso", "iso <= 400"))
    found = studio.run("mend", "plan.shoot")
    assert (found.status, found.lines) == (0, ["nothing to mend: 0 errors and 0 warnings"])


def test_what_cannot_be_mended_is_told(studio, plan):
    studio.write("house.rules", rule("low", "iso <= 100") + rule("high", "iso >= 400"))
    found = studio.run("mend", "plan.shoot", "--write", "--editorial")
    assert found.status == 1
    assert found.lines == [
        "not mended",
        '  a.low in setup "Both" cannot hold together with a.high; nearest is iso 100 (2',
        "    stops less noise)",
        "no change was found that betters the plan: 1 error and 0 warnings as it is",
    ]
    assert (studio.folder / "plan.shoot").read_text() == plan


def test_people_who_cannot_fit_are_told(studio, plan):
    studio.write("house.rules", rule("wide", "max(sideways) - min(sideways) >= 5 m"))
    found = studio.run("mend", "plan.shoot", "--write", "--editorial")
    assert found.status == 1
    assert found.lines[:2] == ["not mended", '  a.wide in setup "Both": no single change makes it hold']
    assert (studio.folder / "plan.shoot").read_text() == plan


def test_a_lever_with_no_steps_left_is_told(studio, plan):
    """The camera goes to ISO 6400."""
    studio.write("house.rules", rule("fast", "iso >= 12800"))
    found = studio.run("mend", "plan.shoot", "--with", "iso")
    assert found.status == 1
    assert found.lines[:2] == ["not mended", '  a.fast in setup "Both": no single change makes it hold']


def test_a_name_with_control_characters_does_nothing_to_a_terminal(studio, plan):
    studio.write("house.rules", rule("iso", "iso <= 200"))
    studio.write("plan.shoot", plan.replace("iso      400", "iso      400  # \u202e\x7fred\ttab"))
    found = studio.run("mend", "plan.shoot")
    assert "\u202e" not in found.out and "\x7f" not in found.out
    assert "-  iso      400  # \\u202e\\u007fred\ttab" in found.lines


# --- JSON


def validated(report: dict) -> dict:
    errors = [each.message for each in Draft202012Validator(SCHEMA).iter_errors(report)]
    assert not errors, errors
    return report


def test_the_schema_is_one():
    Draft202012Validator.check_schema(SCHEMA)


def test_the_json_says_the_same_as_the_text(studio, sixteen):
    report = validated(studio.json("mend", "plan.shoot"))
    assert report["path"] == "plan.shoot" and report["holds"] is True
    assert report["before"] == {"error": 1, "warning": 0, "note": 0}
    assert report["after"] == {"error": 0, "warning": 0, "note": 0}
    assert report["steps"] == [
        {
            "setup": "Both",
            "lever": "iso",
            "grade": "editorial",
            "title": "iso 200",
            "cost": "one stop less noise",
            "mends": ["a.iso"],
        }
    ]
    line = next(at for at, text in enumerate(sixteen.read_text().split("\n"), 1) if "iso      400" in text)
    assert report["changes"] == [{"place": {"line": line, "column": 12, "end-line": line, "end-column": 15}, "text": "200"}]
    assert report["diff"].split("\n") == studio.run("mend", "plan.shoot").lines[:11]
    assert (report["left"], report["not-mended"]) == ([], [])


def test_the_changes_of_the_json_make_the_plan_that_is_written(studio, unbagged):
    report = validated(studio.json("mend", "plan.shoot"))
    lines = unbagged.read_text().split("\n")
    for each in reversed(report["changes"]):
        place = each["place"]
        assert place["line"] == place["end-line"]
        line = lines[place["line"] - 1]
        lines[place["line"] - 1] = line[: place["column"] - 1] + each["text"] + line[place["end-column"] - 1 :]
    assert studio.run("mend", "plan.shoot", "--write", "--editorial").status == 0
    assert unbagged.read_text() == "\n".join(lines)


def test_the_json_of_a_conflict(studio):
    studio.write("house.rules", rule("low", "iso <= 100") + rule("high", "iso >= 400"))
    found = studio.run("mend", "plan.shoot", "--report", "json=mend.json")
    assert (found.status, found.out) == (1, "")
    report = validated(json.loads((studio.folder / "mend.json").read_text()))
    assert report["left"] == [{"rule": "a.low", "setup": "Both", "about": []}]
    assert report["not-mended"] == [
        {"rule": "a.low", "setup": "Both", "about": [], "nearest": "iso 100 (2 stops less noise)", "breaks": ["a.high"]}
    ]
    assert (report["holds"], report["diff"], report["steps"]) == (False, "", [])


def test_only_what_holds_by_little_is_told_as_that(studio):
    """The third of a stop from ISO 160 to 200 is a fifth of the limit; from 100 to 200 it is half of it."""
    for most, told in (("at least 160", True), ("at most 100", False)):
        studio.write("house.rules", rule("iso", "iso < 200") + f"bound iso, {most}\n")
        found = studio.run("mend", "plan.shoot")
        assert found.status == 0 and ("holds then by little" in found.lines) is told
        report = validated(studio.json("mend", "plan.shoot"))
        assert [each["words"] for each in report["margins"]] == ["a.iso holds by a third of a stop"] * told


def test_the_shipped_rules_and_a_rule_over_the_plan_fit_the_schema(studio):
    studio.write(
        "house.rules",
        'use shipped\nrule a.all { title "t"; level error; for plan\nrequire max(iso) <= 50\nsay "x"; because "b" }\n',
    )
    report = validated(studio.json("mend", "plan.shoot"))
    assert report["steps"]
    assert {"rule": "a.all", "setup": None, "about": []} in report["left"]


# --- writing


def test_only_mechanical_changes_are_written_unless_asked(studio, unbagged):
    before = unbagged.read_text()
    found = studio.run("mend", "plan.shoot", "--write")
    assert (found.status, found.err) == (1, "")
    assert "1 change made: 2 errors and 0 warnings become 1 error and 0 warnings" in found.lines
    assert unbagged.read_text() == before.replace('stand "Stand"   # keep', 'stand "Stand", bag 2 kg   # keep')
    found = studio.run("mend", "plan.shoot", "--write", "--editorial")
    assert found.status == 0
    assert unbagged.read_text() == before.replace('stand "Stand"   # keep', 'stand "Stand", bag 2 kg   # keep').replace(
        "iso      400", "iso      200"
    )
    inode = unbagged.stat().st_ino
    found = studio.run("mend", "plan.shoot", "--write", "--editorial")
    assert (found.status, found.lines) == (0, ["nothing to mend: 0 errors and 0 warnings"])
    assert unbagged.stat().st_ino == inode, "it was not even written"


def test_kits_are_never_touched(studio, unbagged):
    text = unbagged.read_text()
    start, end = text.index('camera "Body"'), text.index("setup ")
    kit = studio.write("kit.shoot", "shootplan 1\n" + text[start:end])
    studio.write("plan.shoot", (text[:start] + text[end:]).replace("date ", 'kit "kit.shoot"\ndate '))
    before = kit.stat().st_mtime_ns, kit.read_bytes()
    assert studio.run("mend", "plan.shoot", "--write", "--editorial").status == 0
    assert (kit.stat().st_mtime_ns, kit.read_bytes()) == before
    assert "bag 2 kg" in unbagged.read_text()


@pytest.mark.parametrize(("mark", "ending"), [(b"", b"\r\n"), (b"\xef\xbb\xbf", b"\n"), (b"\xef\xbb\xbf", b"\r\n")])
def test_line_ends_and_the_byte_order_mark_are_kept(studio, sixteen, plan, mark, ending):
    content = mark + plan.encode().replace(b"\n", ending)
    sixteen.write_bytes(content)
    found = studio.run("mend", "plan.shoot", "--write", "--editorial")
    assert found.status == 0 and "\r" not in found.out
    assert sixteen.read_bytes() == content.replace(b"iso      400", b"iso      200")


def test_a_link_stays_a_link_and_the_mode_is_kept(studio, sixteen):
    sixteen.chmod(0o640)
    link = studio.folder / "today.shoot"
    link.symlink_to("plan.shoot")
    assert studio.run("mend", "today.shoot", "--write", "--editorial").status == 0
    assert link.is_symlink() and "iso      200" in sixteen.read_text()
    assert stat.S_IMODE(sixteen.stat().st_mode) == 0o640


def leftovers(studio) -> list[str]:
    return [each for each in os.listdir(studio.folder) if each.startswith(".") and each != ".git"]


def test_a_read_only_file_is_told_and_left_alone(studio, sixteen, plan):
    sixteen.chmod(0o444)
    found = studio.run("mend", "plan.shoot", "--write", "--editorial")
    assert (found.status, found.out) == (2, "")
    assert found.err == "shootlint: plan.shoot cannot be written: the file is read-only; it is as it was\n"
    assert sixteen.read_text() == plan and not leftovers(studio)


@pytest.mark.parametrize("call", ["fsync", "write", "replace"])
def test_a_full_disk_is_told_and_the_file_left_alone(studio, sixteen, plan, monkeypatch, call):
    def full(*_):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    if call == "write":
        monkeypatch.setattr(writing.os, "fdopen", lambda handle, mode: Full(handle))
    else:
        monkeypatch.setattr(writing.os, call, full)
    found = studio.run("mend", "plan.shoot", "--write", "--editorial")
    assert (found.status, found.out) == (2, "")
    assert found.err == "shootlint: plan.shoot cannot be written: No space left on device; it is as it was\n"
    assert sixteen.read_text() == plan and not leftovers(studio)


class Full:
    """A file on a disk that has no room."""

    def __init__(self, handle: int) -> None:
        self.handle = handle

    def __enter__(self) -> Full:
        return self

    def __exit__(self, *_: object) -> None:
        os.close(self.handle)

    def write(self, content: bytes) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def test_a_file_that_somebody_saves_meanwhile_is_left_as_they_saved_it(studio, sixteen, plan, monkeypatch):
    sync = os.fsync

    def slow(handle):
        sixteen.write_text(plan + "# saved meanwhile\n")
        sync(handle)

    monkeypatch.setattr(writing.os, "fsync", slow)
    found = studio.run("mend", "plan.shoot", "--write", "--editorial")
    assert (found.status, found.out) == (2, "")
    assert found.err == "shootlint: plan.shoot: the file has changed since it was read; nothing was written\n"
    assert sixteen.read_text() == plan + "# saved meanwhile\n" and not leftovers(studio)


def test_two_runs_at_once_leave_the_plan_whole(studio, sixteen, plan):
    command = [sys.executable, "-m", "shootlint.commands.main", "mend", "plan.shoot", "--write", "--editorial"]
    runs = [
        subprocess.Popen(command, cwd=studio.folder, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) for _ in range(2)
    ]
    told = [(*run.communicate(), run.returncode) for run in runs]
    assert sixteen.read_text() == plan.replace("iso      400", "iso      200") and not leftovers(studio)
    for out, err, status in told:
        # Whoever comes second finds it mended, or that it changed while it looked.
        assert (status, err) == (0, "") or (status == 2 and not out and "has changed since it was read" in err)
    assert any(status == 0 for *_, status in told)


def test_a_report_that_cannot_be_written_is_told(studio, sixteen):
    found = studio.run("mend", "plan.shoot", "--report", "text=none/here.txt")
    assert (found.status, found.out) == (2, "")
    assert found.err == "shootlint: the report cannot be written to none/here.txt: there is no such folder\n"


def test_a_report_does_not_take_the_place_of_the_plan(studio, sixteen, plan):
    found = studio.run("mend", "plan.shoot", "--report", "text=plan.shoot")
    assert (found.status, found.err) == (2, "shootlint: the report would take the place of plan.shoot; give it another name\n")
    assert sixteen.read_text() == plan


# --- what is chosen


def test_one_rule_is_mended_and_the_others_left(studio, unbagged):
    found = studio.run("mend", "plan.shoot", "--rule", "a.iso")
    assert found.status == 1, "the error that was not to be mended is still there"
    assert "  iso 200 (editorial): one stop less noise" in found.lines
    assert not any("bag 2 kg" in line for line in found.lines)
    assert "1 change would do: 1 error and 0 warnings become 0 errors and 0 warnings" in found.lines
    both = studio.run("mend", "plan.shoot", "--rule", "a.iso", "--rule", "a.bag")
    assert both.status == 0 and "2 changes would do: 2 errors and 0 warnings become 0 errors and 0 warnings" in both.lines


def test_a_rule_that_only_notes_is_mended_when_it_is_named(studio):
    studio.write("house.rules", rule("iso", "iso <= 200", "note"))
    assert studio.run("mend", "plan.shoot").lines == ["nothing to mend: 0 errors and 0 warnings"]
    found = studio.run("mend", "plan.shoot", "--rule", "a.iso")
    assert found.status == 0 and "    mends a.iso" in found.lines


def test_a_rule_is_known_by_its_earlier_name_too(studio):
    studio.write("house.rules", rule("iso", "iso <= 200").replace('title "t"', 'title "t"; formerly a.sensitivity'))
    found = studio.run("mend", "plan.shoot", "--rule", "a.sensitivity")
    assert (found.status, found.err) == (0, "") and "    mends a.iso" in found.lines


@pytest.fixture
def two_setups(studio, plan):
    again = plan[plan.index("setup ") :].replace('"Both"', '"Again"').replace("20:00 to 20:10", "20:15 to 20:25")
    studio.write("house.rules", rule("iso", "iso <= 200"))
    return studio.write("plan.shoot", plan + again)


def test_one_setup_is_mended_and_the_others_left(studio, two_setups):
    text = two_setups.read_text()
    found = studio.run("mend", "plan.shoot", "--setup", "Again", "--write", "--editorial")
    assert found.status == 1
    head, _, tail = text.rpartition("iso      400")
    assert two_setups.read_text() == head + "iso      200" + tail
    found = studio.run("mend", "plan.shoot", "--write", "--editorial")
    assert found.status == 0 and two_setups.read_text() == text.replace("iso      400", "iso      200")


def test_with_and_without_a_lever(studio, unbagged):
    only = studio.run("mend", "plan.shoot", "--with", "bag")
    assert only.status == 1 and "1 change would do: 2 errors and 0 warnings become 1 error and 0 warnings" in only.lines
    other = studio.run("mend", "plan.shoot", "--without", "bag")
    assert other.status == 1 and "1 change would do: 2 errors and 0 warnings become 1 error and 0 warnings" in other.lines
    assert any("iso 200" in line for line in other.lines)
    none = studio.run("mend", "plan.shoot", "--with", "bag", "--without", "bag")
    assert none.lines[-1] == "no change was found that betters the plan: 2 errors and 0 warnings as it is"


def test_rule_files_that_are_named_take_the_place_of_the_house(studio, sixteen):
    studio.write("other.rules", rule("iso", "iso <= 100"))
    found = studio.run("mend", "plan.shoot", "--rules", "other.rules")
    assert found.status == 0 and "  iso 100 (editorial): 2 stops less noise" in found.lines


def test_standard_input_is_mended_on_paper(studio, plan):
    studio.write("house.rules", rule("iso", "iso <= 200"))
    found = studio.start("mend", "-", given=plan.encode())
    assert (found.status, found.err) == (0, "") and "+  iso      200" in found.lines
    assert found.lines[0] == "--- standard input"
    found = studio.start("mend", "-", "--write", given=plan.encode())
    assert (found.status, found.out, found.err) == (2, "", "shootlint: standard input cannot be written to; name a file\n")


def test_a_house_that_forbids_a_lever_is_heeded(studio, unbagged):
    rules = (studio.folder / "house.rules").read_text()
    studio.write("house.rules", rules + 'forbid iso because "the prints are large"\n')
    found = studio.run("mend", "plan.shoot", "--write", "--editorial")
    assert found.status == 1
    assert "1 change made: 2 errors and 0 warnings become 1 error and 0 warnings" in found.lines
    assert "iso      400" in unbagged.read_text()
    assert '  a.iso in setup "Both": no single change makes it hold' in found.lines
    found = studio.run("mend", "plan.shoot", "--with", "iso")
    assert (found.status, found.err) == (2, "shootlint: the house forbids to turn iso\n")


def test_a_house_that_bounds_a_lever_is_heeded(studio, sixteen):
    studio.write("house.rules", rule("iso", "iso <= 200") + "bound iso, at most 160\n")
    found = studio.run("mend", "plan.shoot")
    assert found.status == 0 and any(line.startswith("  iso 160 (editorial)") for line in found.lines)


# --- what is refused


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (["--rule", "a.isso"], "no rule is called a.isso; did you mean a.iso?"),
        (["--setup", "both"], 'no sound setup is called "both"; did you mean "Both"?'),
        (["--with", "apperture"], "no lever is called apperture; did you mean aperture?"),
        (["--without", "apperture"], "no lever is called apperture; did you mean aperture?"),
        (["--rules", "none.rules"], "none.rules: there is no such file"),
        (["--report", "html=-"], "no report is called html; there are json and text"),
        (["--report", "text="], "--report takes KIND=PATH, such as json=report.json, not text="),
        (["--editorial"], "--editorial goes with --write; without it all changes are shown, and none is made"),
    ],
)
def test_a_call_that_makes_no_sense_is_told(studio, sixteen, plan, options, told):
    found = studio.run("mend", "plan.shoot", *options)
    assert (found.status, found.out, found.err) == (2, "", f"shootlint: {told}\n")
    assert sixteen.read_text() == plan


def test_a_retired_rule_is_told(studio):
    studio.write("house.rules", 'use shipped\nretire focus.missed because "we like it soft"\n')
    found = studio.run("mend", "plan.shoot", "--rule", "focus.missed")
    assert (found.status, found.err) == (2, "shootlint: focus.missed is retired here, because we like it soft\n")


@pytest.mark.parametrize("written", [[], ["--write", "--editorial"]])
def test_a_plan_with_mistakes_is_refused_and_left_alone(studio, broken, written):
    studio.write("house.rules", rule("iso", "iso <= 200"))
    file = studio.write("plan.shoot", broken)
    found = studio.run("mend", "plan.shoot", *written)
    assert (found.status, found.out) == (2, "")
    assert found.err.splitlines()[0].startswith("plan.shoot:30:12: error:")
    assert found.err.splitlines()[-1] == (
        "shootlint: plan.shoot: only a plan that reads without a mistake, and has a setup, can be mended"
    )
    assert file.read_text() == broken


def test_an_acceptance_that_names_no_rule_is_a_mistake_here_too(studio, sixteen, plan):
    sixteen.write_text(plan + 'accept a.isso for "Both", because "x"\n')
    check = studio.run("check", "plan.shoot")
    found = studio.run("mend", "plan.shoot")
    assert found.status == 2 and "no rule is called a.isso; did you mean a.iso?" in found.err
    assert "no rule is called a.isso" in check.out + check.err


def test_what_is_accepted_is_not_mended(studio, sixteen, plan):
    sixteen.write_text(plan + 'accept a.iso for "Both", because "a small print"\n')
    found = studio.run("mend", "plan.shoot")
    assert (found.status, found.lines) == (0, ["nothing to mend: 0 errors and 0 warnings"])


def test_a_plan_without_a_setup_is_refused(studio, plan):
    studio.write("plan.shoot", plan[: plan.index("setup ")])
    found = studio.run("mend", "plan.shoot")
    assert found.status == 2 and "can be mended" in found.err


@pytest.mark.parametrize(
    ("content", "told"),
    [(None, "there is no such file"), (b"shootplan 1\0", "the file is binary, not text"), (b'title "\xff"', "not UTF-8 text")],
)
def test_a_file_that_cannot_be_read_is_told(studio, content, told):
    if content is not None:
        studio.write("other.shoot", content)
    found = studio.run("mend", "other.shoot")
    assert (found.status, found.out) == (2, "") and told in found.err


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ('forbid apertur because "x"', "house.rules:1:8: error: no lever is called apertur; did you mean aperture?"),
        ("bound iso, at most 50 K", "house.rules:1:20: error: 50 K does not bound iso, which is a plain number"),
        ("bound iso", "house.rules:1:1: error: this bounds nothing; add `, at least …` or `, at most …` after iso"),
    ],
)
def test_mistakes_of_a_house_about_levers_are_told_in_their_place(studio, plan, line, told):
    studio.write("house.rules", line + "\n" + rule("iso", "iso <= 200"))
    found = studio.run("mend", "plan.shoot", "--write", "--editorial")
    assert found.status == 2 and found.err.splitlines()[0] == told
    assert (studio.folder / "plan.shoot").read_text() == plan


def test_a_link_to_a_device_or_a_folder_is_refused(studio):
    (studio.folder / "plans").mkdir()
    found = studio.run("mend", "plans")
    assert found.status == 2 and found.out == ""
