"""Labels of the phone's own words: what undo calls its repairs, and names that stand for unknown records."""

from collections.abc import Mapping

from mobile.log.late_end import FixKind
from shared_models.reports.common.references import NO_CREW, UNKNOWN_BED, UNKNOWN_CROP, UNKNOWN_PERSON

#: what undo calls them
SLOW_ROW_FIXES: Mapping[FixKind, str] = {
    FixKind.TRIM: "row ended as usual",
    FixKind.REST: "rest added",
    FixKind.SPLIT: "row made two",
}

#: what reports call that which has not arrived yet
UNKNOWN = frozenset({UNKNOWN_BED, UNKNOWN_CROP, UNKNOWN_PERSON, NO_CREW})
