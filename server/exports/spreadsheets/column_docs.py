"""What columns mean where that is more than the label and the unit of the field."""

from collections.abc import Mapping

MEANINGS: Mapping[str, Mapping[str, str]] = {
    "": {
        "voided": "Whether the record was deleted; reports leave it out.",
        "latitude": "Degrees north, WGS 84.",
        "longitude": "Degrees east, WGS 84.",
        "bed": "Id of the bed.",
        "sowing": "Id of the sowing.",
        "planting": "Id of the planting.",
    },
    "farm": {
        "zone": "IANA time zone of the farm's clock; it decides on which day and in which hour something happened.",
        "units": "How lengths are shown to people; they are stored in millimeters.",
        "thresholds": "The farm's own limits and settings by name, as JSON; what is missing is as usual.",
        "prices": "Prices by name, as JSON.",
        "plug_tray_plants_per_person_hour": "Plants one person sets by hand from plug trays in an hour, to compare.",
    },
    "person": {"role": "What the person may do.", "wage_per_hour": "Wage for an hour, in the farm's money."},
    "bed": {
        "block": "The block or field it lies in.",
        "bed_spacing_mm": "From the middle of the bed to the middle of the next, in millimeters.",
        "texture": "Soil texture, in the classes of the feel test.",
    },
    "sowing": {
        "code": "What is written on the trays.",
        "seed_lot": "Lot number on the seed packet.",
        "spacing_mm": "From plant to plant in the row, in millimeters; it is the chain's.",
        "ready_from": "First day it is expected to be ready for planting.",
        "ready_until": "Last day it is expected to be ready for planting.",
    },
    "tray_check": {
        "cells_empty": "Empty ones among them.",
        "leaves": "True leaves of a typical plant.",
        "roots_hold": "Whether the roots hold the cell together.",
    },
    "row_pass": {
        "row": "Number of the row in the bed.",
        "started_at": "When the pull began, by the phone's clock, in UTC.",
        "started_boot": "Which run of the phone this was; durations are measured within one run.",
        "started_boot_ms": "Milliseconds since the phone was switched on, when the pull began.",
        "ended_at": "When the pull ended, by the phone's clock, in UTC; empty while the row is open.",
        "ended_boot": "The same as started_boot, at the end.",
        "ended_boot_ms": "The same as started_boot_ms, at the end.",
        "crew": "Ids of the people, as JSON.",
        "stops": (
            "Stops as JSON, as the log holds them: the reason, and when each began and ended (at: time in UTC; boot "
            "and boot_ms as above)."
        ),
        "misses": "Cells without a plant, as noted while planting.",
        "doubles": "Cells with two plants, as noted while planting.",
        "filled": "Misses that were filled since.",
        "depth_notch": "Notch of the depth setting.",
        "start_latitude": "Where the pull began: degrees north, WGS 84.",
        "start_longitude": "Where the pull began: degrees east, WGS 84.",
        "start_accuracy_m": "How exact that is, in meters.",
        "end_latitude": "Where the pull ended: degrees north, WGS 84.",
        "end_longitude": "Where the pull ended: degrees east, WGS 84.",
        "end_accuracy_m": "How exact that is, in meters.",
    },
    "soil_check": {
        "feel": "What the feel test found, driest first.",
        "residue_pct": "Ground covered by residue, 0 to 100 percent.",
        "stones": "Stones in the planting zone, judged by eye.",
        "clods": "Clods in the planting zone, judged by eye.",
        "photo": "Name of a picture on the phone.",
    },
    "stand_count": {
        "plants": "Living plants in it.",
        "positions_mm": "Where each plant stands on a tape, in millimeters from its start, as JSON.",
    },
}
"""By kind and field; under the empty name are fields that mean the same everywhere."""
