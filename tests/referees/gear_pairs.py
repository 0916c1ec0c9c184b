"""A thousand random gear pairs as two general-purpose libraries see them.

Writes service/mechanics/tests/gear_pairs.csv. The ordinary tests read the file and need neither Python nor a network.

- The centre distance without backlash is what `calc_involute_mesh_distance` of the PyPI package py-gearworks 0.0.24
  (Apache-2.0) finds from base radii and base half angles, both of which are made here from the definitions of an involute.
- Contact ratio and backlash are derived here anew, with 40 digits of the PyPI package mpmath 1.4.1 (BSD), and without the closed
  formulas of ISO 21771: the path of contact as the piece of the common tangent of the base circles that both tip circles
  cut out, by coordinates; the backlash as pitch less both tooth thicknesses on the working pitch circle.

    pip install --no-deps py-gearworks==0.0.24 && pip install numpy scipy mpmath==1.4.1
    python tests/referees/gear_pairs.py > service/mechanics/tests/gear_pairs.csv
"""

import importlib
import importlib.util
import math
import os
import random
import sys
import types

from mpmath import findroot, mp, mpf


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


class Exact:
    """One pair with 40 digits, from the definition of an involute."""

    def __init__(self, z, module, pressure, helix, x):
        self.z, self.module, self.x = z, mpf(module), [mpf(shift) for shift in x]
        self.cos_helix = mp.cos(mp.radians(mpf(helix)))
        self.tan_normal = mp.tan(mp.radians(mpf(pressure)))
        self.angle = mp.atan(self.tan_normal / self.cos_helix)
        self.reference = [count * self.module / self.cos_helix / 2 for count in z]
        self.base = [radius * mp.cos(self.angle) for radius in self.reference]

    def half_angle(self, side, radius, allowance=0):
        """Half of a tooth's angle on a circle: at the reference circle, less the turn of the involute out to there."""
        normal = self.module * (mp.pi / 2 + 2 * self.x[side] * self.tan_normal) + allowance
        at_reference = normal / self.cos_helix / self.reference[side] / 2
        turn = lambda at: mp.tan(at) - at
        return at_reference + turn(self.angle) - turn(mp.acos(self.base[side] / radius))

    def backlash(self, distance, allowances=(0, 0)):
        """On the working pitch circles: what the pitch leaves of both teeth."""
        total = sum(self.z)
        radii = [distance * count / total for count in self.z]
        pitch = 2 * mp.pi * radii[0] / self.z[0]
        teeth = sum(2 * radii[side] * self.half_angle(side, radii[side], allowances[side]) for side in (0, 1))
        return pitch - teeth

    def tight_distance(self, near):
        return findroot(self.backlash, mpf(near))

    def tips(self, distance):
        """Tip radii, shortened so that the clearance of the basic rack stays."""
        opened = (distance - sum(self.reference)) / self.module
        shortening = sum(self.x) - opened
        return [r + self.module * (1 + x - shortening) for r, x in zip(self.reference, self.x)]

    def contact_ratio(self, distance):
        """Length of the common tangent inside both tip circles over the base pitch; none if a tip lies inside its base."""
        tips = self.tips(distance)
        if any(tip < base for tip, base in zip(tips, self.base)):
            return None
        # Centres at (0, 0) and (distance, 0); the tangent touches both base circles between them.
        lean = mp.acos(sum(self.base) / distance)
        touch = (self.base[0] * mp.cos(lean), self.base[0] * mp.sin(lean))
        along = (mp.sin(lean), -mp.cos(lean))
        ends = []
        for centre, radius, way in ((mpf(0), tips[0], 1), (distance, tips[1], -1)):
            x, y = touch[0] - centre, touch[1]
            middle = x * along[0] + y * along[1]
            root = mp.sqrt(middle ** 2 - (x ** 2 + y ** 2 - radius ** 2))
            ends.append(-middle + way * root)
        return (ends[0] - ends[1]) / (2 * mp.pi * self.base[0] / self.z[0])


def main():
    mp.dps = 40
    library = gearmath()
    rng = random.Random(21771)
    opening = random.Random(1328)
    print("tooth_count_1,tooth_count_2,normal_module_mm,normal_pressure_angle_deg,helix_angle_deg,"
          "profile_shift_1,profile_shift_2,centre_distance_mm,contact_ratio,opened_distance_mm,thickness_allowance_1_mm,"
          "thickness_allowance_2_mm,circumferential_backlash_mm")
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
        exact = Exact(z, module, pressure, helix, x)
        contact = exact.contact_ratio(exact.tight_distance(distance))
        opened = round(distance + opening.uniform(0, 0.1) * module, 4)
        allowances = [round(-opening.uniform(0, 0.03) * module, 4) for _ in z]
        backlash = exact.backlash(mpf(opened), [mpf(allowance) for allowance in allowances])
        contact = "" if contact is None else repr(float(contact))
        print(f"{z[0]},{z[1]},{module},{pressure},{helix},{x[0]},{x[1]},{distance!r},{contact},{opened},"
              f"{allowances[0]},{allowances[1]},{float(backlash)!r}")
        rows += 1


if __name__ == "__main__":
    main()
