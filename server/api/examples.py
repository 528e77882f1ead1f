"""Example requests and answers for OpenAPI, from examples.json: a bed of an invented farm."""

import json
from importlib.resources import files
from typing import Any

EXAMPLES: dict[str, Any] = json.loads(files(__package__).joinpath("examples.json").read_text("utf-8"))


def example_answer(name: str, media_type: str = "application/json") -> dict[int | str, dict[str, Any]]:
    """The `responses` of a route whose 200 answer is this example."""
    return {200: {"content": {media_type: {"example": EXAMPLES[name]}}}}
