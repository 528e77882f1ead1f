"""Labels of the phone's own words: what undo calls its repairs, and names that stand for unknown records."""

from __future__ import annotations

from collections.abc import Mapping

from mobile.log.late_end import Way
from shared_models.reports.common.references import NOBODY_NAMED, UNKNOWN_BED, UNKNOWN_CROP, UNKNOWN_PERSON

#: what undo calls them
MENDINGS: Mapping[Way, str] = {
    Way.TRIM: "row ended as usual",
    Way.REST: "rest added",
    Way.SPLIT: "row made two",
}

#: what reports call that which has not arrived yet
UNKNOWN = frozenset({UNKNOWN_BED, UNKNOWN_CROP, UNKNOWN_PERSON, NOBODY_NAMED})
