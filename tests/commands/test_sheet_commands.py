"""`shootlint sheet`, and the page of a team with the sheets beside it, by the call."""

from __future__ import annotations

import os
import stat

import pytest


def test_a_sheet_is_written_whole(studio) -> None:
    done = studio.run("sheet", "plan.shoot", "--to", "sheet.html", "--rules", "studio.rules")
    assert (done.status, done.out, done.err) == (0, "", "")
    text = (studio.folder / "sheet.html").read_text("utf-8")
    assert text.startswith("<!doctype html>") and text.endswith("</html>\n")
    assert "Shot above the base ISO" not in text and "Both is at ISO 400" in text and "house.base-iso" in text
    assert not [each for each in os.listdir(studio.folder) if each.startswith(".sheet")]


def test_its_status_is_that_of_check(studio, rules: str) -> None:
    studio.write("studio.rules", rules.replace("level   warning", "level   error"))
    done = studio.run("sheet", "plan.shoot", "--to", "sheet.html", "--rules", "studio.rules")
    assert done.status == 1
    assert "Does not hold: 1 error to mend first." in (studio.folder / "sheet.html").read_text("utf-8")


def test_trials_tell_on_the_sheet_how_sure_it_is(studio) -> None:
    done = studio.run("sheet", "plan.shoot", "--to", "sheet.html", "--rules", "studio.rules", "--trials", "50", "--seed", "3")
    assert done.status == 0
    text = (studio.folder / "sheet.html").read_text("utf-8")
    assert "<h3>How sure</h3>" in text and "in 50 trials (seed 3)" in text
    assert studio.run("sheet", "plan.shoot", "--to", "-", "--seed", "3").status == 2
    assert studio.run("sheet", "plan.shoot", "--to", "-", "--trials", "0").status == 2


def test_a_sheet_may_go_to_standard_output(studio) -> None:
    done = studio.run("sheet", "plan.shoot", "--to", "-", "--rules", "studio.rules")
    assert done.status == 0 and done.out.startswith("<!doctype html>")


def test_without_a_sound_setup_nothing_is_written(studio, broken: str) -> None:
    studio.write("broken.shoot", broken)
    done = studio.run("sheet", "broken.shoot", "--to", "sheet.html")
    assert done.status == 2
    assert "broken.shoot:30:12: error: expected a whole number such as 100, not lots" in done.err
    assert "there is no setup without a mistake in it" in done.err
    assert not (studio.folder / "sheet.html").exists()


@pytest.mark.parametrize("plan", ["missing.shoot", "."])
def test_what_cannot_be_read_is_told(studio, plan: str) -> None:
    studio.write("second.shoot", (studio.folder / "plan.shoot").read_bytes())
    done = studio.run("sheet", plan, "--to", "sheet.html")
    assert done.status == 2 and done.err.startswith("shootlint: ")
    assert not (studio.folder / "sheet.html").exists()


def test_a_place_that_cannot_be_written_is_told(studio) -> None:
    done = studio.run("sheet", "plan.shoot", "--to", "nowhere/sheet.html")
    assert done.status == 2
    assert "the sheet cannot be written to nowhere/sheet.html" in done.err


def test_the_pages_plans_link_to_sheets_beside_it(studio, plan: str) -> None:
    studio.write("a/plan.shoot", plan.replace("Rowing club", "First club"))
    studio.write("a plan.shoot", plan.replace("Rowing club", "Second club"))
    studio.write("A#Plan.shoot", plan.replace("Rowing club", "Third club"))
    done = studio.run("check", ".", "--rules", "studio.rules", "--report", "html=out.html", "--report", "text=-")
    assert done.counts.startswith("4 plans, 0 errors")
    assert sorted(os.listdir(studio.folder / "out-sheets")) == ["A-Plan.html", "a-plan-2.html", "a-plan-3.html", "plan.html"]
    page = (studio.folder / "out.html").read_text("utf-8")
    for title in ("First", "Second", "Third", "Rowing"):
        (line,) = [line for line in page.splitlines() if f"{title} club, jetty" in line and "<a href=" in line][:1]
        link = line.split('<a href="')[1].split('"')[0]
        assert f"<h1><bdi>{title} club, jetty</bdi></h1>" in (studio.folder / link).read_text("utf-8")


def test_the_page_says_what_runs_out(studio, plan: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SHOOTLINT_TODAY", "2026-06-15")
    accepted = 'accept house.base-iso for "Both", because "the client knows", until 2026-07-01\n'
    studio.write("plan.shoot", plan + accepted)
    studio.write("old.shoot", plan.replace("2026-06-20", "2026-06-01").replace("Rowing", "Last month's"))
    # As the evenings grow shorter, the light at a time of day goes: this one wants the sun 12.5 degrees high.
    studio.write(
        "light.rules",
        """rule house.light {
  title "There is light"; level warning; for each setup; require min(sun-altitude over minutes) >= 12.5 deg
  say "no light"; because "It is dark."
}
""".replace("; ", "\n  ")
        + (studio.folder / "studio.rules").read_text().split("\n\n", 1)[1],
    )
    studio.run("check", ".", "--rules", "light.rules", "--report", "html=out.html")
    page = (studio.folder / "out.html").read_text("utf-8")
    assert "<code>house.base-iso</code> until 2026-07-01, because the client knows" in page
    assert "<h3>Plans whose day is over</h3>" in page and "Last month&#39;s club, jetty</bdi></a>: 2026-06-01" in page
    assert "would no longer hold at its time of day (house.light)" in page


def test_on_standard_output_the_page_stands_alone(studio) -> None:
    done = studio.run("check", "plan.shoot", "--rules", "studio.rules", "--report", "html=-")
    assert done.out.startswith("<!doctype html>") and "href" not in done.out
    assert not [each for each in os.listdir(studio.folder) if each.endswith("-sheets")]


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="whoever may do everything is refused nothing")
def test_sheets_that_cannot_be_written_are_told(studio) -> None:
    (studio.folder / "out-sheets").mkdir()
    os.chmod(studio.folder / "out-sheets", stat.S_IRUSR | stat.S_IXUSR)
    done = studio.run("check", "plan.shoot", "--rules", "studio.rules", "--report", "html=out.html")
    assert done.status == 2 and "cannot be written" in done.err


def test_a_file_in_the_place_of_the_folder_is_told(studio) -> None:
    studio.write("out-sheets", "mine")
    done = studio.run("check", "plan.shoot", "--rules", "studio.rules", "--report", "html=out.html")
    assert done.status == 2 and "the sheet out-sheets/plan.html cannot be written" in done.err
    assert (studio.folder / "out-sheets").read_text() == "mine"


def test_a_folder_without_plans_has_a_page_that_says_so(studio) -> None:
    (studio.folder / "empty").mkdir()
    studio.run("check", "empty", "--report", "html=out.html")
    assert "There is no plan here to tell of." in (studio.folder / "out.html").read_text("utf-8")
