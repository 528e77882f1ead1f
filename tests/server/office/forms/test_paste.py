"""Tables that are pasted or sent as a file: what each line would do, what is wrong with it, and what is kept."""

import pytest

from server.exports.spreadsheets.records import flagged_records
from shared_models.core.units import MM_PER_FOOT
from shared_models.log.store import reading
from tests.server.support.html_form import FormPage
from tests.server.support.service import Service
from tests.server.support.setup_client import page_text, paste, records, send_file
from tests.shared_models.reports.support.farmbook import FarmBook


def test_a_table_is_looked_at_first_and_saved_when_that_is_asked_for(office: Service, farm: str) -> None:
    lines = "name,block,length_ft,rows", "West 1,West,100,3", "West 2,West,80.5,3"
    looked = paste(office, "beds", *lines)
    before = records(office, farm, "bed")

    saved = paste(office, "beds", *lines, save="1")

    assert (looked.status_code, before) == (200, [])
    assert "2 lines are ready to save" in looked.text
    assert saved.headers["location"] == "/setup/beds?done=saved"
    assert {bed["name"]: bed["length_mm"] for bed in records(office, farm, "bed")} == {
        "West 1": 30_480,
        "West 2": round(80.5 * MM_PER_FOOT),
    }


def test_each_wrong_line_is_told_with_its_number_its_column_and_what_to_do(office: Service, farm: str) -> None:
    answer = paste(
        office,
        "beds",
        "name,length_ft,rows,texture",
        "West 1,100,3,medium",
        "West 2,long,3,",
        ",80,0,mud",
        "West 4,80,3,fine,and more",
        "west 1,90,3,",
        save="1",
    )

    page = page_text(answer.text)
    assert answer.status_code == 422
    assert "4 lines have problems; nothing was saved" in page
    assert "Line 3: West 2 column length_ft: enter a number" in page
    assert "Line 4 column rows: enter a number from 1 to 1,000 column texture: enter one of: coarse, fine" in page
    assert "Line 5: West 4 it has 5 cells under 4 headings" in page
    assert "Line 6: west 1 line 2 is the same record" in page
    assert "West 2,long,3," in answer.text
    assert records(office, farm, "bed") == []


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("", "Paste the headings in the first line"),
        ("name,rows\nWest 1,3", "these columns are missing: length_ft"),
        ("name,,length_ft,rows\nWest 1,,100,3", "column 2: unknown column"),
        ("PK\3\4 and more", "This is not text. Save the table as CSV in the spreadsheet"),
        ("name,length_ft,rows,colour\nWest 1,100,3,red", "column colour: unknown column"),
        ("name,length_ft,length_m,rows\nWest 1,100,3,3", "column length_m: this column is there twice"),
        ('name,length_ft,rows\n"West 1,100,3', "a quotation mark is not closed"),
    ],
)
def test_a_table_that_cannot_be_read_says_why(office: Service, text: str, reason: str) -> None:
    answer = paste(office, "beds", text, save="1")

    assert answer.status_code == 422
    assert reason in page_text(answer.text)


def test_pasting_twice_adds_nothing_twice(office: Service, farm: str) -> None:
    paste(office, "beds", "name;length_m;rows", "West 1;30;3", save="1")

    same = paste(office, "beds", "name;length_m;rows", "West 1;30;3")
    other = paste(office, "beds", "Name\tLength\tRows", "West 1\t100\t3", save="1")

    assert "Everything in it is already here" in same.text
    assert other.status_code == 303
    assert [bed["length_mm"] for bed in records(office, farm, "bed")] == [30_480]


def test_an_exported_table_comes_back_as_it_was(office: Service) -> None:
    FormPage(office, "/setup/beds").send(name="=West", length_mm="100", rows="3", texture="fine", retired="yes")
    table = office.client.get("/v1/export/bed.csv").text.replace(",voided", "").replace(",false\r", "\r")

    assert "Everything in it is already here" in paste(office, "beds", *table.splitlines()).text


def test_weather_is_pasted_by_day(office: Service, farm: str) -> None:
    paste(office, "weather", "on,rain_in,t_min_f,t_max_f", "2026-05-12,0.5,50,68", "2026-05-13,,41,59", save="1")
    paste(office, "weather", "on,rain_mm", "2026-05-13,4", save="1")
    wrong = paste(office, "weather", "on,t_min_c,t_max_c", "14/5/2026,9,19", "2026-05-14,20,10")

    days = {str(day["on"]): (day["rain_mm"], day["t_min_c"]) for day in records(office, farm, "weather")}
    assert days == {"2026-05-12": (12.7, 10.0), "2026-05-13": (4.0, 5.0)}
    assert "Line 2 column on: enter a day like 2026-05-14" in page_text(wrong.text)
    assert "column t_max_c: the warmest temperature is below the coldest" in page_text(wrong.text)


def test_lengths_are_read_as_people_write_them(office: Service, farm: str) -> None:
    paste(office, "beds", "Name\tLength (ft)\tRows\tBetween rows", "A\t100' 6\"\t3\t9 1/2", "B\t30 m\t3", save="1")

    lengths = {bed["name"]: (bed["length_mm"], bed["row_spacing_mm"]) for bed in records(office, farm, "bed")}
    assert lengths == {"A": (30_632, 241), "B": (30_000, None)}


def test_empty_columns_and_cells_of_a_spreadsheet_are_ignored(office: Service, farm: str) -> None:
    paste(
        office, "beds", "name;length_ft;rows;block;;", "A;100;3;West;;", "B;100;3", "", ";;;;;", "C;90;3;;;", save="1"
    )

    assert [(bed["name"], bed["block"]) for bed in records(office, farm, "bed")] == [
        ("A", "West"),
        ("B", ""),
        ("C", ""),
    ]


def test_of_many_lines_the_first_are_shown_and_the_button_stands_above_them(office: Service) -> None:
    answer = paste(office, "beds", "name,length_ft,rows", *(f"Bed {n},100,3" for n in range(25)))

    assert answer.text.index("Save 25 lines") < answer.text.index("Bed 0")
    assert "5 more lines" in answer.text


def test_days_are_read_as_the_office_writes_them(office: Service, farm: str) -> None:
    office.client.cookies.set("rowend_language", "es")

    paste(office, "sowings", "code;crop;spacing_in;sown_on", "1;Onion;2;4/5/2026", "2;Onion;2;2026-5-4", save="1")

    assert [str(each["sown_on"]) for each in records(office, farm, "sowing")] == ["2026-05-04", "2026-05-04"]


@pytest.mark.parametrize("letters", ["utf-8", "utf-8-sig", "utf-16", "windows-1252"])
def test_a_file_may_come_in_the_letters_that_spreadsheets_save(office: Service, farm: str, letters: str) -> None:
    send_file(office, "beds", "name;length_m;rows\r\nPeña;30,5;3\r\n".encode(letters), save="1")

    assert [bed["name"] for bed in records(office, farm, "bed")] == ["Peña"]


def test_a_workbook_is_refused_with_what_to_do_and_not_shown(office: Service) -> None:
    answer = send_file(office, "beds", b"PK\3\4\0\0" + bytes(range(256)))

    assert answer.status_code == 422
    assert "This is not text. Save the table as CSV in the spreadsheet, and choose that file." in answer.text
    assert "</textarea>" in answer.text
    assert "\0" not in answer.text


def test_an_empty_file_is_no_table(office: Service) -> None:
    answer = send_file(office, "beds", b"", text="name,length_ft,rows\nWest 1,100,3", save="1")

    assert answer.status_code == 422
    assert "Paste the headings in the first line" in answer.text


def test_a_file_can_be_sent_instead(office: Service, farm: str) -> None:
    answer = send_file(office, "sowings", "\ufeffcode,crop,spacing_in\r\nON-1,Onion,2\r\n".encode(), save="1")

    assert answer.status_code == 303, answer.text
    assert [(each["code"], each["spacing_mm"]) for each in records(office, farm, "sowing")] == [("ON-1", 50.8)]


def test_a_pasted_table_corrects_a_record_that_broke_by_merging(office: Service, farm: str) -> None:
    """It is compared with what the log has, not with the last good values that the pages show."""
    book = FarmBook(office.engine, id=farm)
    bed = book.bed("West 1")
    book.correct_elsewhere("bed", bed, rows=0)
    rows = records(office, farm, "bed")[0]["rows"]

    paste(office, "beds", "id,name,rows", f"{bed},West 1,{rows}", save="1")

    with reading(office.engine) as connection:
        assert flagged_records(connection, farm, private=True) == []
    assert [each["rows"] for each in records(office, farm, "bed")] == [rows]


def test_a_day_pasted_alone_keeps_the_other_day_of_the_readiness_window(office: Service, farm: str) -> None:
    book = FarmBook(office.engine, id=farm)
    sowing = book.add("sowing", crop="Leek", spacing_mm=152.4, ready_from="2026-05-10", ready_until="2026-05-20")

    paste(office, "sowings", "id,ready_until", f"{sowing},2026-05-14", save="1")

    (found,) = records(office, farm, "sowing")
    assert (str(found["ready_from"]), str(found["ready_until"])) == ("2026-05-10", "2026-05-14")
