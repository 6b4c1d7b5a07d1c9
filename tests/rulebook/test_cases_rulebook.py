"""What a rule's own cases say where they do not come out as they should: which, what came of it, and what to write."""

from __future__ import annotations

import pytest

from shootlint.language.source import Source
from shootlint.rulebook.book import book_of
from shootlint.rulebook.cases import run_cases

RULE = """\
rule house.base-iso {
  title   "Large prints are shot at base ISO"
  level   warning
  for     SCOPE
  require REQUIRE
  say     "{setup} is at ISO {iso}"
  because "Grain shows on a wall."
  CASE
}
"""


@pytest.mark.parametrize(
    ("case", "scope", "require", "fault"),
    [
        (
            'fails "two-rows" with iso 100', "each setup", "iso <= 200",
            "it must fail, and `iso <= 200` holds, where it would say: All five is at ISO 100; "
            "change the example after `with` so that it does not, or write `holds`",
        ),
        (
            'holds "two-rows" with iso 800', "each setup", "iso <= 200",
            "it must hold, and it fails: All five is at ISO 800; "
            "change the example after `with` so that `iso <= 200` holds, or write `fails`",
        ),
        (
            'fails "two-rows"', "each person where glasses", "iso <= 50",
            "it must fail, and the example has nothing that the rule is for, each person where glasses; "
            "change the example after `with` so that it has",
        ),
        (
            'holds "two-rows" with iso 12 m', "each setup", "iso <= 200",
            "with this change the example reads as no plan; mend what stands after `with`: nothing more belongs here; delete m",
        ),
        (
            'holds "two-rowz"', "each setup", "iso <= 200",
            'no example plan is called "two-rowz", beside the rule file, in the folder examples beside it or among the shipped '
            'ones; did you mean "two-rows"?',
        ),
        (
            'holds "two-rows" with bag 2 kg', "each setup", "iso <= 200",
            "bag begins no line, it is said in `place`; write the line's own word after `with`, then a comma and bag",
        ),
        (
            'holds "two-rows" with apperture f/4', "each setup", "iso <= 200",
            "the example has no line that begins with apperture; did you mean aperture?",
        ),
    ],
)  # fmt: skip
def test_a_case_that_does_not_come_out_says_which_what_and_what_to_write(case, scope, require, fault):
    made = book_of([Source("house.rules", RULE.replace("CASE", case).replace("SCOPE", scope).replace("REQUIRE", require))])
    assert not made.complaints, [str(each) for each in made.complaints]
    (result,) = run_cases(made.rules["house.base-iso"], made)
    assert result.fault == f"{case}: {fault}"
