"""check --changed-since: the plans that have changed since a revision, or whose kits or rules have, and no others."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
from importlib.resources import files

import pytest
from jsonschema import Draft202012Validator

from shootlint.commands.repository import on_the_way

KIT = 'shootplan 1\nlens "Fifty" { focal 50 mm; aperture f/1.8 to f/16 }\n'


def git(folder, *arguments):
    """Asks git, as somebody whose own settings do not matter here."""
    done = subprocess.run(
        ["git", "-c", "user.name=A", "-c", "user.email=a@x.example", "-c", "commit.gpgsign=false", *arguments],
        cwd=folder,
        env={**os.environ, "GIT_CONFIG_GLOBAL": os.devnull, "GIT_CONFIG_NOSYSTEM": "1"},
        capture_output=True,
        text=True,
        check=True,
    )
    return done.stdout.strip()


@pytest.fixture
def studio(studio, plan, rules):
    """A repository with two plans below a house of its own, one of which takes its lens from a kit; all is committed."""
    (studio.folder / ".git").rmdir()
    git(studio.folder, "init", "--quiet", "--initial-branch", "main")
    start, end = plan.index("lens "), plan.index("setup ")
    studio.write("plans/with-kit.shoot", plan[:start] + 'kit "kit/lens.shoot"\n' + plan[end:])
    studio.write("plans/kit/lens.shoot", KIT)
    studio.write("plans/house.rules", 'use "../studio.rules"\n')
    studio.write("plans/deeper/alone.shoot", plan)
    (studio.folder / "plan.shoot").unlink()
    commit(studio)
    return studio


def commit(studio):
    git(studio.folder, "add", "--all", "--force")
    git(studio.folder, "commit", "--quiet", "--message", "x")


@pytest.fixture
def judged(studio):
    """The plans that are judged, by the names of their files."""

    def run(*arguments, since="HEAD", paths=(".",)):
        report = studio.json("check", *paths, "--changed-since", since, *arguments)
        names = [each["path"].rpartition("/")[2].removesuffix(".shoot") for each in report["plans"]]
        if paths == (".",):
            plans = [each for each in studio.folder.rglob("*.shoot") if "\nsetup " in each.read_text()]
            assert len(names) + report["changed-since"]["not-changed"] == len(plans)
        return names

    return run


def test_nothing_has_changed(studio, judged):
    assert judged() == []
    found = studio.run("check", ".", "--changed-since", "HEAD")
    assert (found.status, found.err) == (0, "")
    assert found.counts == (
        "0 plans, 0 errors, 0 warnings, 0 notes, 0 accepted, 0 not judged, 2 plans not changed since HEAD"
    )  # fmt: skip


CHANGES = {
    "plans/deeper/alone.shoot": ["alone"],
    "plans/with-kit.shoot": ["with-kit"],
    "plans/kit/lens.shoot": ["with-kit"],
    "plans/house.rules": ["with-kit", "alone"],
    "studio.rules": ["with-kit", "alone"],
    "README": [],
}


@pytest.mark.parametrize("how", ["in the file", "staged", "committed"])
@pytest.mark.parametrize("name", CHANGES)
def test_a_change_is_seen_wherever_it_stands(studio, judged, name, how):
    path = studio.folder / name
    studio.write(name, (path.read_text() if path.exists() else "") + "# more\n")
    if how != "in the file":
        git(studio.folder, "add", "--all")
    if how == "committed":
        git(studio.folder, "commit", "--quiet", "--message", "x")
    assert judged(since="HEAD~1" if how == "committed" else "HEAD") == CHANGES[name]
    if how == "committed":
        assert judged() == []


def test_what_has_changed_and_changed_back_has_not_changed(studio, judged):
    path = studio.folder / "plans/kit/lens.shoot"
    for text in (KIT + "# more\n", KIT):
        path.write_text(text)
        commit(studio)
    assert judged(since="HEAD~2") == []
    assert judged(since="HEAD~1") == ["with-kit"]


@pytest.mark.parametrize("revision", ["main", "v1", "HEAD", "HEAD~1", "COMMIT", "main@{0}", ":/x"])
def test_a_revision_may_be_named_in_all_ways(studio, judged, revision):
    commit_again = studio.write("README", "x")
    assert commit_again.exists()
    commit(studio)
    git(studio.folder, "tag", "v1")
    assert judged(since=revision.replace("COMMIT", git(studio.folder, "rev-parse", "HEAD"))) == []


@pytest.mark.parametrize("ignored", [False, True])
def test_files_that_git_does_not_know_have_changed(studio, judged, plan, ignored):
    if ignored:
        studio.write(".gitignore", "new*\n")
        commit(studio)
    studio.write("plans/new.shoot", plan)
    assert judged() == ["new"]
    (studio.folder / "plans/new.shoot").unlink()
    studio.write("plans/new-kit.shoot", KIT)
    path = studio.folder / "plans/with-kit.shoot"
    path.write_text(path.read_text().replace("kit/lens", "new-kit"))
    git(studio.folder, "add", "plans/with-kit.shoot")
    git(studio.folder, "commit", "--quiet", "--message", "x")
    assert judged() == ["with-kit"]


def test_a_kit_that_is_gone_is_complained_of(studio):
    (studio.folder / "plans/kit/lens.shoot").unlink()
    for _ in range(2):
        found = studio.run("check", ".", "--changed-since", "HEAD")
        assert found.status == 2
        assert "the kit cannot be used: there is no such file" in found.out
        # And not only until that is committed.
        git(studio.folder, "add", "--all")
        git(studio.folder, "commit", "--quiet", "--allow-empty", "--message", "x")


def test_a_house_file_that_comes_or_goes_is_seen(studio, judged, rules):
    nearer = studio.folder / "plans/deeper/house.rules"
    nearer.write_text(rules)
    assert judged() == ["alone"]
    commit(studio)
    assert judged() == []
    nearer.unlink()
    assert judged() == ["alone"]
    commit(studio)
    assert judged() == []
    # One farther up has no say as long as a nearer one stands.
    studio.write("house.rules", rules)
    assert judged() == []
    commit(studio)
    (studio.folder / "plans/house.rules").unlink()
    assert judged() == ["with-kit", "alone"]


def test_a_house_file_that_goes_and_leaves_none_is_seen(studio, judged):
    (studio.folder / "plans/house.rules").unlink()
    assert judged() == ["with-kit", "alone"]


def test_rule_files_of_the_call_count_and_the_house_does_not(studio, judged):
    studio.write("plans/house.rules", "# more\n")
    assert judged("--rules", "studio.rules") == []
    studio.write("studio.rules", (studio.folder / "studio.rules").read_text() + "# more\n")
    assert judged("--rules", "studio.rules") == ["with-kit", "alone"]


def test_a_rule_file_outside_the_repository_always_counts(studio, judged, tmp_path, rules):
    (tmp_path / "outside.rules").write_text(rules)
    assert judged("--rules", str(tmp_path / "outside.rules")) == ["with-kit", "alone"]


def test_a_mistake_in_a_rule_file_is_told_whatever_has_changed(studio):
    studio.write("studio.rules", "rule {\n")
    commit(studio)
    found = studio.run("check", ".", "--changed-since", "HEAD")
    assert found.status == 2
    assert "studio.rules:1:" in found.out


def test_links_count_and_what_they_lead_to(studio, judged):
    kit = studio.folder / "plans/kit"
    kit.rename(studio.folder / "plans/first")
    studio.write("plans/second/lens.shoot", KIT)
    kit.symlink_to("first")
    commit(studio)
    assert judged() == []
    studio.write("plans/first/lens.shoot", KIT + "# more\n")
    assert judged() == ["with-kit"]
    commit(studio)
    kit.unlink()
    kit.symlink_to("second")
    assert judged() == ["with-kit"]


def test_a_plan_that_is_a_link(studio, judged):
    (studio.folder / "linked.shoot").symlink_to("plans/deeper/alone.shoot")
    commit(studio)
    assert judged(paths=("linked.shoot",)) == []
    studio.write("plans/deeper/alone.shoot", (studio.folder / "plans/deeper/alone.shoot").read_text() + "# more\n")
    assert judged(paths=("linked.shoot",)) == ["linked"]


def test_links_in_a_circle_end(tmp_path):
    (tmp_path / "a").symlink_to("b")
    (tmp_path / "b").symlink_to("a")
    assert len(list(on_the_way(str(tmp_path / "a")))) <= 1001


def test_an_acceptance_that_has_run_out_meanwhile_counts(studio, judged, plan, monkeypatch):
    day = git(studio.folder, "show", "--no-patch", "--format=%cs", "HEAD")
    studio.write("plans/deeper/alone.shoot", plan + f'accept house.base-iso for "Both", because "x", until {day}\n')
    commit(studio)
    assert judged() == []
    monkeypatch.setenv("SHOOTLINT_TODAY", "2999-01-01")
    assert judged() == ["alone"]
    # One that was over then already changes nothing.
    studio.write("plans/deeper/alone.shoot", plan + 'accept house.base-iso for "Both", because "x", until 2001-01-01\n')
    commit(studio)
    assert judged() == []


def test_a_kit_or_a_file_that_cannot_be_read_by_name(studio):
    assert studio.run("check", "plans/kit/lens.shoot", "--changed-since", "HEAD").counts.startswith("0 plans, ")
    studio.write("binary.shoot", b"\0")
    commit(studio)
    assert studio.run("check", ".", "--changed-since", "HEAD").status == 2
    found = studio.run("check", "plans/kit", "--changed-since", "HEAD")
    assert found.status == 2 and "there is no plan below this folder" in found.out


def test_standard_input_is_always_judged(studio, plan):
    found = studio.start("check", "-", "--changed-since", "HEAD", given=plan.encode())
    assert found.status == 0
    assert found.counts.startswith("1 plan, ")


def test_it_works_from_a_folder_below_and_inside_a_hook(studio, plan):
    studio.write("plans/deeper/alone.shoot", plan + "# more\n")
    for extra in ({}, {"GIT_DIR": ".git", "GIT_INDEX_FILE": ".git/index.lock", "GIT_WORK_TREE": "/"}):
        found = studio.start("check", "..", "--changed-since", "HEAD", folder="plans", **extra)
        assert found.counts.startswith("1 plan, ") and found.counts.endswith("1 plan not changed since HEAD")


@pytest.mark.parametrize(
    ("revision", "said"),
    [
        ("nowhere", "there is no revision nowhere in "),
        ("main:studio.rules", "there is no revision main:studio.rules in "),
        ("", "nothing is no revision"),
        ("--output=stolen", "--output=stolen is no revision"),
        ("-h", "-h is no revision"),
        ("HEAD --output=stolen", "there is no revision HEAD --output=stolen in "),
        ("$(touch stolen)", "there is no revision $(touch stolen) in "),
        ("a\x00b", "git cannot be asked: embedded null byte"),
    ],
)
def test_what_is_no_revision_is_told_and_does_nothing(studio, revision, said):
    found = studio.run("check", ".", f"--changed-since={revision}")
    assert (found.status, found.out) == (2, "")
    assert found.err.startswith(f"shootlint: --changed-since: {said}")
    assert not (studio.folder / "stolen").exists()


@pytest.mark.parametrize(
    ("says", "told"),
    [
        ("git version 2.30.9", "git version 2.30.9"), ("git version 1.8.3.1", "git version 1.8.3.1"),
        ("hello", "hello"), ("", "nothing"),
    ],
)  # fmt: skip
def test_an_old_git_is_not_asked(studio, monkeypatch, tmp_path, says, told):
    """It could not be told to run no program of the repository's own."""
    fake = tmp_path / "bin/git"
    fake.parent.mkdir()
    fake.write_text(f'#!/bin/sh\ncase "$*" in *version) echo "{says}";; *) touch "{tmp_path}/asked"; exec false;; esac\n')
    fake.chmod(0o755)
    monkeypatch.setenv("PATH", str(fake.parent) + os.pathsep + os.environ["PATH"])
    found = studio.run("check", ".", "--changed-since", "HEAD")
    assert (found.status, found.out) == (2, "")
    assert (
        found.err == f"shootlint: --changed-since: git 2.31 or newer is needed to tell what has changed; this one says: {told}\n"
    )
    assert not (tmp_path / "asked").exists()


@pytest.mark.parametrize("says", ["git version 2.31.0", "git version 3.0", "git version 2.39.5 (Some Vendor 154)"])
def test_a_git_that_is_new_enough_is_asked(studio, monkeypatch, tmp_path, says):
    fake = tmp_path / "bin/git"
    fake.parent.mkdir()
    fake.write_text(f'#!/bin/sh\ncase "$*" in *version) echo "{says}";; *) exec {shutil.which("git")} "$@";; esac\n')
    fake.chmod(0o755)
    monkeypatch.setenv("PATH", str(fake.parent) + os.pathsep + os.environ["PATH"])
    assert studio.run("check", ".", "--changed-since", "HEAD").err == ""


def test_without_git_that_is_told(studio, monkeypatch):
    monkeypatch.setenv("PATH", "/nonexistent")
    found = studio.run("check", ".", "--changed-since", "HEAD")
    assert (found.status, found.out) == (2, "")
    assert found.err == "shootlint: --changed-since: git is not installed here, and nothing else can tell what has changed\n"


def test_outside_of_a_repository_that_is_told(studio, tmp_path, plan):
    (tmp_path / "outside.shoot").write_text(plan)
    found = studio.run("check", str(tmp_path / "outside.shoot"), "--changed-since", "HEAD")
    assert found.status == 2
    assert "lies in no git repository" in found.err
    # A folder that only looks like one is none, and none above it takes its place.
    inside = studio.write("looks/plan.shoot", plan)
    (inside.parent / ".git").mkdir()
    found = studio.run("check", "looks", "--changed-since", "HEAD")
    assert found.status == 2
    assert "looks is no git repository" in found.err


def test_a_repository_s_own_programs_are_not_run(studio, plan):
    stolen = studio.folder / "stolen"
    script = studio.write("script", f"#!/bin/sh\ntouch {stolen}\n")
    script.chmod(0o755)
    for name in ("core.fsmonitor", "diff.external", "diff.x.textconv", "diff.x.command", "core.pager", "pager.diff"):
        git(studio.folder, "config", name, str(script))
    studio.write(".gitattributes", "*.shoot diff=x\n")
    studio.write("plans/deeper/alone.shoot", plan + "# more\n")
    assert studio.run("check", ".", "--changed-since", "HEAD").counts.startswith("1 plan, ")
    assert not stolen.exists()


@pytest.mark.parametrize("part", ["clean", "process"])
def test_a_repository_s_own_filters_are_not_run(studio, plan, part):
    """git sends a file through them to see whether it has changed: a checkout that came with its `.git` ran what it named."""
    stolen = studio.folder / "stolen"
    script = studio.write("script", f"#!/bin/sh\ntouch {stolen}\ncat\n")
    script.chmod(0o755)
    included = studio.write(".git/more", "")
    git(studio.folder, "config", "include.path", "more")
    git(studio.folder, "config", "--file", str(included), f"filter.a.b=c.{part}", str(script))
    git(studio.folder, "config", "filter.a.b=c.required", "true")
    studio.write(".gitattributes", "*.shoot filter=a.b=c\n")
    studio.write("plans/deeper/alone.shoot", plan + "# more\n")
    assert studio.run("check", ".", "--changed-since", "HEAD").counts.startswith("1 plan, ")
    assert not stolen.exists()


def test_a_filter_of_whoever_runs_git_is_asked_as_ever(studio, plan, tmp_path, monkeypatch):
    settings = tmp_path / "settings"
    monkeypatch.setenv("GIT_CONFIG_GLOBAL", str(settings))
    git(studio.folder, "config", "--file", str(settings), "filter.plain.clean", "sed s/more/less/")
    studio.write(".git/info/attributes", "alone.shoot filter=plain\n")
    studio.write("plans/deeper/alone.shoot", plan + "# less\n")
    commit(studio)
    studio.write("plans/deeper/alone.shoot", plan + "# more\n")
    assert studio.run("check", ".", "--changed-since", "HEAD").counts.startswith("0 plans, ")


def test_a_repository_inside_is_not_asked(studio, plan):
    stolen = studio.folder / "stolen"
    script = studio.write("script", f"#!/bin/sh\ntouch {stolen}\ncat\n")
    script.chmod(0o755)
    inside = studio.write("inside/kit.shoot", "shootplan 1\n").parent
    git(inside, "init", "--quiet")
    git(inside, "add", ".")
    git(inside, "-c", "user.name=a", "-c", "user.email=a@b", "commit", "--quiet", "--message=kit")
    commit(studio)
    git(inside, "config", "core.fsmonitor", str(script))
    git(inside, "config", "filter.x.clean", str(script))
    studio.write("inside/.gitattributes", "* filter=x\n")
    studio.write("inside/kit.shoot", "shootplan 1\n# more\n")
    studio.write("plans/deeper/alone.shoot", plan + "# more\n")
    assert studio.run("check", ".", "--changed-since", "HEAD").counts.startswith("1 plan, ")
    assert not stolen.exists()


@pytest.mark.parametrize("revision", ["HEAD", "1234567890" * 4])
def test_nothing_is_fetched(studio, plan, revision):
    """A clone that leaves things out fetches them when they are asked for, by a program that its settings name."""
    stolen = studio.folder / "stolen"
    script = studio.write("script", f"#!/bin/sh\ntouch {stolen}\n")
    script.chmod(0o755)
    kept = git(studio.folder, "rev-parse", "HEAD:plans/deeper/alone.shoot").strip()
    (studio.folder / ".git/objects" / kept[:2] / kept[2:]).unlink()
    for name, value in {
        "core.repositoryFormatVersion": "1",
        "extensions.partialClone": "origin",
        "remote.origin.promisor": "true",
        "remote.origin.url": str(studio.folder),
        "remote.origin.uploadPack": str(script),
        "protocol.file.allow": "always",
    }.items():
        git(studio.folder, "config", name, value)
    studio.write("plans/deeper/alone.shoot", plan + "# more\n")
    found = studio.run("check", ".", "--changed-since", revision)
    assert (found.status, found.out) == (2, "")
    assert "--changed-since: " in found.err
    assert not stolen.exists()


def test_git_s_index_is_left_as_it_is(studio):
    index = studio.folder / ".git/index"
    os.utime(studio.folder / "studio.rules")
    before = index.read_bytes(), index.stat().st_mtime_ns
    studio.run("check", ".", "--changed-since", "HEAD")
    assert (index.read_bytes(), index.stat().st_mtime_ns) == before


def test_what_is_kept_of_verdicts_is_the_same_with_it_and_without(studio, plan):
    studio.run("check", "plans")
    studio.write("plans/deeper/alone.shoot", plan + "# more\n")
    with_it = studio.run("check", "plans", "--changed-since", "HEAD", "--report", "json=-").out
    assert '"alone.shoot"' not in with_it and "plans/deeper/alone.shoot" in with_it


def test_every_report_tells_how_many_have_not_changed(studio, plan):
    from formats import junit, markdown_text, sarif

    call = ("check", ".", "--changed-since", "HEAD")
    report = studio.json(*call)
    Draft202012Validator(json.loads(files("shootlint.reports").joinpath("report.schema.json").read_text("utf-8"))).validate(
        report
    )
    assert report["changed-since"] == {"revision": "HEAD", "not-changed": 2}
    run = sarif(studio.run(*call, "--report", "sarif=-").out)
    assert (run["results"], run["properties"]["changed-since"], run["properties"]["not-changed"]) == ([], "HEAD", 2)
    # Some readers take a report without any test for one that went wrong.
    (suite,) = junit(studio.run(*call, "--report", "junit=-").out)
    assert [case.get("name") for case in suite.iter("testcase")] == ["2 plans not changed since HEAD"]
    told = markdown_text(studio.run(*call, "--report", "markdown=-").out)
    assert told.splitlines()[:2] == ["shootlint: no plan was judged", "2 plans not changed since HEAD, and not judged."]


def test_known_and_changed_together(studio, plan):
    studio.run("check", ".", "--report", "sarif=first.sarif", "--fail-on", "note")
    studio.write("plans/deeper/alone.shoot", plan.replace("168 cm", "178 cm"))
    found = studio.run("check", ".", "--known", "first.sarif", "--changed-since", "HEAD", "--fail-on", "note")
    assert found.status == 1
    assert "Asta is 178 cm tall" in found.out and "Bent" not in found.out
    assert found.counts.endswith("2 known from first.sarif, 0 gone, 1 plan not changed since HEAD")
