"""What to say of a finding for which no mend is offered."""

from __future__ import annotations

from shootlint.language.complaint import listed
from shootlint.reports.records import FindingRecord


def unmended(finding: FindingRecord) -> str:
    """Why no mend stands with a finding, and where to look; empty where its rule names nothing that could be turned."""
    words = listed(finding.remedy)
    if finding.mends or not words:
        return ""
    if finding.setup is None:
        # For a rule over the whole plan no mend is looked for, so it must not be said that there is none.
        return f"mended by {words}"
    if not finding.searched:
        return f"may be mended by {words}; single changes were tried for worse findings only, see shootlint mend"
    return f"no single change of {words} mends this and breaks nothing else; see shootlint mend"
