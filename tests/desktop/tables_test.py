# SPDX-License-Identifier: Apache-2.0
"""The same figures in every form of a table, cell by cell: tables_test.py FUELRING SOURCE_FOLDER

Read without GDAL, which wrote them: a spreadsheet is a zip of XML, a GeoPackage is an SQLite file."""
import csv
import os
import pathlib
import re
import sqlite3
import subprocess
import sys
import tempfile
import time
import unittest
import xml.etree.ElementTree as ElementTree
import zipfile
from decimal import ROUND_HALF_EVEN, Decimal

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "browser"))
from town import HOSTILE, make_town  # noqa: E402

FUELRING, SOURCE = (os.path.abspath(path) for path in sys.argv[1:3])
SPREADSHEET = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"


def run(*arguments):
    subprocess.run([FUELRING, *arguments, "--quiet"], check=True, stderr=subprocess.DEVNULL)


def part_of(path, name):
    with zipfile.ZipFile(path) as book:
        return ElementTree.fromstring(book.read(name))


def cells_of(path, sheet):
    """Rows of a sheet: texts as str, numbers as float, nothing as None."""
    rows = []
    for row in part_of(path, f"xl/worksheets/sheet{sheet}.xml").iter(f"{SPREADSHEET}row"):
        cells = {}
        for cell in row:
            assert cell.find(f"{SPREADSHEET}f") is None, "a formula"
            column = 0
            for letter in re.match("[A-Z]+", cell.get("r")).group():
                column = 26 * column + ord(letter) - ord("A") + 1
            cells[column - 1] = (cell.findtext(f"{SPREADSHEET}is/{SPREADSHEET}t") if cell.get("t") == "inlineStr"
                                 else float(cell.findtext(f"{SPREADSHEET}v")))
        rows.append(cells)
    return [[cells.get(k) for k in range(len(rows[0]))] for cells in rows]


def csv_of(path):
    with open(path, encoding="utf-8-sig", newline="") as file:
        return list(csv.reader(file))


def as_in_csv(value, cell):
    """A value of the GeoPackage as the CSV has it, with as many decimals as `cell`."""
    if value is None:
        return ""
    if isinstance(value, str):
        return "'" + value if cell.startswith("'") and not value.startswith("'") else value
    decimals = len(cell.partition(".")[2])
    text = str(Decimal(value).quantize(Decimal(1).scaleb(-decimals), ROUND_HALF_EVEN))
    return text[1:] if text.startswith("-") and not float(text) else text


class Tables(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.folder = tempfile.TemporaryDirectory()
        cls.run_folder = os.path.join(cls.folder.name, "run")
        legend = os.path.join(SOURCE, "config", "fuel-classes", "tamarack_bend.csv")
        run("map", make_town(cls.folder.name, 60, legend), "--out", cls.run_folder)
        run("report", cls.run_folder)

    @classmethod
    def tearDownClass(cls):
        cls.folder.cleanup()

    def path(self, name):
        return os.path.join(self.run_folder, name)

    def aliases(self, geopackage, table, columns):
        """What a GIS calls the columns."""
        alias = dict(geopackage.execute("select column_name, name from gpkg_data_columns where table_name = ?", (table,)))
        return [alias[column] for column in columns]

    def test_csv_xlsx_and_geopackage_hold_the_same_figures(self):
        geopackage = sqlite3.connect(self.path("fuelring.gpkg"))
        for table in ("addresses", "neighbourhoods"):
            header, *rows = csv_of(self.path(table + ".csv"))
            sheet_header, *sheet = cells_of(self.path(table + ".xlsx"), 1)
            self.assertEqual(sheet_header, self.aliases(geopackage, table, header))
            columns = ", ".join(f'"{name}"' for name in header)
            layer = geopackage.execute(f"select {columns} from {table} order by fid").fetchall()
            self.assertGreater(len(rows), 5)
            for row, cells, values in zip(rows, sheet, layer, strict=True):
                self.assertEqual([as_in_csv(v, c) for v, c in zip(values, row, strict=True)], row)
                for column, cell, value in zip(header, cells, values, strict=True):
                    if isinstance(value, float):
                        self.assertAlmostEqual(cell, value, delta=1e-14 * abs(value), msg=column)
                    else:
                        self.assertEqual(cell, value, column)

    def test_texts_of_a_spreadsheet_are_texts_and_never_formulas(self):
        texts = {row[2] for row in cells_of(self.path("addresses.xlsx"), 1)}  # asserts: no formula
        self.assertIn('=HYPERLINK("http://example.invalid","x")', texts)
        self.assertGreaterEqual(len(texts & set(HOSTILE)), 5)

    def test_a_spreadsheet_says_when_the_imagery_was_taken_and_what_the_figure_is_not(self):
        about = dict(row[:2] for row in cells_of(self.path("neighbourhoods.xlsx"), 2))
        self.assertIn("date of the imagery", about)
        self.assertIn("not a probability", about["caution"])

    def test_a_sheet_tells_which_column_of_the_csv_a_heading_is(self):
        about = dict(row[:2] for row in cells_of(self.path("addresses.xlsx"), 2))
        self.assertEqual(about["column conifer_m2_1.5_10m"], "Conifer 1.5 to 10 m (m²)")

    def test_headings_stay_in_view_rows_are_filtered_and_paper_holds_the_width(self):
        for name in ("addresses.xlsx", "neighbourhoods.xlsx"):
            sheet = part_of(self.path(name), "xl/worksheets/sheet1.xml")
            pane = next(sheet.iter(f"{SPREADSHEET}pane"))
            self.assertEqual((pane.get("state"), pane.get("ySplit"), pane.get("xSplit")), ("frozen", "1", None))
            rows = len(cells_of(self.path(name), 1))
            self.assertRegex(sheet.find(f"{SPREADSHEET}autoFilter").get("ref"), f"^A1:[A-Z]+{rows}$")
            setup = sheet.find(f"{SPREADSHEET}pageSetup")
            self.assertEqual((setup.get("orientation"), setup.get("fitToHeight")), ("landscape", "0"))
            self.assertEqual(next(sheet.iter(f"{SPREADSHEET}pageSetUpPr")).get("fitToPage"), "1")
            titles = part_of(self.path(name), "xl/workbook.xml").iter(f"{SPREADSHEET}definedName")
            self.assertTrue(any(t.get("name") == "_xlnm.Print_Titles" and t.text.endswith("!$1:$1") for t in titles))

    def test_numbers_show_as_many_decimals_as_in_the_csv_and_thousands_apart(self):
        header, *rows = csv_of(self.path("addresses.csv"))
        styles = part_of(self.path("addresses.xlsx"), "xl/styles.xml")
        codes = {f.get("numFmtId"): f.get("formatCode") for f in styles.iter(f"{SPREADSHEET}numFmt")} | {"1": "0", "3": "#,##0"}
        of_style = [f.get("numFmtId") for f in styles.find(f"{SPREADSHEET}cellXfs")]
        sheet = part_of(self.path("addresses.xlsx"), "xl/worksheets/sheet1.xml")
        first = {re.match("[A-Z]+", c.get("r")).group(): c for c in list(sheet.iter(f"{SPREADSHEET}row"))[1]}
        seen = set()
        for k, (column, cell) in enumerate(zip(header, rows[0], strict=True)):
            letter = (chr(ord("A") + k // 26 - 1) if k >= 26 else "") + chr(ord("A") + k % 26)
            if letter not in first or first[letter].get("t") == "inlineStr":
                continue
            decimals = len(cell.partition(".")[2])
            seen.add(decimals)
            code = codes[of_style[int(first[letter].get("s"))]]
            grouped = "" if column in ("x", "y") else "#,##"
            self.assertEqual(code, grouped + "0" + ("." + "0" * decimals if decimals else ""), column)
        self.assertEqual(seen, {0, 3, 4, 6, 8})

    def test_a_second_report_gives_the_same_bytes(self):
        def read():
            return [pathlib.Path(self.path(name)).read_bytes()
                    for name in ("addresses.xlsx", "neighbourhoods.xlsx", "priority.qml")]
        first = read()
        time.sleep(2.1)  # the times in a zip go by 2 s
        run("report", self.run_folder)
        self.assertEqual(read(), first)

    def test_csvt_files_name_the_type_of_every_column(self):
        types = {"INTEGER": "Integer", "MEDIUMINT": "Integer", "REAL": "Real", "TEXT": "String"}
        geopackage = sqlite3.connect(self.path("fuelring.gpkg"))
        for table in ("addresses", "neighbourhoods"):
            header = csv_of(self.path(table + ".csv"))[0]
            declared = {row[1]: row[2] for row in geopackage.execute(f"pragma table_info({table})")}
            self.assertEqual(csv_of(self.path(table + ".csvt")), [[types[declared[name]] for name in header]])


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1])
