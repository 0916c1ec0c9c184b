"""A thousand random gear pairs as a general-purpose gear library sees them.

Writes service/mechanics/tests/gear_pairs.csv: the centre distance without backlash that `calc_involute_mesh_distance` of the
PyPI package py-gearworks 0.0.24 (Apache-2.0) finds from base radii and base half angles, both of which are made here from
the definitions of an involute. The ordinary tests read the file and need neither Python nor a network.

    pip install --no-deps py-gearworks==0.0.24 && pip install numpy scipy
    python tests/referees/gear_pairs.py > service/mechanics/tests/gear_pairs.csv
"""

import importlib
import importlib.util
import math
import os
import random
import sys
import types


def gearmath():
    """The library's formulas without its solid modeller, which its package file would load."""
    spec = importlib.util.find_spec("py_gearworks")
    package = types.ModuleType("py_gearworks")
    package.__path__ = [os.path.dirname(spec.origin)]
    sys.modules["py_gearworks"] = package
    return importlib.import_module("py_gearworks.gearmath")


def half_angle(z, x, tan_normal, angle):
    """Half of a tooth at its base circle, as an angle: pi/(2z) + 2x tan(alpha_n)/z + inv(alpha_t)."""
    return math.pi / (2 * z) + 2 * x * tan_normal / z + math.tan(angle) - angle


def main():
    library = gearmath()
    rng = random.Random(21771)
    print("tooth_count_1,tooth_count_2,normal_module_mm,normal_pressure_angle_deg,helix_angle_deg,"
          "profile_shift_1,profile_shift_2,centre_distance_mm")
    rows = 0
    while rows < 1000:
        z = [rng.randint(10, 70), rng.randint(10, 120)]
        module = round(rng.uniform(0.5, 10), 3)
        pressure = rng.choice([14.5, 17.5, 20.0, 22.5, 25.0])
        helix = rng.choice([0.0, round(rng.uniform(5, 40), 2)])
        x = [round(rng.uniform(-0.3, 0.8), 4) for _ in z]
        tan_normal = math.tan(math.radians(pressure))
        transverse = math.atan(tan_normal / math.cos(math.radians(helix)))
        radii = [count * module / math.cos(math.radians(helix)) * math.cos(transverse) / 2 for count in z]
        halves = [half_angle(count, shift, tan_normal, transverse) for count, shift in zip(z, x)]
        distance = float(library.calc_involute_mesh_distance(*radii, *halves, 2 * math.pi / z[1]))
        # Where shifts are so negative that the base circles meet there is no pair.
        if not distance > sum(radii) * (1 + 1e-3):
            continue
        print(f"{z[0]},{z[1]},{module},{pressure},{helix},{x[0]},{x[1]},{distance!r}")
        rows += 1


if __name__ == "__main__":
    main()
