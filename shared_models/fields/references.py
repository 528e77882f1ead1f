"""What people call a record that another one refers to."""

from shared_models.records.tables import Bed, Sowing


def bed_label(bed: Bed) -> str:
    """The name of a bed, with its block if it has one."""
    return f"{bed.name} ({bed.block})" if bed.block else bed.name


def sowing_label(sowing: Sowing) -> str:
    """Crop, variety and code."""
    code = f"({sowing.code})" if sowing.code else ""
    return " ".join(part for part in (sowing.crop, sowing.variety, code) if part)
