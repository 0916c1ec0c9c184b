"""What general-purpose libraries take for the questions of `cargo bench -p mechanics --bench beside_libraries`.

Prints a line a question: its name, nanoseconds a call, and a sum of the answers by which the benchmark sees that both
answered alike. Is started by the benchmark; see there how to make its environment.

- centre distance: `calc_involute_mesh_distance` of py-gearworks 0.0.24 (Apache-2.0), on the pairs of gear_pairs.csv
- shims: `milp` of SciPy (BSD): the pieces of a box whose sum comes nearest to a thickness
"""

import csv
import math
import sys
import time

import numpy
from scipy.optimize import Bounds, LinearConstraint, milp

from gear_pairs import gearmath, half_angle


def bases(row):
    """Base radii and base half angles of a pair, as the library wants them."""
    z = [int(row["tooth_count_1"]), int(row["tooth_count_2"])]
    helix = math.radians(float(row["helix_angle_deg"]))
    tan_normal = math.tan(math.radians(float(row["normal_pressure_angle_deg"])))
    angle = math.atan(tan_normal / math.cos(helix))
    radii = [count * float(row["normal_module_mm"]) / math.cos(helix) * math.cos(angle) / 2 for count in z]
    shifts = [float(row["profile_shift_1"]), float(row["profile_shift_2"])]
    halves = [half_angle(count, shift, tan_normal, angle) for count, shift in zip(z, shifts)]
    return (*radii, *halves, 2 * math.pi / z[1])


def timed(calls, ask):
    begun = time.perf_counter_ns()
    answers = [ask(call) for call in calls]
    return (time.perf_counter_ns() - begun) / len(calls), math.fsum(answers)


def nearest_sum(pieces, wanted):
    """Smallest error of a choice of pieces: variables are the pieces and the error."""
    count = len(pieces)
    cost = numpy.zeros(count + 1)
    cost[-1] = 1
    over = numpy.append(pieces, -1.0)
    under = numpy.append(pieces, 1.0)
    held = LinearConstraint(numpy.array([over, under]), [-numpy.inf, wanted], [wanted, numpy.inf])
    kinds = numpy.append(numpy.ones(count), 0)
    limits = Bounds(numpy.zeros(count + 1), numpy.append(numpy.ones(count), numpy.inf))
    found = milp(cost, integrality=kinds, bounds=limits, constraints=held, options={"mip_rel_gap": 0})
    chosen = found.x[:-1].round()
    return abs(float(chosen @ pieces) - wanted)


def main():
    pairs, wanted, pieces = sys.argv[1], float(sys.argv[2]), numpy.array([float(p) for p in sys.argv[3].split(",")])
    with open(pairs, newline="") as file:
        rows = list(csv.DictReader(file))
    library = gearmath()
    of_library = lambda row: float(library.calc_involute_mesh_distance(*bases(row)))
    print("centre distance", *timed(rows, of_library), sep=",")
    print("shims", *timed([wanted] * 5, lambda thickness: nearest_sum(pieces, thickness)), sep=",")


if __name__ == "__main__":
    main()
