"""How people write in the countries that we serve, from Unicode's CLDR by way of Babel.

`python -m tests.shared_models.i18n.cldr` writes the table of shared_models/i18n anew.
"""

import json
import re
from pathlib import Path
from typing import Any

from babel import Locale, dates

import shared_models

TABLE = Path(shared_models.__file__).parent / "i18n" / "conventions.json"
#: the first country of each language stands for those that are not in the table
SERVED = {
    "en": ("US", "CA", "GB", "IE", "AU", "NZ", "ZA"),
    "es": (
        *("US", "MX", "GT", "HN", "SV", "NI", "CR", "PA", "PR", "DO", "CU"),
        *("ES", "CO", "VE", "EC", "PE", "BO", "CL", "AR", "PY", "UY"),
    ),
}


def in_cldr(language: str, country: str) -> dict[str, Any]:
    """What `Conventions` holds, as CLDR has it. No line breaks within a time, and no space that fonts may lack."""
    locale = Locale(language, country)
    formats, times = locale.datetime_skeletons, locale.time_formats
    short = locale.date_formats["short"]
    symbols = locale.number_symbols["latn"]
    return {
        "point": symbols["decimal"],
        "thousands": symbols["group"],
        "percent": _plain(locale.percent_formats[None].pattern.replace("#,##0", "{n}")),
        "month_day": formats["MMMd"].pattern,
        "date": formats["yMMMd"].pattern,
        "full_date": locale.date_formats["full"].pattern,
        "typed_date": "".join(field[0] for field in re.findall(r"d+|M+|y+", short.pattern)).lower(),
        "time": _plain(times["short"].pattern),
        "time_with_seconds": _plain(times["medium"].pattern),
        "half_days": [_plain(dates.get_period_names(locale=locale)[half]) for half in ("am", "pm")],
        "months": list(dates.get_month_names("wide", locale=locale).values()),
        "short_months": list(dates.get_month_names("abbreviated", locale=locale).values()),
        "weekdays": [name for _, name in sorted(dates.get_day_names("wide", locale=locale).items())],  # Monday first
    }


def _plain(text: str) -> str:
    return text.replace("\N{NARROW NO-BREAK SPACE}", "\N{NO-BREAK SPACE}")


def table() -> dict[str, dict[str, Any]]:
    """Each language as its first country writes, then what the others do otherwise."""
    found = {}
    for language, (first, *others) in SERVED.items():
        usual = found[f"{language}-{first}"] = in_cldr(language, first)
        for country in others:
            found[f"{language}-{country}"] = {
                name: value for name, value in in_cldr(language, country).items() if value != usual[name]
            }
    return found


if __name__ == "__main__":
    lines = [f"{json.dumps(key)}: {json.dumps(each, ensure_ascii=False)}" for key, each in table().items()]
    TABLE.write_text("{\n" + ",\n".join(lines) + "\n}\n", "utf-8")
