"""The trees prepared from the shipped rules are those of their files, and are used only while they are."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

from shootlint.language.source import Source
from shootlint.rulebook import prepare_trees, rule_files, trees
from shootlint.rulebook.rule_files import parse, shipped_files, shipped_sources, text_digest


def test_the_trees_are_up_to_date():
    command = [sys.executable, "-P", "-m", prepare_trees.__name__, "--verify"]
    told = subprocess.run(command, capture_output=True, text=True, check=False)
    assert (told.returncode, told.stdout) == (0, "trees.py is up to date\n")


def test_trees_that_are_out_of_date_are_told(monkeypatch, capsys):
    monkeypatch.setattr(sys, "argv", ["prepare_trees", "--verify"])
    monkeypatch.setattr(prepare_trees, "trees_text", lambda: "other")
    assert prepare_trees.main() == 1
    assert "out of date" in capsys.readouterr().out


def test_there_is_a_tree_for_each_shipped_file_and_it_is_what_the_parser_gives():
    assert len(trees.TREES) == len(shipped_sources()) > 80
    assert {text_digest(tree.source.text): tree.lines for tree in prepare_trees.sound_trees()} == trees.TREES


def test_the_trees_are_made_by_calls_of_classes_only():
    module = ast.parse(Path(trees.__file__).read_text("utf-8"))
    calls = {node.func.id for node in ast.walk(module) if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)}
    assert "Line" in calls
    assert all(isinstance(getattr(trees, name), type) for name in calls)
    allowed = (ast.Constant, ast.Call, ast.keyword, ast.Name, ast.Load, ast.Tuple, ast.List, ast.Dict, ast.expr_context, ast.Expr)
    allowed += (ast.Module, ast.Assign, ast.AnnAssign, ast.ImportFrom, ast.alias, ast.Subscript)
    assert {type(node) for node in ast.walk(module) if not isinstance(node, allowed)} == set()


def parsed(monkeypatch):
    """The names of the shipped files that are parsed when they are read anew."""
    found, real = [], rule_files.read_rule_tree

    def read(source, *rest):
        found.append(source.name)
        return real(source, *rest)

    monkeypatch.setattr(rule_files, "read_rule_tree", read)
    shipped_files.__wrapped__()
    return found


def test_no_shipped_file_is_parsed(monkeypatch):
    assert parsed(monkeypatch) == []


def test_a_file_whose_text_is_another_is_parsed(monkeypatch):
    first, *others = shipped_sources()
    changed = Source(first.name, first.text + "\n# changed\n")
    monkeypatch.setattr(rule_files, "shipped_sources", lambda: [changed, *others])
    assert parsed(monkeypatch) == [first.name]


def test_trees_of_another_grammar_are_not_used(monkeypatch):
    monkeypatch.setattr(trees, "GRAMMAR", "another")
    assert len(parsed(monkeypatch)) == len(shipped_sources())


@pytest.mark.parametrize("place", range(0, 88, 8))
def test_a_prepared_tree_is_read_as_the_text_is(place):
    source = shipped_sources()[place]
    (prepared,) = (each for each, _ in shipped_files() if each.source.name == source.name)
    assert repr(prepared.file) == repr(parse(source).file)
    assert prepared.complaints == []
