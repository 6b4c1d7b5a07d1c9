"""The grammars hold no hidden choice, and the tables prepared from them are true and nothing but data."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

from shootlint.language import parsing, prepare_tables, tables
from shootlint.language.complaint import Complaints
from shootlint.language.parsing import GRAMMARS, build, load
from shootlint.language.source import Source
from shootlint.language.syntax import TreeBuilder, read_tree


@pytest.mark.parametrize("name", GRAMMARS)
def test_a_grammar_has_no_ambiguity(name):
    pytest.importorskip("interegular")
    assert build(name, strict=True).parse("a 1\n")


def test_the_tables_are_up_to_date():
    command = [sys.executable, "-P", "-m", prepare_tables.__name__, "--verify"]
    told = subprocess.run(command, capture_output=True, text=True, check=False)
    assert (told.returncode, told.stdout) == (0, "tables.py is up to date\n")


def test_tables_that_are_out_of_date_are_told(monkeypatch, capsys):
    monkeypatch.setenv("PYTHONHASHSEED", "0")
    monkeypatch.setattr(sys, "argv", ["prepare_tables", "--verify"])
    monkeypatch.setattr(prepare_tables, "tables_text", lambda: "other")
    assert prepare_tables.main() == 1
    assert "out of date" in capsys.readouterr().out


def test_the_tables_are_literals_only():
    module = ast.parse(Path(tables.__file__).read_text("utf-8"))
    values = {}
    for statement in module.body:
        match statement:
            case ast.Assign(targets=[ast.Name(id=name)], value=value) | ast.AnnAssign(target=ast.Name(id=name), value=value):
                values[name] = ast.literal_eval(value)
            case ast.Expr(value=ast.Constant()) | ast.ImportFrom(module="typing"):
                pass
            case _:
                pytest.fail(f"line {statement.lineno} is more than data")
    assert values == {"LARK_VERSION": tables.LARK_VERSION, "DIGESTS": tables.DIGESTS, "TABLES": tables.TABLES}


@pytest.mark.parametrize("name", GRAMMARS)
def test_tables_are_used_only_while_they_are_true(monkeypatch, name):
    built = []
    monkeypatch.setattr(parsing, "build", lambda *arguments: built.append(arguments))
    load(name)
    assert built == []
    monkeypatch.setitem(tables.DIGESTS, name, "another")
    load(name)
    assert built == [(name, None)]


def test_tables_of_another_version_of_the_parser_are_not_used(monkeypatch):
    built = []
    monkeypatch.setattr(parsing, "build", lambda *arguments: built.append(arguments))
    monkeypatch.setattr(tables, "LARK_VERSION", "0")
    load("plan")
    assert built == [("plan", None)]


def test_tables_and_grammar_read_the_same_tree(evening, belfry):
    fresh, prepared = build("plan", TreeBuilder()), load("plan", TreeBuilder())
    for text in (evening, belfry):
        assert fresh.parse(text) == prepared.parse(text)


def test_a_tree_keeps_the_place_of_every_word(evening):
    tree = read_tree(Source("test", evening), Complaints(), frozenset())
    lines, atoms = list(tree.lines), []
    while lines:
        line = lines.pop()
        atoms += [atom for clause in line.clauses for atom in clause]
        lines += line.block.lines if line.block else []
        if line.block:
            assert evening[line.block.start] + evening[line.block.end - 1] == "{}"
    assert len(atoms) > 240
    for atom in atoms:
        assert evening[atom.start : atom.end] == atom.text
