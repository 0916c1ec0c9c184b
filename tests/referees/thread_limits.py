"""Limits of metric threads as a general-purpose CAD program prints them.

Writes a class's file in service/mechanics/tests from the tables of external threads (class 6g) and internal threads (class
6H) in Debian's package freecad-common 0.20.2+dfsg1-4+deb12u1 (LGPL-2+): the numbers of ISO 965, a line a thread. The
ordinary tests read the files and need neither Python nor that package.

    apt-get download freecad-common && dpkg -x freecad-common_*.deb freecad
    python tests/referees/thread_limits.py freecad 6g > service/mechanics/tests/screw_limits_6g.csv
    python tests/referees/thread_limits.py freecad 6H > service/mechanics/tests/nut_limits_6h.csv
"""

import csv
import pathlib
import sys

TABLES = pathlib.Path(sys.argv[1]) / "usr/share/freecad/Mod/Path/Data/Threads"
COLUMNS = {
    "6g": ("metric-external-6G.csv", {"d_min_mm": "dMajorMin", "d_max_mm": "dMajorMax", "d2_max_mm": "dPitchMax"}),
    "6H": ("metric-internal-6H.csv", {"d1_min_mm": "dMinorMin", "d2_min_mm": "dPitchMin"}),
}


def main():
    name, columns = COLUMNS[sys.argv[2]]
    print(",".join(["thread"] + list(columns)))
    with open(TABLES / name, newline="") as table:
        for row in csv.DictReader(table):
            print(",".join([row["name"].replace(" ", "")] + [row[column] for column in columns.values()]))


main()
