"""Checking beside other checkers of text files, which read the same content written as YAML, with a JSON Schema that asks
of it what such a schema can ask. They come with the extra `benchmark`."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
from collections import defaultdict
from pathlib import Path
from statistics import median
from typing import Any

from measuring import BIN, ROOT, compare
from measuring import run as took

import shootlint
from shootlint.language.loading import read_one
from shootlint.language.source import decode
from shootlint.language.tree import Line

SCHEMA_SCRIPT = """
import json, sys
import yaml
from jsonschema import Draft202012Validator
validator = Draft202012Validator(json.load(open(sys.argv[1])))
for path in sys.argv[2:]:
    with open(path) as file:
        for error in validator.iter_errors(yaml.load(file, yaml.CSafeLoader)):
            print(path, error.message)
            sys.exit(1)
"""


def one_file() -> str:
    """The plan of the evening and its kit as one file of about a hundred lines."""
    plan, kit = ((ROOT / "plans" / name).read_text("utf-8") for name in ("evening.shoot", "kit/belfry.shoot"))
    head, setup = plan.split("\nsetup ", 1)
    head = "\n".join(line for line in head.splitlines() if not line.startswith("kit "))
    kit = "\n".join(line for line in kit.splitlines() if not line.startswith(("shootplan ", "title ")))
    return f"{head}\n\n{kit}\n\nsetup {setup}"


OFTEN = {
    "kit", "meter", "shade", "hazard", "print", "camera", "lens", "light", "stand", "gel", "filter", "setup", "place", "row", "accept",
}  # fmt: skip
"""Words that may come several times, and are lists in YAML."""


def as_data(lines: list[Line]) -> dict[str, Any]:
    """What lines of a plan say, as somebody would write it in YAML."""
    found: dict[str, Any] = {}
    for line in lines:
        head, *rest = line.clauses[0]
        clauses = [" ".join(atom.text.strip('"') for atom in clause) for clause in (rest, *line.clauses[1:]) if clause]
        said: Any = clauses[0] if len(clauses) == 1 else clauses
        if line.block is not None:
            said = ({"named": said} if clauses else {}) | as_data(line.block.lines)
        word = head.text.strip('"')
        if word in OFTEN:
            found.setdefault(word, []).append(said)
        else:
            found[word] = said
    return found


def schema() -> dict[str, Any]:
    """What a JSON Schema can ask of such a plan: words that there are and that are needed, and measures with their units."""

    def text(pattern: str) -> dict[str, Any]:
        return {"type": "string", "pattern": f"^{pattern}$"}

    def block(needed: list[str], **words: Any) -> dict[str, Any]:
        return {"type": "object", "required": needed, "additionalProperties": False, "properties": words}

    def several(of: Any) -> dict[str, Any]:
        return {"type": "array", "minItems": 1, "items": of}

    number = "[+-]?[0-9]+(\\.[0-9]+)?"
    length, mass, share = text(f"{number} (mm|cm|m|ft|in)"), text(f"{number} (kg|lb)"), text("1/[0-9]+|" + number)
    some, clauses = text("[^\t]+"), several(text("[^\t]+"))
    either = {"anyOf": [some, clauses]}
    clock, exposure, shutter = "[0-2][0-9]:[0-5][0-9]", text("1/[0-9]+ s|[0-9.]+ s"), "f/[0-9]+(\\.[0-9]+)?"
    measures = dict.fromkeys(("elevation", "closest", "spread", "highest"), length) | dict.fromkeys(("mass", "carries"), mass)
    kit = dict.fromkeys(
        ("named", "sensor", "pixels", "sync", "shutter", "iso", "focal", "aperture", "energy", "metered", "guide", "power", "colour",
         "duration", "recycle", "flashes", "modifier", "high-speed-sync", "shift", "loses"), either,
    )  # fmt: skip
    thing = block(["named"], **kit, **measures)
    row = {"type": "object", "required": ["named"], "minProperties": 2, "additionalProperties": either}
    setup = block(
        ["named", "camera", "lens", "aperture", "shutter", "iso", "focus", "frame", "row"],
        named=some, time=text(f"{clock} to {clock}"), camera=several(some), lens=several(either), aperture=text(shutter), shutter=exposure,
        iso=text("[0-9]+"), support=either, facing=text(f"{number} deg"), frame=either, focus=some, print=several(some), frames=text("[0-9]+"),
        place=several(clauses), row=several(row), **{"white-balance": text("[0-9]+ K")},
    )  # fmt: skip
    site = block(
        ["named", "position", "zone"], named=some, position=either, zone=some, ground={"enum": ["grass", "gravel", "sand", "paved"]},
        background=either, shade=several(either), hazard=several(either), elevation=length,
    )  # fmt: skip
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        **block(
            ["shootplan", "setup"],
            shootplan=share, title=some, date=text("[0-9]{4}-[0-9]{2}-[0-9]{2}"), site=site, meter=several(some),
            weather=block([], sky={"enum": ["clear", "hazy", "cloudy", "overcast"]}, wind=either, air=text(f"{number} [CF]")),
            people={"type": "object", "additionalProperties": either}, print=several(block(["named", "size"], named=some, size=some, viewed=some, at=some)),
            **dict.fromkeys(("camera", "lens", "light", "stand", "gel", "filter"), several(thing)), setup=several(setup), accept=several(clauses),
        ),
    }  # fmt: skip


def write_yaml(plan: Path, target: Path) -> None:
    import yaml

    class Dumper(yaml.SafeDumper):
        def increase_indent(self, flow: bool = False, indentless: bool = False) -> None:
            """Lists are indented, as people write them and yamllint asks for."""
            super().increase_indent(flow, False)

    document = read_one(decode(plan.read_bytes(), plan.name))
    if document.complaints:
        sys.exit("\n".join(map(str, document.complaints)))
    data = as_data(document.tree.lines)
    text = yaml.dump(data, Dumper=Dumper, sort_keys=False, allow_unicode=True, width=4096, default_flow_style=None)
    target.write_text(f"---\n{text}", "utf-8")


def imports(plan: Path) -> None:
    """Which share of a cold start is imports, by the outermost package."""
    command = [sys.executable, "-X", "importtime", "-m", "shootlint.commands.main", "check", "--no-cache", str(plan)]
    whole = subprocess.run(command, capture_output=True, text=True, check=False).stderr
    shares: dict[str, int] = defaultdict(int)
    for own, name in re.findall(r"import time:\s+(\d+) \|\s+\d+ \|\s+(\S+)", whole):
        top = name.partition(".")[0]
        shares[
            top if top in ("shootlint", "numpy", "pydantic", "pydantic_core", "lark", "astral", "zoneinfo") else "the rest"
        ] += int(own)
    total = sum(shares.values())
    alone = median(
        took(sys.executable, "-c", "import shootlint.checking.judge, shootlint.remedies.finding_mends") for _ in range(7)
    )
    bare = median(took(sys.executable, "-c", "") for _ in range(7))
    print(f"\nImports of a cold check: {total / 1000:.0f} ms as Python counts them, which slows them down")
    for name, share in sorted(shares.items(), key=lambda each: -each[1]):
        print(f"  {name:38} {share / 1000:9.2f} ms   {share / total:5.0%}")
    print(f"  bare interpreter {bare * 1000:.0f} ms; interpreter with all of these modules {alone * 1000:.0f} ms")


def run(rounds: int, plans: int) -> None:
    """One plan in a cold process, what of that is imports, and many plans in one process and in two."""
    shoot, lint = BIN / "shootlint", BIN / "yamllint"
    print(f"Measured: {Path(shootlint.__file__).parent}")
    with tempfile.TemporaryDirectory() as folder:
        here = Path(folder)
        os.environ["XDG_CACHE_HOME"] = str(here / "cache")
        plan, data, rules = here / "one.shoot", here / "one.yaml", here / "schema.json"
        script, config = here / "script.py", here / "yamllint.yaml"
        plan.write_text(one_file(), "utf-8")
        write_yaml(plan, data)
        rules.write_text(json.dumps(schema()), "utf-8")
        script.write_text(SCHEMA_SCRIPT, "utf-8")
        config.write_text("extends: default\nrules:\n  line-length: {max: 200}\n", "utf-8")
        print(
            f"One plan of {len(plan.read_text('utf-8').splitlines())} lines, as YAML {len(data.read_text('utf-8').splitlines())} lines"
        )
        compare(
            "One plan, a cold process",
            {
                "shootlint check": lambda: took(shoot, "check", "--no-cache", plan),
                "shootlint check, as it was before": lambda: took(shoot, "check", plan),
                "shootlint --help": lambda: took(shoot, "--help"),
                "check-jsonschema": lambda: took(BIN / "check-jsonschema", "--schemafile", rules, data),
                "PyYAML in C and jsonschema": lambda: took(sys.executable, script, rules, data),
                "yamllint": lambda: took(lint, "-c", config, data),
            },
            rounds,
        )
        imports(plan)
        many, texts = here / "many", here / "texts"
        many.mkdir()
        texts.mkdir()
        for number in range(plans):
            shutil.copy(plan, many / f"{number:04}.shoot")
            shutil.copy(data, texts / f"{number:04}.yaml")
        listed = sorted(texts.iterdir())
        for few_plans in (10, 20, 40, 80):
            few = here / f"few-{few_plans}"
            few.mkdir()
            for number in range(few_plans):
                shutil.copy(plan, few / f"{number:04}.shoot")

            def judged(jobs: int, few: Path = few) -> float:
                return took(shoot, "check", "--no-cache", "--jobs", str(jobs), few)

            compare(
                f"When a second process is worth its start: {few_plans} plans, for each",
                {"in 1 process": lambda judged=judged: judged(1), "in 2 processes": lambda judged=judged: judged(2)},
                max(rounds // 3, 1),
                few_plans,
            )
        compare(
            f"{plans} plans in one process unless told otherwise, for each",
            {
                "shootlint check": lambda: took(shoot, "check", "--no-cache", "--jobs", "1", many),
                "shootlint check in 2 processes": lambda: took(shoot, "check", "--no-cache", "--jobs", "2", many),
                "shootlint check, as they were before": lambda: took(shoot, "check", many),
                "PyYAML in C and jsonschema": lambda: took(sys.executable, script, rules, *listed),
                "yamllint": lambda: took(lint, "-c", config, texts),
            },
            max(rounds // 5, 1),
            plans,
        )
