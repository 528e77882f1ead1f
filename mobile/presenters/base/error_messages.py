"""What went wrong and what to do next, in the person's language."""

from mobile.i18n.localizer import Localizer
from shared_models.errors import BadEntry, BadQuantity, RowendError
from shared_models.fields.catalog import label_of
from shared_models.records.problems import is_rule


def in_words(localizer: Localizer, error: RowendError) -> str:
    """Put an error into words; fields are named by their labels."""
    if isinstance(error, BadQuantity):
        return _check(localizer, "", error.field)
    if not isinstance(error, BadEntry):
        return localizer.t_lazy(error.message)
    rules = [localizer.t_lazy(problem) for problem in error.problems.values() if is_rule(problem)]
    if not rules:
        return _check(localizer, error.kind, *error.problems)
    return localizer.t("This was not saved: {reason}. Correct it and save again.", reason="; ".join(rules))


def _check(localizer: Localizer, kind: str, *fields: str) -> str:
    labels = ", ".join(localizer.t(label_of(kind, field.partition(".")[0])) for field in fields)
    return localizer.t("This was not saved. Check: {fields}.", fields=labels)
