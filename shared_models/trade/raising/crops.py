"""What is a crop's standard name, however the farm spells it?"""

import re
from collections.abc import Mapping
from types import MappingProxyType

#: What growers say -> the name the tables print. Common practice, no source.
_ALSO_CALLED: Mapping[str, str] = MappingProxyType(
    {
        "head lettuce": "lettuce",
        "leaf lettuce": "lettuce",
        "bulb onion": "onion",
        "bunching onion": "scallion",
        "green onion": "scallion",
        "spring onion": "scallion",
        "scallions": "scallion",
        "onions": "onion",
        "leeks": "leek",
        "beets": "beet",
        "carrots": "carrot",
        "chard": "chard, swiss",
        "muskmelon": "melon",
        "cantaloupe": "melon",
        "snap bean": "bean, garden",
    }
)


def crop_key(crop: str) -> str:
    """Name to look a crop up by: word order, commas and capitals do not matter, and a few everyday names are known.

    Formula: the lower-case words in alphabetical order ("Chard, Swiss" and "Swiss chard" are one crop).
    Units: none.
    Source: common practice, no source.
    """
    key = _words_in_order(crop)
    return _ALIASES.get(key, key)


def _words_in_order(name: str) -> str:
    return " ".join(sorted(re.findall(r"[\w-]+", name.casefold())))


_ALIASES = {_words_in_order(text): _words_in_order(printed) for text, printed in _ALSO_CALLED.items()}
