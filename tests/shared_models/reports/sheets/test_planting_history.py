"""The whole life of a planting, from its seed lot to its stand."""

from shared_models.reports.sheets.planting_history import PlantingHistory, planting_histories
from shared_models.reports.soil.beds import soil
from tests.shared_models.reports.support.farmbook import HandDay


def planted(day: HandDay) -> list[PlantingHistory]:
    with day.book.reports() as reports:
        checked = {bed.bed_id: bed for bed in soil(reports, day.later(20)).beds}
        return planting_histories(reports, reports.references.plantings, checked)


def test_plantings_stand_in_the_order_of_their_first_rows_those_to_come_last(hand_day: HandDay) -> None:
    hand_day.book.planting(hand_day.north, "Aster", 50.8)

    assert [each.place.crop for each in planted(hand_day)] == ["Onion", "Leek", "Aster"]


def test_a_planting_has_its_trays_its_soil_its_rows_and_its_stand(hand_day: HandDay) -> None:
    book = hand_day.book
    sowing = planted(hand_day)[0].planting.sowing
    for on, empty in (("2026-05-02", 9), ("2026-04-20", 11)):
        book.add("tray_check", sowing=sowing, on=on, cells_seen=264, cells_empty=empty)
    for hour in (6, 7.5, 8.5):
        book.add("soil_check", bed=hand_day.north, at=hand_day.later(hour).isoformat(), feel="moist")

    onions = planted(hand_day)[0]

    assert [check.cells_empty for check in onions.trays] == [11, 9]
    assert onions.soil is not None
    assert onions.soil.at == hand_day.later(7.5)
    assert onions.rates.total.work.rows == 2
    assert (onions.stand.misses, onions.stand.filled) == (6, 2)
    assert onions.sowing is not None
    assert onions.sowing.code == "O1"


def test_what_has_not_arrived_or_not_begun_is_left_open(hand_day: HandDay) -> None:
    book = hand_day.book
    book.add("planting", bed=book.new_id(), sowing=book.new_id())
    deleted = book.planting(hand_day.south, "Aster", 50.8)
    book.change("planting", deleted, voided=True)

    result = planted(hand_day)

    assert len(result) == 3
    lost = result[-1]
    assert (lost.sowing, lost.soil, lost.trays, lost.evenness, lost.rates.rows) == (None, None, (), None, ())
