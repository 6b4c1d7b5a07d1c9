"""The rules of a SARIF log: as their files have them, and as houses have them in force, which are SARIF's policies."""

from __future__ import annotations

from typing import Any

from shootlint.language.complaint import listed
from shootlint.reports.literal import literal
from shootlint.reports.records import FindingRecord
from shootlint.reports.rule_records import InForceRecord, RulebookRecord, RuleRecord
from shootlint.reports.sarif_parts import doubled, pascal, plain_text, sentence

MISTAKE, NOT_JUDGED = "plan.mistake", "plan.not-judged"
UNREADABLE, WRONG_RULES, RULES_NOTE = "file.unreadable", "rules.mistake", "rules.note"


def _own(name: str, level: str, title: str, because: str) -> RuleRecord:
    return RuleRecord(name, title, level, "each file", "", because, None, (), (), (), "")


_OWN_RULES = (
    _own(
        MISTAKE,
        "error",
        "A plan or a kit has a mistake",
        "What a mistake touches is not judged, so that nothing can be said of it until it is mended.",
    ),
    _own(
        NOT_JUDGED,
        "note",
        "A setup, or a whole file, was not judged",
        "A setup with a mistake in it or in what it names is left out, and a kit has none.",
    ),
)
_OWN_NOTIFICATIONS = (
    _own(UNREADABLE, "error", "A file could not be read", "What is in it was not looked at, and the run is not complete."),
    _own(
        WRONG_RULES,
        "error",
        "A rule file has a mistake",
        "What it says of the rules there is not in force, so that verdicts may be others than the house wants.",
    ),
    _own(RULES_NOTE, "note", "A rule file might say something better", "It works as it stands."),
)


class Rules:
    """The descriptors of all rules that a log speaks of, and the houses' policies."""

    def __init__(self) -> None:
        self._at: dict[RuleRecord, int] = {}
        self._books: dict[RulebookRecord, tuple[dict[str, int], str | None]] = {}
        self.descriptors: list[dict[str, Any]] = []
        self.policies: list[dict[str, Any]] = []
        self._own = {rule.name: self._index(rule) for rule in _OWN_RULES}

    def take(self, book: RulebookRecord) -> str | None:
        """Takes in the rules of a rulebook; returns the name of its policy, or None where it takes them as shipped."""
        if book not in self._books:
            places = {each.rule.name: self._index(each.rule) for each in book.rules}
            policy = _policy(book)
            if policy is not None:
                self.policies.append(policy)
            self._books[book] = places, policy["name"] if policy is not None else None
        return self._books[book][1]

    def of(self, name: str, book: RulebookRecord | None, finding: FindingRecord | None = None) -> dict[str, Any]:
        """The reference to a rule, by name and by its place: two houses may each have their own of one name."""
        places = self._books[book][0] if book is not None else {}
        place = places.get(name, self._own.get(name))
        if place is None:
            place = next((at for rule, at in self._at.items() if rule.name == name), None)
        if place is None:
            place = self._index(_of_finding(finding) if finding is not None else _unknown(name))
        return {"ruleId": name, "ruleIndex": place}

    def _index(self, rule: RuleRecord) -> int:
        if rule not in self._at:
            self._at[rule] = len(self.descriptors)
            self.descriptors.append(descriptor(rule))
        return self._at[rule]


def _of_finding(finding: FindingRecord) -> RuleRecord:
    """What a finding tells of its rule."""
    return RuleRecord(
        finding.rule, finding.title, finding.level, "", "", finding.because, finding.source, finding.remedy, finding.formerly, (), ""
    )  # fmt: skip


def _unknown(name: str) -> RuleRecord:
    return _own(name, "warning", name, "A rule of an earlier report, which is not in force any more.")


def descriptor(rule: RuleRecord) -> dict[str, Any]:
    """A rule as a reportingDescriptor (3.49), as its file has it."""
    parameters = {"parameters": dict(rule.values)} if rule.values else {}
    return {
        "id": rule.name,
        "name": pascal(rule.name),
        "shortDescription": {"text": plain_text(sentence(rule.title))},
        "fullDescription": {"text": plain_text(sentence(rule.title, rule.because))},
        "help": {"text": plain_text(_help(rule)), "markdown": _help_in_markdown(rule)},
        "defaultConfiguration": {"level": rule.level, **parameters},
        **({"deprecatedIds": list(rule.formerly)} if rule.formerly else {}),
        "properties": {"tags": [rule.name.partition(".")[0]], **({"file": rule.file} if rule.file else {})},
    }


def _help(rule: RuleRecord) -> str:
    return " ".join(f"{name}{': ' if name else ''}{sentence(text)}" for name, text in _facts(rule))


def _help_in_markdown(rule: RuleRecord) -> str:
    facts = [f"{f'**{name}:** ' if name else ''}{doubled(literal(sentence(text)))}" for name, text in _facts(rule)]
    return "\n\n".join(facts)


def _facts(rule: RuleRecord) -> list[tuple[str, str]]:
    facts = {
        "": rule.because,
        "Requires": f"{rule.requires}, for {rule.scope}" if rule.requires else "",
        "With": ", ".join(f"{name} {value}" for name, value in rule.values),
        "Mended by": listed(rule.remedy),
        "Source": rule.source or "",
    }
    return [(name, fact) for name, fact in facts.items() if fact]


NOTIFICATIONS = [descriptor(each) for each in _OWN_NOTIFICATIONS]
_NOTIFICATION_AT = {each.name: place for place, each in enumerate(_OWN_NOTIFICATIONS)}


def notification(name: str) -> dict[str, Any]:
    """What a notification begins with: which one it is, and how bad."""
    place = _NOTIFICATION_AT[name]
    return {"descriptor": {"id": name, "index": place}, "level": _OWN_NOTIFICATIONS[place].level}


def _policy(book: RulebookRecord) -> dict[str, Any] | None:
    """What a house makes of the rules (3.19.5); None where that is nothing."""
    rules = [_configured(each) for each in book.rules if each.origin or each.retired is not None or not each.is_shipped]
    if not rules:
        return None
    return {"name": book.title or listed(book.files, "and") or "house style", "rules": rules}


def _configured(each: InForceRecord) -> dict[str, Any]:
    configuration: dict[str, Any] = {"enabled": each.retired is None, "level": each.level}
    if each.values:
        configuration["parameters"] = dict(each.values)
    origin = [*each.origin, *([f"retired because {each.retired}"] if each.retired is not None else [])]
    return {"id": each.rule.name, "defaultConfiguration": configuration, **({"properties": {"origin": origin}} if origin else {})}
