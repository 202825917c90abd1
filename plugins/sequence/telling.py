"""What the audit of the survey's own plan comes to, as findings."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from listel.core.contract.findings import PRACTICE, Finding, Grounds, Input, Weight, Where
from listel.core.contract.rules import load_rules
from listel.core.contract.tables import load_table
from listel.plugins.sequence.results import Audit, Harmful, JobStep

RULES = load_rules(__package__)


def audit_findings(audit: Audit, steps: Sequence[JobStep]) -> Iterator[Finding]:
    """What the audit of the survey's own plan comes to, in one finding; the order of work lists what it found."""
    for harm in audit.harmful:
        yield _harm_told(harm)
    weights = [*(missed.weight for missed in audit.missed), *(pair.weight for pair in audit.out_of_order)]
    refused = sum(1 for missed in audit.missed if missed.text)
    on_purpose = f", {refused} of them on purpose," if refused else ""
    found = [
        _told(len(audit.missed), f"leaves out {{}}{on_purpose} that this job needs", "step"),
        _told(len(audit.out_of_order), "has {} the wrong way round", "pair of steps", "pairs of steps"),
        _told(len(audit.too_soon), "cuts {} short", "wait"),
        _told(len(audit.not_recognised), "has {} that could not be read", "clause"),
        _told(len(audit.differs), "works otherwise than the statement in {}", "clause"),
    ]
    faults = [fault for fault in found if fault]
    if not faults:
        return
    says = f"The plan in the survey {_joined(faults)}."
    inputs = (Input("steps this job needs", float(len(steps))), Input("clauses read", float(len(audit.recognised))))
    looked_for = "each step is looked for in the plan, after all that it rests on and once that is dry"
    weight: Weight = "caution" if audit.too_soon or "hold" in weights else "advice"
    mend = "Mend the plan by the list under Order of work."
    grounds = Grounds(inputs, looked_for, sources=(PRACTICE,))
    line = audit.recognised[0].line if audit.recognised else 0
    yield RULES["plan-differs"].told(weight, says, Where(line=line), grounds, mend, "records, what is done already")


def _harm_told(harm: Harmful) -> Finding:
    row = load_table(__package__, "methods").row(harm.method)
    weight: Weight = "hold" if harm.weight == "hold" else "caution"
    says = f"The plan says \u201c{harm.text}\u201d: {harm.because}."
    grounds = Grounds(formula="a way of working that the plan names", result=row["words"], sources=row.sources)
    return RULES["plan-does-harm"].told(weight, says, Where(line=harm.line), grounds, "Write another way of working.")


def _told(number: int, says: str, one: str, many: str = "") -> str:
    if not number:
        return ""
    return says.format(f"{number} {one if number == 1 else many or f'{one}s'}")


def _joined(parts: Sequence[str]) -> str:
    return ", ".join(parts[:-1]) + (" and " if len(parts) > 1 else "") + parts[-1]
