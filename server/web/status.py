"""The HTTP status of each class of error."""

from http import HTTPStatus

from shared_models.errors import (
    BadBody,
    BadEntry,
    BadQuantity,
    OverLimit,
    Refused,
    RowendError,
    StorageError,
    TooLarge,
    TooManyTries,
    UnknownRecord,
    WrongMoment,
    WrongSecret,
)

STATUS: dict[type[RowendError], HTTPStatus] = {
    RowendError: HTTPStatus.INTERNAL_SERVER_ERROR,
    BadQuantity: HTTPStatus.UNPROCESSABLE_ENTITY,
    BadEntry: HTTPStatus.UNPROCESSABLE_ENTITY,
    WrongMoment: HTTPStatus.CONFLICT,
    UnknownRecord: HTTPStatus.NOT_FOUND,
    BadBody: HTTPStatus.BAD_REQUEST,
    TooLarge: HTTPStatus.REQUEST_ENTITY_TOO_LARGE,
    Refused: HTTPStatus.FORBIDDEN,
    WrongSecret: HTTPStatus.UNAUTHORIZED,
    TooManyTries: HTTPStatus.TOO_MANY_REQUESTS,
    OverLimit: HTTPStatus.TOO_MANY_REQUESTS,
    StorageError: HTTPStatus.SERVICE_UNAVAILABLE,
}
"""By class; a class that is not listed has the status of its base."""


def status_of(error: RowendError) -> HTTPStatus:
    """Find the status of an error by the nearest class in `STATUS`."""
    return next(STATUS[kind] for kind in type(error).__mro__ if kind in STATUS)
