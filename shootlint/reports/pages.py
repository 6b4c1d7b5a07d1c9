"""Pages of HTML from the templates beside this file: everything from a plan is escaped, and shown rather than sent where it
does not print. The templates can reach nothing but what they are given, and what they are not given is an error."""

from __future__ import annotations

from functools import cache
from typing import Any

from jinja2 import PackageLoader, StrictUndefined
from jinja2.sandbox import ImmutableSandboxedEnvironment

from shootlint.language.complaint import listed
from shootlint.reports.counting import plural
from shootlint.reports.sure import failing
from shootlint.reports.text import where
from shootlint.reports.unmended import unmended
from shootlint.reports.visible import visible


def page(template: str, **given: Any) -> str:
    """A page from a template of that name."""
    return _environment().get_template(template).render(given)


@cache
def _environment() -> ImmutableSandboxedEnvironment:
    environment = ImmutableSandboxedEnvironment(
        loader=PackageLoader("shootlint.reports"),
        autoescape=True,
        undefined=StrictUndefined,
        finalize=_shown,
        keep_trailing_newline=True,
    )
    environment.filters |= {
        "units": lambda number: f"{number:.1f}".removesuffix(".0"),
        "of": plural,
        "listed": lambda names: listed(list(names), "and"),
        "where": where,
        "failing": failing,
        "unmended": unmended,
    }
    return environment


def _shown(value: Any) -> Any:
    """What the templates themselves have made stands as it is; all other text is made visible and then escaped."""
    return visible(value) if type(value) is str else value
