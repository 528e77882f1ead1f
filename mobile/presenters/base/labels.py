"""Labels of the phone's own words: what undo calls its repairs, and names that stand for unknown records."""

from collections.abc import Mapping

from mobile.i18n.localizer import Localizer
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


def name_of(localizer: Localizer, name: str) -> str:
    """A bed's or crop's name; that of one which is not known, in the phone's language."""
    return localizer.t(name) if name in UNKNOWN else name
