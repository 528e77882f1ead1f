"""What the outside checks found, case by case, put together by source; and whether that is what is committed."""

import re
from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from shared_models.methods import Check

#: A deviation below this is the arithmetic of a double.
EXACT = 1e-9
#: How much the nearest case of a source may move between machines and library versions, as a share of its tolerance.
JITTER = 0.1

#: How a figure was obtained: the word for it, and what a source says then.
OBTAINED = {
    "seen": r"\bseen\b",
    "quoted": r"\bquoted\b",
    "computed": r"\bcomputed\b",
    "worked out": r"by hand|arithmetic|\(exact\)",
    "from memory": r"from memory",
    "common practice": r"common practice",
}


class Case(NamedTuple):
    """One figure that was compared."""

    subject: str
    source: str
    modules: tuple[str, ...]
    deviation: float
    tolerance: float


def how_obtained(source: str) -> str:
    """How the figures of a source were obtained; empty when the source does not say so."""
    return ", ".join(method for method, pattern in OBTAINED.items() if re.search(pattern, source))


def put_together(cases: Iterable[Case]) -> tuple[Check, ...]:
    """One check for each source of each subject and the modules it was held against, in their order."""
    alike = defaultdict[tuple[str, str, tuple[str, ...]], list[Case]](list)
    for case in cases:
        alike[case.subject, case.source, case.modules].append(case)
    return tuple(_check(alike[key]) for key in sorted(alike))


def differences(committed: Iterable[Check], found: Iterable[Check]) -> list[str]:
    """Each check that is committed otherwise than it was found now, with what differs."""
    old, new = ({_name(check): check for check in checks} for checks in (committed, found))
    lost = [f"{name} is not checked any more" for name in old if name not in new]
    changed = [_changed(name, old[name], check) if name in old else f"{name} is new" for name, check in new.items()]
    return lost + [line for line in changed if line]


def _check(cases: Sequence[Case]) -> Check:
    nearest = max(cases, key=lambda case: (_share(case), case.tolerance))
    return Check(
        subject=nearest.subject,
        source=nearest.source,
        obtained=how_obtained(nearest.source),
        modules=nearest.modules,
        cases=len(cases),
        deviation=_two_digits(nearest.deviation) if _share(nearest) else 0.0,
        tolerance=_two_digits(nearest.tolerance),
    )


def _name(check: Check) -> str:
    return f"{check.subject}: {check.source}, for {', '.join(check.modules)},"


def _share(case: Case | Check) -> float:
    """The deviation as a share of the tolerance."""
    return 0.0 if case.deviation < EXACT else case.deviation / case.tolerance


def _two_digits(figure: float) -> float:
    return float(f"{figure:.1e}")


def _changed(name: str, old: Check, new: Check) -> str:
    if (old.cases, old.obtained) != (new.cases, new.obtained):
        return f"{name} has {new.cases} cases ({new.obtained}), not {old.cases} ({old.obtained})"
    if abs(_share(old) - _share(new)) > JITTER:
        return f"{name} is off by {new.deviation:g}, not {old.deviation:g}"
    return ""
