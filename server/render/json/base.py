"""How a record of a report becomes JSON where both have the same fields: it is read by their names."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict


class ReadFromReport(BaseModel):
    """JSON that `model_validate` makes from a record of a report."""

    model_config = ConfigDict(from_attributes=True)
