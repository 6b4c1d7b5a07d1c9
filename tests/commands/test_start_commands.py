"""What a start of the program loads, and that the same call always gives the same bytes."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest

LIST = """
import json, sys
from shootlint.commands.main import main
try:
    status = main(sys.argv[1:])
except SystemExit as end:
    status = end.code
print()
print(json.dumps([status, sorted({name.partition(".")[0] for name in sys.modules})]))
"""

ARRAYS = {"numpy", "astral", "jinja2"}
LANGUAGE = {"pydantic", "lark"}


def loaded(studio, *arguments):
    """The exit status and the outermost names of all modules that a call loads."""
    done = subprocess.run(
        [sys.executable, "-c", LIST, *arguments], capture_output=True, text=True, cwd=studio.folder, check=False
    )
    status, modules = json.loads(done.stdout.splitlines()[-1])
    return status, set(modules), done.stdout.splitlines()[:-2]


@pytest.mark.parametrize(
    "arguments",
    [
        ["--help"],
        ["--version"],
        ["check", "--help"],
        ["measure", "--help"],
        ["hours", "--help"],
        ["begin", "--help"],
        ["check"],
        [],
    ],
)
def test_help_and_a_wrong_call_load_nothing_heavy(studio, arguments):
    status, modules, _ = loaded(studio, *arguments)
    assert status == (0 if "--help" in arguments or "--version" in arguments else 2)
    assert modules & (ARRAYS | LANGUAGE) == set()


@pytest.mark.parametrize(
    "text",
    [
        "BROKEN",
        "shootplan 1\nsetup {\n",
        'shootplan 1\nsetup "A" {\n  aperture f5.6\n}\n',
        "shootplan 1\ntitel\n",
        "%",
        "",
    ],
)
def test_a_plan_with_only_a_syntax_error_loads_no_arrays_and_is_still_counted(studio, broken, text):
    studio.write("plan.shoot", broken if text == "BROKEN" else text)
    status, modules, lines = loaded(studio, "check", "plan.shoot")
    assert status == 2
    assert modules & ARRAYS == set()
    assert lines[0].startswith("plan.shoot:")
    assert " mistake" in lines[-1] and lines[-1].endswith(" not judged")
    as_json, modules, _ = loaded(studio, "check", "plan.shoot", "--no-cache", "--report", "json=report.json")
    assert as_json == 2
    assert modules & ARRAYS == set()


@pytest.mark.parametrize("arguments", [["begin", "new"], ["complete", "bash"], ["complete", "fish"]])
def test_to_begin_and_to_set_a_shell_up_load_nothing_heavy(studio, arguments):
    status, modules, lines = loaded(studio, *arguments)
    assert status == 0 and lines
    assert modules & (ARRAYS | LANGUAGE) == set()


def test_a_list_of_people_who_are_grown_up_loads_no_arrays(studio):
    studio.write("list.csv", "name,stature\nVera,170 cm\n")
    status, modules, lines = loaded(studio, "people", "list.csv")
    assert status == 0 and lines[1] == '  "Vera" stature 170 cm'
    assert modules & ARRAYS == set()


def test_a_missing_file_loads_no_arrays(studio):
    status, modules, _ = loaded(studio, "check", "none.shoot")
    assert status == 2
    assert modules & ARRAYS == set()


def test_a_plan_that_can_be_judged_loads_arrays(studio):
    """Without this the tests above could not tell a contract that holds from a list that is always empty."""
    status, modules, _ = loaded(studio, "check", "plan.shoot")
    assert status == 0
    assert {"numpy", *LANGUAGE} <= modules
    assert "jinja2" not in modules


@pytest.mark.parametrize("report", ["text", "json", "markdown"])
def test_plans_that_are_known_load_nothing_heavy(studio, plan, rules, broken, report):
    start, end = plan.index("camera "), plan.index("lens ")
    studio.write("plans/kit/body.shoot", "shootplan 1\n" + plan[start:end])
    studio.write("plans/with-kit.shoot", plan[:start] + 'kit "kit/body.shoot"\n' + plan[end:])
    studio.write("plans/broken.shoot", broken)
    studio.write("plans/house.rules", rules)
    arguments = ("check", "plans", "plan.shoot", "--report", f"{report}=-")
    first, modules, lines = loaded(studio, *arguments)
    assert {"numpy", *LANGUAGE} <= modules
    again, modules, same = loaded(studio, *arguments)
    assert (again, same) == (first, lines)
    assert modules & (ARRAYS | LANGUAGE | {"multiprocessing"}) == set()


def test_the_words_of_the_language_load_no_arrays(studio):
    status, modules, lines = loaded(studio, "words")
    assert status == 0 and len(lines) > 50
    assert modules & ARRAYS == set()


def test_tidying_loads_no_arrays(studio):
    status, modules, lines = loaded(studio, "tidy", "plan.shoot", "studio.rules")
    assert status == 0 and lines[-1].startswith("2 files, ")
    assert modules & ARRAYS == set()


@pytest.mark.parametrize("kind", ["text", "json", "sarif", "junit", "markdown"])
def test_a_second_run_and_another_folder_give_the_same_bytes(studio, plan, rules, broken, kind):
    for folder in ("here", "else/where"):
        studio.write(f"{folder}/house.rules", rules.replace("require iso <= 200", "require iso <= 200 and blur < 0 mm"))
        for number in range(3):
            studio.write(f"{folder}/plans/{number}.shoot", plan)
        studio.write(f"{folder}/plans/broken.shoot", broken)
    arguments = ("check", "plans", "plans/none.shoot", "--no-cache", "--report", f"{kind}=-")
    first = studio.start(*arguments, folder="here", PYTHONHASHSEED="1")
    assert first.status == 2 and len(first.lines) > 10
    assert studio.start(*arguments, folder="here", PYTHONHASHSEED="2").out == first.out
    assert studio.start(*arguments, folder="else/where", PYTHONHASHSEED="3").out == first.out


def test_measuring_twice_gives_the_same_bytes(studio):
    first = studio.start("measure", "plan.shoot", "--report", "json=-", PYTHONHASHSEED="1")
    assert studio.start("measure", "plan.shoot", "--report", "json=-", PYTHONHASHSEED="2").out == first.out
