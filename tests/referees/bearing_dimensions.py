"""Boundary dimensions of rolling bearings as two general-purpose libraries have them.

Writes service/mechanics/tests/bearing_dimensions.csv; the ordinary tests read it and need neither Python nor a network.

- ISO 15, dimension series 02, 03, 04, 22 and 23: serie_rlts_iso.csv of the PyPI package mechanical-components 0.3.4
- deep groove ball bearings 60, 62, 63 and 64: table 14-3 of a textbook (Mott, Machine Elements in Mechanical Design) as
  data/bearing.xlsx of the PyPI package melib 1.1.1 (GPL) has it

    pip download --no-deps mechanical-components==0.3.4 melib==1.1.1 && pip install openpyxl   # and unpack both here
    python tests/referees/bearing_dimensions.py mechanical_components-0.3.4 melib > service/mechanics/tests/bearing_dimensions.csv
"""

import csv
import pathlib
import sys

import openpyxl

LETTERS = {"02": "62", "03": "63", "04": "64", "22": "NU 22", "23": "NU 23"}


def bore_code(bore):
    """The two figures of a bore, or the bore itself under 10 mm; none where the designation writes the bore out."""
    small = {10: "00", 12: "01", 15: "02", 17: "03"}
    if bore in small:
        return small[bore]
    if bore < 10 and bore == int(bore):
        return str(int(bore))
    return f"{int(bore) // 5:02}" if 20 <= bore <= 480 and bore % 5 == 0 else None


def plan(folder):
    name = folder / "mechanical_components/catalogs/serie_rlts_iso.csv"
    with open(name, newline="") as table:
        for row in csv.DictReader(table):
            bore, outside, width = (round(float(row[column]) * 1000, 3) for column in ("d", "D", "B"))
            code = bore_code(bore)
            series = LETTERS.get(row["serie"])
            if series and code and width > 0 and not (bore < 10 and series.startswith("NU")):
                yield series + code, bore, outside, width, "ISO 15"


def textbook(folder):
    sheet = openpyxl.load_workbook(folder / "data/bearing.xlsx", data_only=True)["metric"]
    for row in sheet.iter_rows(min_row=7, values_only=True):
        designation, bore, outside, width = row[2:6]
        if isinstance(designation, (int, float)) and designation < 7000:
            yield str(int(designation)), bore, outside, width, "textbook"


def main():
    print("designation,d_mm,D_mm,B_mm,table")
    for row in [*plan(pathlib.Path(sys.argv[1])), *textbook(pathlib.Path(sys.argv[2]))]:
        print(",".join(f"{cell:g}" if isinstance(cell, (int, float)) else cell for cell in row))


main()
