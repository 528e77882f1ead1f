"""What OpenAPI shows as answers: a bed of a farm of our own invention. A test holds each against its model."""

from __future__ import annotations

from typing import Any

_LINE: Any = {
    "key": "019db9c8-3900-7390-9807-2e8c35bf992d",
    "label": "North 1 (North)",
    "rows": 4.0,
    "length_mm": 121920.0,
    "length_ft": 400.0,
    "plants": 2400.0,
    "row_time_s": 1701.07,
    "stop_time_s": 236.359,
    "turn_time_s": 226.839,
    "field_time_s": 2164.27,
    "person_time_s": 4328.53,
    "working_mm_per_h": 258021.0,
    "working_ft_per_h": 846.527,
    "effective_mm_per_h": 202799.0,
    "effective_ft_per_h": 665.353,
    "field_efficiency": 0.785979,
    "mm_per_person_h": 101400.0,
    "ft_per_person_h": 332.676,
    "plants_per_h": 3992.12,
    "plants_per_person_h": 1996.06,
    "misses": 3.0,
    "doubles": 0.0,
    "filled": 3.0,
}
RATES: Any = {
    "by": "bed",
    "lines": [_LINE],
    "total": _LINE | {"key": "total", "label": "total"},  # of one line
    "stops": [
        {"reason": "rest", "seconds": 300.0, "count": 1},
        {"reason": "tray_change", "seconds": 282.633, "count": 15},
        {"reason": "chain_broke", "seconds": 95.0, "count": 1},
        {"reason": "clogged_with_residue", "seconds": 70.0, "count": 1},
        {"reason": "depth_change", "seconds": 40.0, "count": 1},
    ],
    "rows": [],
    "not_counted": [],
}
STANDS: Any = {
    "plantings": [
        {
            "planting": "019dbf0b-6bd0-7a43-966b-829e6a8ac4ba",
            "label": "scallion Longshank (SC-0304), West 1 (West)",
            "bed": "019db9c8-3900-7a43-8d44-7e35b8b6d8fe",
            "crop": "scallion",
            "spacing_mm": 50.8,
            "planted_from": "2026-04-24",
            "planted_until": "2026-04-24",
            "rows": 4,
            "length_mm": 121920,
            "positions": 2400.0,
            "misses": 1,
            "filled": 0,
            "doubles": 0,
            "planted_stand": 0.999583,
            "counts": [
                {
                    "on": "2026-05-14",
                    "days_after_planting": 20,
                    "samples": 8,
                    "plants": 459.0,
                    "positions": 480.0,
                    "proportion": 0.95625,
                    "low": 0.934046,
                    "high": 0.971209,
                    "design_effect": 1.0,
                }
            ],
            "to_fill": [{"row": 1, "misses": 1, "filled": 0, "to_fill": 1}],
            "spares": 2,
            "issues": [],
        }
    ],
    "beds": [
        {
            "bed": "019db9c8-3900-7a43-8d44-7e35b8b6d8fe",
            "label": "West 1 (West)",
            "plantings": 1,
            "positions": 2400.0,
            "misses": 1,
            "filled": 0,
            "doubles": 0,
            "planted_stand": 0.999583,
        }
    ],
}
SOIL: Any = {
    "beds": [
        {
            "bed": "019db9c8-3900-70b9-b204-e52db2221a58",
            "label": "Creek 1 (Creek)",
            "texture": "fine",
            "retired": False,
            "now": {
                "readiness": "wait",
                "limiting_factor": "moisture",
                "reason": "The soil is too wet: it sticks to the furrow opener, smears and will not close "
                "over the chain. Let it dry and feel the soil again.",
                "missing": [],
            },
            "checked_hours_ago": 2.5,
            "stale": False,
            "checks": [
                {
                    "id": "019e2814-7590-7209-b4b3-1bfbf8449560",
                    "at": "2026-05-14T20:01:30Z",
                    "feel": "wet",
                    "residue_pct": 8.0,
                    "stones": "few",
                    "clods": "none",
                    "hours_since_tillage": 73.0,
                    "soil_c": 13.0,
                    "note": "",
                    "verdict": {
                        "readiness": "wait",
                        "limiting_factor": "moisture",
                        "reason": "The soil is too wet: it sticks to the furrow opener, smears "
                        "and will not close over the chain. Let it dry and feel the "
                        "soil again.",
                        "missing": [],
                    },
                    "issues": [],
                }
            ],
        }
    ]
}
BEDS: Any = [
    {
        "id": "019db9c8-3900-7a43-8d44-7e35b8b6d8fe",
        "name": "West 1",
        "block": "West",
        "length_mm": 30480,
        "rows": 4,
        "row_spacing_mm": 200,
        "bed_spacing_mm": 1500,
        "texture": "medium",
        "latitude": None,
        "longitude": None,
        "retired": False,
    }
]
PLANTINGS: Any = [
    {
        "id": "019dbf0b-6bd0-7a43-966b-829e6a8ac4ba",
        "label": "scallion Longshank (SC-0304), West 1 (West)",
        "bed": "019db9c8-3900-7a43-8d44-7e35b8b6d8fe",
        "sowing": "019db9c8-3900-7b21-9c1e-5d0a7c1f2e33",
        "crop": "scallion",
        "variety": "Longshank",
        "seed_lot": "SC-0304-A",
        "spacing_mm": 50.8,
        "planned_on": "2026-04-24",
        "note": "",
    }
]

PAIR_ASKED: Any = {
    "code": "BCDF-GHJK",
    "device": "019dbf0b-6bd0-7a43-966b-829e6a8ac4aa",
    "name": "Field phone",
}
PAIRED: Any = {
    "farm": "019db9c8-3900-7a43-8d44-7e35b8b6d8aa",
    "farm_name": "Heronbrook Farm",
    "zone": "America/New_York",
    "device": "019dbf0b-6bd0-7a43-966b-829e6a8ac4aa",
    "secret": "kept by the phone, shown once",
}
HEALTHY: Any = {"status": "ok"}


def answering(example: Any, media_type: str = "application/json") -> dict[int | str, dict[str, Any]]:
    """What a route says in OpenAPI of the answer that it gives."""
    return {200: {"content": {media_type: {"example": example}}}}
