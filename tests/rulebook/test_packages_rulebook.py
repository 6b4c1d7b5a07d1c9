"""An installed package's readings and rules: a real one, installed for real."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[1] / "example_package"
PLAN = Path(__file__).parents[2] / "plans" / "evening.shoot"


@pytest.fixture(scope="module")
def installed(tmp_path_factory):
    """A folder into which the example package is installed; its sources are copied first, since a build writes beside them."""
    import shutil

    source = tmp_path_factory.mktemp("source") / "package"
    shutil.copytree(PACKAGE, source)
    target = tmp_path_factory.mktemp("installed")
    subprocess.run(
        [
            sys.executable,
            "-m",
            "pip",
            "install",
            "--quiet",
            "--disable-pip-version-check",
            "--no-deps",
            "--target",
            target,
            source,
        ],
        check=True,
        capture_output=True,
    )
    return target


def check(installed: Path | None, rules: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    environment = {**os.environ, "PYTHONPATH": str(installed) if installed is not None else ""}
    return subprocess.run(
        [sys.executable, "-P", "-m", "shootlint.commands.main", *arguments, "--rules", str(rules)],
        cwd=PLAN.parents[1],
        env=environment,
        capture_output=True,
        encoding="utf-8",
        check=False,
    )


def house(folder: Path, text: str) -> Path:
    path = folder / "named.rules"
    path.write_text(text, "utf-8")
    return path


def test_its_reading_and_its_rules_are_used(installed, tmp_path):
    rules = house(tmp_path, 'use package "balcony"\nadjust balcony.looked-down-on { most -30 cm }\n')
    done = check(installed, rules, "check", "plans/evening.shoot", "--report", "json=-")
    assert done.stderr == ""
    findings = json.loads(done.stdout)["plans"][0]["findings"]
    assert findings
    assert {each["rule"] for each in findings} == {"balcony.looked-down-on"}
    assert findings[0]["measured"]["reading"] == "looked-down-on"
    assert findings[0]["mends"]
    why = check(installed, rules, "why", "plans/evening.shoot", "balcony.looked-down-on")
    assert "camera height - eye height" in why.stdout


def test_a_package_that_is_not_named_is_not_loaded(installed, tmp_path):
    done = check(installed, house(tmp_path, "use shipped\n"), "check", "plans/evening.shoot")
    assert done.returncode == 0
    assert "balcony" not in done.stdout


def test_a_package_that_is_not_installed_is_told(installed, tmp_path):
    done = check(installed, house(tmp_path, 'use shipped\nuse package "balcny"\n'), "check", "plans/evening.shoot")
    assert done.returncode == 2
    assert 'no installed package offers "balcny"; did you mean "balcony"?' in done.stdout


def test_a_package_that_cannot_be_loaded_is_one_complaint_and_the_rest_goes_on(installed, tmp_path):
    done = check(
        installed,
        house(tmp_path, 'use shipped\nuse package "balcony-broken"\n'),
        "check",
        "plans/evening.shoot",
        "--report",
        "json=-",
    )
    assert done.returncode == 2
    plan = json.loads(done.stdout)["plans"][0]
    assert [each["message"] for each in plan["complaints"]] == [
        'package "balcony-broken" cannot be loaded: RuntimeError: this package was never finished'
    ]
    assert plan["held"] > 20


def test_a_reading_that_raises_is_unknown_and_names_its_package(installed, tmp_path):
    rule = (
        'rule own.ladder { title "L"; level error; for each setup; require out-of-order < 1 m; '
        'say "{out-of-order}"; because "x" }\n'
    )
    rules = house(tmp_path, f'use shipped\nuse package "balcony-out-of-order"\n{rule}')
    done = check(installed, rules, "check", "plans/evening.shoot", "--report", "json=-")
    plan = json.loads(done.stdout)["plans"][0]
    (missing,) = [each for each in plan["not-judged"] if each["rule"] == "own.ladder"]
    assert missing["needs"] == [
        "package balcony-out-of-order mended: its reading out-of-order gave RuntimeError: the ladder is gone"
    ]
    assert plan["held"] > 20
    assert "Traceback" not in done.stderr


def test_a_package_that_ends_the_program_is_told_as_any_other_fault(tmp_path):
    """It used to end the run, without a word and with a status of its own."""
    package = tmp_path / "site"
    (package / "leaving").mkdir(parents=True)
    (package / "leaving" / "__init__.py").write_text("import sys\nsys.exit(7)\n", "utf-8")
    (package / "leaving-1.dist-info").mkdir()
    (package / "leaving-1.dist-info" / "METADATA").write_text("Metadata-Version: 2.1\nName: leaving\nVersion: 1\n", "utf-8")
    (package / "leaving-1.dist-info" / "entry_points.txt").write_text("[shootlint.readings]\nleaving = leaving\n", "utf-8")
    done = check(package, house(tmp_path, 'use shipped\nuse package "leaving"\n'), "check", str(PLAN))
    assert done.returncode == 2
    assert 'package "leaving" cannot be loaded: SystemExit: 7' in done.stdout


def offering(folder: Path, code: str, rules: bool = False) -> Path:
    """A folder that holds an installed package of one module, which offers readings, or rules, by the name of `odd`."""
    site = folder / "site"
    (site / "odd-1.dist-info").mkdir(parents=True)
    (site / "odd.py").write_text(code, "utf-8")
    (site / "odd-1.dist-info" / "METADATA").write_text("Metadata-Version: 2.1\nName: odd\nVersion: 1\n", "utf-8")
    group = "rules" if rules else "readings"
    (site / "odd-1.dist-info" / "entry_points.txt").write_text(f"[shootlint.{group}]\nodd = odd\n", "utf-8")
    return site


READING = """
import numpy as np
from shootlint.readings.catalogue import given, reading

@reading("m", "person", formula="none", source="definition")
def odd_reading(stature):
    {}
"""
USE = (
    'use package "odd"\nrule own.odd {{ title "L"; level error; for {}; require {} < 0.5 m; say "{{setup}}"; because "x" }}\n'
).format("each person", "odd-reading")


def test_what_a_package_prints_does_not_spoil_a_report(tmp_path):
    """It went to standard output, between the lines of a report that a program reads."""
    code = 'print("loading")\n' + READING.format('print("working"); return stature')
    done = check(offering(tmp_path, code), house(tmp_path, USE), "check", str(PLAN), "--report", "json=-")
    assert json.loads(done.stdout)["plans"][0]["findings"]
    assert "loading" in done.stderr and "working" in done.stderr


@pytest.mark.parametrize(
    ("body", "told"),
    [
        ("return np.ones((1,) * 9 + (99,))", "ValueError: 99 values along other, which has 1"),
        ("return np.ones((1,) * 8 + (99, 1))", "ValueError: 99 values along person, which has 6"),
        ("return np.ones((2,) + (1,) * 9)", "ValueError: 2 values along trial, which has 1"),
        ("return np.ones(6)", "ValueError: an array of 1 axes instead of 10"),
        ("return stature.astype(object)", "ValueError: an array of object instead of numbers"),
        ("return None", "AttributeError: 'NoneType' object has no attribute 'ndim'"),
        ("import sys; sys.exit(3)", "SystemExit: 3"),
        ("import asyncio; raise asyncio.CancelledError('gone')", "CancelledError: gone"),
        ("return odd_reading(stature)", "RecursionError: maximum recursion depth exceeded"),
    ],
)
def test_whatever_a_reading_gives_is_told_as_its_package_s_fault(tmp_path, body, told):
    """An array of another length than there are people ended the run where a rule took it together with another one."""
    site = offering(tmp_path, READING.format(body))
    done = check(site, house(tmp_path, USE + "use shipped\n"), "check", str(PLAN), "--report", "json=-")
    assert "Traceback" not in done.stderr
    plan = json.loads(done.stdout)["plans"][0]
    (missing,) = [each for each in plan["not-judged"] if each["rule"] == "own.odd"]
    assert missing["needs"][0].startswith(f"package odd mended: its reading odd-reading gave {told}")
    assert plan["held"] > 20


def test_a_package_that_raises_what_nobody_catches_is_told(tmp_path):
    site = offering(tmp_path, "raise GeneratorExit('no more')\n")
    done = check(site, house(tmp_path, 'use package "odd"\n'), "check", str(PLAN))
    assert done.returncode == 2 and "Traceback" not in done.stderr
    assert 'package "odd" cannot be loaded: GeneratorExit: no more' in done.stdout


def test_rules_of_a_module_without_a_folder_are_told(tmp_path):
    site = offering(tmp_path, "", rules=True)
    done = check(site, house(tmp_path, 'use package "odd"\n'), "check", str(PLAN))
    assert done.returncode == 2 and "Traceback" not in done.stderr
    assert 'package "odd" has no folder of rule files' in done.stdout


@pytest.mark.parametrize("where", ["import", "reading"])
def test_a_package_that_hangs_is_ended_by_whoever_waits(tmp_path, where):
    import signal

    hang = "import sys, time; print('hanging', flush=True); time.sleep(600)"
    site = offering(tmp_path, f"{hang}\n" if where == "import" else READING.format(f"{hang}; return stature"))
    started = subprocess.Popen(
        [sys.executable, "-P", "-m", "shootlint.commands.main", "check", str(PLAN), "--rules", str(house(tmp_path, USE))],
        env={**os.environ, "PYTHONPATH": str(site)},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert started.stderr is not None and started.stderr.readline() == "hanging\n"
    started.send_signal(signal.SIGINT)
    out, err = started.communicate(timeout=60)
    assert (started.returncode, out, err) == (130, "", "")
