"""Base of the JSON models: read from the records of a report by the names of their attributes."""

from typing import Annotated, Any

from pydantic import AfterValidator, AliasPath, BaseModel, ConfigDict, Field

from shared_models.core.units import mm_to_feet

#: read from a length in millimeters
Feet = Annotated[float, AfterValidator(mm_to_feet)]


class ReadFromReport(BaseModel):
    """JSON that `model_validate` makes from a record of a report.

    A field is read from the attribute of its name, or along the path of `attribute`.
    """

    model_config = ConfigDict(from_attributes=True, json_schema_serialization_defaults_required=True)


def attribute(path: str, description: str | None = None, default: Any = ...) -> Any:
    """A field that is read along a path of attributes; a default stands in where one of them is None."""
    parts = [int(part) if part.isdigit() else part for part in path.split(".")]
    return Field(default, validation_alias=AliasPath(*parts), description=description)  # type: ignore[arg-type]  # the first is a name
