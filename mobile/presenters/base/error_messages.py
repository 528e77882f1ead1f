"""What went wrong and what to do next, in the person's language."""

from math import isfinite

from mobile.i18n.localizer import Localizer
from shared_models.errors import BadEntry, BadQuantity, RowendError
from shared_models.fields.catalog import Field, fields_of, label_of
from shared_models.lazy_message import LazyMessage
from shared_models.records.problems import is_rule

#: pydantic's error types of a number out of its bounds
_OUT_OF_BOUNDS = {"greater_than", "greater_than_equal", "less_than", "less_than_equal"}


def in_words(localizer: Localizer, error: RowendError) -> str:
    """Put an error into words; fields are named by their labels."""
    if isinstance(error, BadQuantity):
        return _check(localizer, "", error.field)
    if not isinstance(error, BadEntry):
        return localizer.t_lazy(error.message)
    reasons = [
        text for name, problem in error.problems.items() if (text := _reason(localizer, error.kind, name, problem))
    ]
    if not reasons:
        return _check(localizer, error.kind, *error.problems)
    return localizer.t("This was not saved: {reason}. Correct it and save again.", reason="; ".join(reasons))


def _reason(localizer: Localizer, kind: str, name: str, problem: LazyMessage) -> str:
    """What is wrong with a field, where there is more to say than its name."""
    if is_rule(problem):
        return localizer.t_lazy(problem)
    field = fields_of(kind).get(name)
    if problem.code in _OUT_OF_BOUNDS and field is not None and isfinite(field.low) and isfinite(field.high):
        return _bounds(localizer, field)
    return ""


def _bounds(localizer: Localizer, field: Field) -> str:
    """Which numbers a field takes, in the person's unit."""
    low, high = field.quantity.shown_bounds(field.low, field.high, localizer)
    most = field.quantity.with_unit(high, 1, localizer)
    if field.above:
        return localizer.t("{field} must be more than 0 and at most {high}", field=localizer.t(field.label), high=most)
    return localizer.t(
        "{field} must be {low} to {high}", field=localizer.t(field.label), low=localizer.number(low, 1), high=most
    )


def _check(localizer: Localizer, kind: str, *fields: str) -> str:
    labels = ", ".join(localizer.t(label_of(kind, field.partition(".")[0])) for field in fields)
    return localizer.t("This was not saved. Check: {fields}.", fields=labels)
