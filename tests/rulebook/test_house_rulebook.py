"""A house's own rule files: what they take in, adjust, level, retire and add, and what is said when they cannot."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from shootlint.checking.judge import Judge
from shootlint.language.source import Source, Unreadable, read_source
from shootlint.rulebook import book as books
from shootlint.rulebook.book import Book, book_of, shipped_book
from shootlint.rulebook.house import house_file

OWN = """rule house.base-iso {
  title   "Large prints are shot at base ISO"
  level   warning
  for     each setup where print-width >= 60 cm
  require iso <= 200
  say     "{setup} is at ISO {iso}"
  because "The studio's wall prints are sold with a grain guarantee."
  remedy  iso
}
"""


def made(folder: Path, text: str, **files: str) -> Book:
    """The book of a house file with other rule files beside it; a double underscore stands for a slash."""
    for name, content in files.items():
        path = folder / f"{name.replace('__', '/')}.rules"
        path.parent.mkdir(exist_ok=True, parents=True)
        path.write_text(content, encoding="utf-8")
    path = folder / "house.rules"
    path.write_text(text, encoding="utf-8")
    return book_of([read_source(path, "house.rules")])


def told(book: Book) -> list[tuple[str, str]]:
    """What each complaint marks and says."""
    return [(each.place.text, each.message) for each in book.complaints]


def test_the_example_of_the_language_page(tmp_path):
    book = made(
        tmp_path,
        'rulebook "Studio house style"\nuse shipped\nadjust focus.person-soft { allowance 100 % }\nlevel  light.uneven error\n'
        'retire posing.heads-stacked because "we like a peak"\n' + OWN,
    )
    assert not book.complaints
    assert book.title == "Studio house style"
    assert set(book.rules) == set(shipped_book().rules) - {"posing.heads-stacked"} | {"house.base-iso"}
    assert book.retired == {"posing.heads-stacked": "we like a peak"}
    assert book.rules["focus.person-soft"].sets["allowance"].value == 1.0
    assert book.rules["focus.person-soft"].origin == ("allowance 100 % in house.rules:3",)
    assert book.rules["light.uneven"].level == "error"
    assert book.rules["light.uneven"].origin == ("level error in house.rules:4",)
    assert list(book.rules) == sorted(book.rules)
    # The shipped rules themselves stay as they are.
    assert shipped_book().rules["focus.person-soft"].sets["allowance"].value == 1.25
    assert shipped_book().rules["light.uneven"].level == "warning"


def test_without_use_there_are_only_the_houses_own_rules(tmp_path):
    book = made(tmp_path, OWN)
    assert list(book.rules) == ["house.base-iso"] and not book.cautions


def test_cautions_come_with_the_shipped_rules(tmp_path):
    assert set(made(tmp_path, "use shipped\n").cautions) == set(shipped_book().cautions) != set()


@pytest.mark.parametrize(
    ("line", "marked", "message"),
    [
        ("adjust focus.person-sof { allowance 1 % }", "focus.person-sof", "no rule is called focus.person-sof; did you mean focus.person-soft?"),
        ("adjust focus.person-soft { allowanze 1 % }", "allowanze", "focus.person-soft sets no value called allowanze; did you mean allowance?"),
        ("adjust sun.on-faces { most 3 }", "most", "sun.on-faces sets no value called most; it sets none"),
        ("adjust focus.person-soft { allowance 3 mm }", "3 mm", "allowance is a plain number, and 3 mm is length; write it as 125 % is written"),
        ("adjust light.uneven { most 1 EV }", "1 EV", "most is stops, and 1 EV is exposure; write it as 0.5 stops is written"),
        ("adjust light.uneven { most 1 furlong }", "furlong", "furlong is not a unit"),
        ("adjust light.uneven { most }", None, None),
        ("level light.unevn error", "light.unevn", "no rule is called light.unevn; did you mean light.uneven?"),
        ("level light.uneven dreadful", "dreadful", "expected error, warning or note, not dreadful"),
        ('retire light.unevn because "x"', "light.unevn", "no rule is called light.unevn; did you mean light.uneven?"),
        ("retire light.uneven", None, None),
        ('retire light.uneven because "x"\nretire light.uneven because "y"', "light.uneven", "no rule is called light.uneven any more; it was retired before"),
        ("use shippped", None, None),
        ("use", "use", 'use takes `shipped` or the name of a rule file, such as use "studio.rules"'),
        ('use "nothing.rules"', '"nothing.rules"', "the rule file cannot be used: there is no such file"),
        ('use "../outside.rules"', '"../outside.rules"', "the rule file lies outside this folder; move it inside"),
        ('use "house.rules"', '"house.rules"', "the rule files use each other in a circle"),
        ('use "folder"', '"folder"', "the rule file cannot be used: this is a folder, not a file"),
    ],
)  # fmt: skip
def test_what_is_wrong_in_a_house_file(tmp_path, line, marked, message):
    (tmp_path / "inner" / "folder").mkdir(parents=True)
    (tmp_path / "outside.rules").write_text(OWN, encoding="utf-8")
    book = made(tmp_path / "inner", f"use shipped\n{line}\n")
    assert len(book.complaints) == 1, told(book)
    assert book.complaints[0].place.line == 2 + line.count("\n") and book.complaints[0].place.source.name == "house.rules"
    if message is not None:
        assert told(book) == [(marked, message)]
    # What is sound stays in force.
    assert len(book.rules) >= len(shipped_book().rules) - 1


def test_other_rule_files(tmp_path):
    book = made(tmp_path, 'use shipped\nuse "sub/own.rules"\nlevel house.base-iso note\n', sub__own=OWN)
    assert not book.complaints
    assert book.rules["house.base-iso"].level == "note"
    assert book.files == ["house.rules", "sub/own.rules"]


def test_a_used_file_is_called_after_the_one_that_names_it(tmp_path, monkeypatch):
    # From where the call is made, so that an editor finds the place of a mistake in it.
    monkeypatch.chdir(tmp_path)
    (tmp_path / "plans" / "sub").mkdir(parents=True)
    (tmp_path / "plans" / "house.rules").write_text('use "sub/first.rules"\n')
    (tmp_path / "plans" / "sub" / "first.rules").write_text('use "second.rules"\n')
    (tmp_path / "plans" / "sub" / "second.rules").write_text("rule {\n")
    house = Path("plans/house.rules")
    book = book_of([read_source(house, str(house))])
    assert {each.place.source.name for each in book.complaints} == {os.path.join("plans", "sub", "second.rules")}


def test_a_file_used_twice_is_read_once(tmp_path):
    book = made(
        tmp_path, 'use "a.rules"\nuse "b.rules"\nuse "own.rules"\n', a='use "own.rules"\n', b='use "own.rules"\n', own=OWN
    )
    assert not book.complaints and list(book.rules) == ["house.base-iso"]
    assert book.files == ["house.rules", "a.rules", "own.rules", "b.rules"]


def test_files_that_use_each_other(tmp_path):
    book = made(tmp_path, 'use "a.rules"\n', a='use "b.rules"\n', b='use "a.rules"\n' + OWN)
    assert told(book) == [('"a.rules"', "the rule files use each other in a circle")]
    assert book.complaints[0].place.source.name == "b.rules"
    assert list(book.rules) == ["house.base-iso"]


def test_a_chain_of_files_has_an_end(tmp_path, monkeypatch):
    monkeypatch.setattr(books, "MOST_FILES", 5)
    chain = {f"f{place}": f'use "f{place + 1}.rules"\n' for place in range(9)}
    book = made(tmp_path, 'use "f0.rules"\n', **chain)
    assert [each.message for each in book.complaints] == ["more than 5 rule files are used"]


def test_a_used_file_that_is_broken_is_told_where_it_is(tmp_path):
    book = made(tmp_path, 'use "own.rules"\n', own=OWN.replace("iso <= 200", "isoo <= 200"))
    assert told(book) == [("isoo", "no reading is called isoo; did you mean iso?")]
    assert book.complaints[0].place.source.name == "own.rules"


def test_shipped_rules_are_taken_once_however_often_they_are_used(tmp_path):
    book = made(tmp_path, 'use shipped\nuse "own.rules"\nuse shipped\n', own="use shipped\n" + OWN)
    assert not book.complaints
    assert set(book.rules) == {*shipped_book().rules, "house.base-iso"}


def test_a_rule_named_twice(tmp_path):
    book = made(tmp_path, OWN + OWN.replace("iso <= 200", "iso <= 800"))
    assert told(book) == [("house.base-iso", "rule house.base-iso is declared twice; the first is at house.rules:1")]
    assert book.complaints[0].place.line == 10
    assert book.rules["house.base-iso"].require.text == "iso <= 200", "the first one counts"
    book = made(tmp_path, "use shipped\n" + OWN.replace("house.base-iso", "light.uneven"))
    assert [each.message for each in book.complaints] == [
        "rule light.uneven is declared twice; the first is at rules/light/uneven.rules:1"
    ]


def test_a_caution_named_twice(tmp_path):
    caution = 'caution house.dog { when lights-used > 0; say "Mind the dog." }\n'
    book = made(tmp_path, caution + caution)
    assert [each.message for each in book.complaints] == ["house.dog is declared twice"] and list(book.cautions) == ["house.dog"]


def test_a_caution_is_checked_as_a_rule_is(tmp_path):
    book = made(tmp_path, 'caution house.dog { when lights-usd > 0; say "Mind the dog." }\n')
    assert told(book) == [("lights-usd", "no reading is called lights-usd; did you mean lights-used?")] and not book.cautions


# --- which file applies


def test_the_nearest_house_file_applies(tmp_path):
    (tmp_path / ".git").mkdir()
    plan = tmp_path / "one" / "two" / "plan.shoot"
    plan.parent.mkdir(parents=True)
    assert house_file(plan) is None
    top = tmp_path / "house.rules"
    top.write_text(OWN, encoding="utf-8")
    assert house_file(plan) == top
    near = tmp_path / "one" / "house.rules"
    near.write_text(OWN, encoding="utf-8")
    assert house_file(plan) == near
    near.unlink()
    near.mkdir()
    assert house_file(plan) == top, "a folder of that name is no file"


def test_a_house_file_above_the_repository_does_not_apply(tmp_path):
    (tmp_path / "house.rules").write_text(OWN, encoding="utf-8")
    (tmp_path / "repository" / ".git").mkdir(parents=True)
    assert house_file(tmp_path / "repository" / "plan.shoot") is None


# --- several files named on the command line


def named(folder: Path, *texts: str) -> Book:
    sources = []
    for place, text in enumerate(texts):
        path = folder / f"rules{place}" / "named.rules"
        path.parent.mkdir(exist_ok=True)
        path.write_text(text, encoding="utf-8")
        sources.append(read_source(path, f"rules{place}/named.rules"))
    return book_of(sources)


def test_of_several_named_files_the_later_has_the_last_word(tmp_path):
    book = named(tmp_path, "use shipped\nlevel light.uneven note\n", "level light.uneven error\n" + OWN)
    assert not book.complaints
    assert book.rules["light.uneven"].level == "error" and "house.base-iso" in book.rules
    assert book.rules["light.uneven"].origin == ("level note in rules0/named.rules:2", "level error in rules1/named.rules:1")


def test_each_of_several_named_files_may_use_the_shipped_rules(tmp_path):
    book = named(tmp_path, "use shipped\n", "use shipped\nadjust light.uneven { most 1 stops }\n")
    assert not book.complaints
    assert book.rules["light.uneven"].sets["most"].value == 1


def test_a_retired_rule_stays_retired_for_the_files_after(tmp_path):
    book = named(tmp_path, 'use shipped\nretire light.uneven because "x"\n', "use shipped\nlevel light.uneven error\n")
    assert [each.message for each in book.complaints] == ["no rule is called light.uneven any more; it was retired before"]
    assert "light.uneven" not in book.rules


def test_the_same_file_named_twice_counts_once(tmp_path):
    path = tmp_path / "own.rules"
    path.write_text(OWN, encoding="utf-8")
    book = book_of([read_source(path, "own.rules"), read_source(path, "./own.rules")])
    assert not book.complaints and list(book.rules) == ["house.base-iso"]


def test_each_named_file_uses_files_beside_itself(tmp_path):
    (tmp_path / "rules1").mkdir()
    (tmp_path / "rules1" / "own.rules").write_text(OWN, encoding="utf-8")
    book = named(tmp_path, "use shipped\n", 'use "own.rules"\n')
    assert not book.complaints and "house.base-iso" in book.rules


def test_text_that_is_no_file_uses_no_files():
    book = book_of([Source("standard input", 'use shipped\nuse "own.rules"\n')])
    assert [each.message for each in book.complaints] == ["standard input cannot use other rule files"]
    assert set(book.rules) == set(shipped_book().rules)


def test_a_named_file_that_is_no_text(tmp_path):
    path = tmp_path / "own.rules"
    path.write_bytes(b"\xff\xfe\0")
    with pytest.raises(Unreadable, match="not text"):
        Judge([str(path)])
    with pytest.raises(Unreadable, match="no such file"):
        Judge([str(tmp_path / "none.rules")])


def test_a_lever_that_does_not_exist_is_told(tmp_path):
    path = tmp_path / "own.rules"
    path.write_text(OWN.replace("remedy  iso", "remedy  izo"), encoding="utf-8")
    _, complaints = Judge([str(path)]).book_for(Source("plan.shoot", ""))
    assert [(each.place.text, each.message) for each in complaints] == [("izo", "no lever is called izo; did you mean iso?")]
