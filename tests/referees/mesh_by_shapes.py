"""Unusual gear pairs, judged by their shapes alone.

Writes service/mechanics/tests/mesh_by_shapes.csv. The ordinary tests read the file and need neither Python nor a network.

No formula of involute gearing tells the verdict here. The tooth spaces are cut by rolling a rack cutter (ISO 53 A) through a
blank in small steps; both transverse sections are put at the centre distance; the second gear is turned, for some positions
of the first, until the polygons touch on either side. What touches whom is asked of the PyPI package shapely 2.2.0 (BSD). So
a pair is found jammed, loose, fouling at a root, or turning unevenly because the path of contact has a gap or the base
pitches differ. Random numbers only choose the pairs, and the rule of the sum of shifts only where their distances lie.

    pip install shapely==2.2.0 numpy
    python tests/referees/mesh_by_shapes.py 0 300 > service/mechanics/tests/mesh_by_shapes.csv
"""

import math
import random
import sys

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import Polygon
from shapely.ops import unary_union

ADDENDUM_OF_TOOL, TIP_RADIUS = 1.25, 0.38
PHASES = 14
COLUMNS = (
    "tooth_count_1,tooth_count_2,module_1,module_2,pressure_deg_1,pressure_deg_2,helix_deg,shift_1,shift_2,tip_1_mm,tip_2_mm,"
    "allowance_1_mm,allowance_2_mm,distance_mm,jammed_phases,least_play_mm,unevenness_mm,root_clearance_1_mm,root_clearance_2_mm"
)


def involute(angle):
    return math.tan(angle) - angle


class Gear:
    """A gear's figures and its transverse section round the mesh."""

    def __init__(self, z, module, pressure, helix, shift, tip, allowance):
        self.z, self.module, self.pressure, self.shift, self.tip = z, module, pressure, shift, tip
        self.allowance = allowance
        self.cos_helix = math.cos(math.radians(helix))
        self.transverse = module / self.cos_helix
        self.angle = math.atan(math.tan(math.radians(pressure)) / self.cos_helix)
        self.radius = self.transverse * z / 2
        self.base = self.radius * math.cos(self.angle)

    def half_angle(self):
        """Half of a tooth at the base circle; only to find where the distance shall lie."""
        tan = math.tan(math.radians(self.pressure))
        thickness = (self.module * (math.pi / 2 + 2 * self.shift * tan) + self.allowance) / self.cos_helix
        return thickness / 2 / self.radius + involute(self.angle)

    def cutter_tooth(self):
        """Points of one tooth of the rack: u along its reference line, v away from the gear's centre."""
        m, tan = self.module, math.tan(self.angle)
        half = math.pi * self.transverse / 4 - self.allowance / self.cos_helix / 2
        normal = math.radians(self.pressure)
        # The tip's rounding lies in the normal section; along u it is stretched by 1/cos β.
        sweep = np.linspace(0, math.pi / 2 - normal, 14)
        down = ADDENDUM_OF_TOOL * m
        rounding = TIP_RADIUS * m
        start = down - rounding * (1 - math.sin(normal))
        corner = half - start * tan
        centre = corner - rounding * math.cos(normal) / self.cos_helix
        arc = [
            (
                centre + rounding * math.cos(normal + turn) / self.cos_helix,
                -(down - rounding) - rounding * math.sin(normal + turn),
            )
            for turn in sweep
        ]
        arc = [(max(u, 0.0), v) for u, v in arc]
        up = 3.0 * m
        right = [(half + up * tan, up), *arc]
        return np.array(right + [(-u, v) for u, v in reversed(right)])

    def space(self):
        tooth = self.cutter_tooth()
        pitch = math.pi * self.transverse
        pieces = []
        for roll in np.linspace(-2.2 * pitch, 2.2 * pitch, 700):
            turn = roll / self.radius
            u = tooth[:, 0] + roll
            v = tooth[:, 1] + self.radius + self.shift * self.module
            cos, sin = math.cos(turn), math.sin(turn)
            pieces.append(Polygon(np.column_stack([u * cos - v * sin, u * sin + v * cos])).buffer(0))
        # Points that tell less than a hundred-thousandth of a module only cost time.
        return shapely.unary_union(pieces, grid_size=1e-7).simplify(1e-5 * self.module)

    def section(self):
        """Some teeth round the positive x axis, with a tooth's middle on it."""
        step = 2 * math.pi / self.z
        teeth = min(4, self.z // 2 - 1)
        reach = (teeth + 0.5) * step
        rim = np.linspace(-reach, reach, 1200)
        tip = self.tip / 2
        blank = Polygon([(0, 0), *np.column_stack([tip * np.cos(rim), tip * np.sin(rim)])])
        space = affinity.rotate(self.space(), -90, origin=(0, 0))
        spaces = [
            affinity.rotate(space, (k + 0.5) * step, origin=(0, 0), use_radians=True) for k in range(-teeth - 1, teeth + 1)
        ]
        return blank.difference(unary_union(spaces))

    def root(self, section):
        """Radius of the lowest point between two teeth beside the axis."""
        at = np.array(section.exterior.coords)
        polar = np.arctan2(at[:, 1], at[:, 0])
        radii = np.hypot(at[:, 0], at[:, 1])
        # The wedge's own corner in the middle of the gear is no root.
        return radii[(np.abs(polar) < 1.2 * math.pi / self.z) & (radii > self.radius / 4)].min()


def touches(first, second, tiny):
    return first.intersection(second).area > tiny


def play(first, turned, guess, radius, module):
    """Angles of the second gear between which it is free; none if it is nowhere."""
    tiny = 1e-7 * module * module
    held = lambda angle: touches(first, turned(angle), tiny)
    free = next((guess + off * module / radius for off in (0, 0.02, -0.02, 0.06, -0.06, 0.12, -0.12) if not held(guess + off * module / radius)), None)
    if free is None:
        return None
    ends = []
    for sign in (-1, 1):
        inside, outside = free, free + sign * 1.2 * module / radius
        for _ in range(22):
            middle = (inside + outside) / 2
            inside, outside = (inside, middle) if held(middle) else (middle, outside)
        ends.append(inside)
    return ends


def measured(one, two, distance):
    first = one.section()
    second = affinity.rotate(two.section(), 180 + 180 / two.z, origin=(0, 0))
    working = distance * two.z / (one.z + two.z)
    turned = lambda angle: affinity.translate(
        affinity.rotate(second, angle, origin=(0, 0), use_radians=True), distance, 0
    )
    jammed, plays, lows, highs = 0, [], [], []
    for phase in range(PHASES):
        turn = 2 * math.pi / one.z * (phase / PHASES - 0.5)
        guess = -turn * one.z / two.z
        here = affinity.rotate(first, turn, origin=(0, 0), use_radians=True)
        ends = play(here, turned, guess, working, one.module)
        if ends is None:
            jammed += 1
            continue
        plays.append((ends[1] - ends[0]) * working)
        lows.append((ends[0] - guess) * working)
        highs.append((ends[1] - guess) * working)
    spread = max(max(side) - min(side) for side in (lows, highs)) if plays else 0.0
    clearances = [distance - two.tip / 2 - one.root(first), distance - one.tip / 2 - two.root(two.section())]
    return [jammed, min(plays, default=0.0), spread, *clearances]


def unusual(draw):
    """A pair of no standard: odd modules, pressure angles, shifts and tips."""
    z = [draw.randint(9, 40), draw.randint(14, 60)]
    module = round(draw.uniform(1.1, 6.5), 3)
    pressure = round(draw.uniform(14.5, 27.0), 2)
    helix = draw.choice([0.0, 0.0, round(draw.uniform(8, 32), 2)])
    least = [max(-0.5, 1 - count / math.cos(math.radians(helix)) ** 3 * math.sin(math.radians(pressure)) ** 2 / 2) for count in z]
    shifts = [round(draw.uniform(low, low + 0.9), 3) for low in least]
    allowances = [-round(draw.uniform(0.0, 0.03) * module, 3) for _ in z]
    modules, pressures = [module, module], [pressure, pressure]
    if helix == 0.0 and draw.random() < 0.3:
        # Another module and pressure angle of the same base pitch, or of one that is some percent off.
        pressures[1] = round(draw.uniform(15, 26), 2)
        off = draw.choice([1.0, 1.0, 0.955, 0.985, 1.015, 1.04])
        share = math.cos(math.radians(pressure)) / math.cos(math.radians(pressures[1]))
        modules[1] = round(module * share * off, 5)
    tips = []
    for side in (0, 1):
        full = modules[side] * (z[side] / math.cos(math.radians(helix)) + 2 + 2 * shifts[side])
        tips.append(round(full + draw.choice([-0.25, -0.1, -0.5, -1.0, 0.1, -0.15]) * modules[side], 3))
    pair = [Gear(z[s], modules[s], pressures[s], helix, shifts[s], tips[s], allowances[s]) for s in (0, 1)]
    pitch = 2 * math.pi * pair[0].base / z[0]
    both = pair[0].base + pair[1].base
    thickness = sum(2 * gear.base * gear.half_angle() for gear in pair)
    opening = draw.choice([-0.12, -0.05, 0.03, 0.05, 0.08, 0.1, 0.14, 0.3, 0.5]) * module
    inv = (thickness - pitch + opening * math.cos(pair[0].angle)) / (2 * both)
    if inv <= 0.001:
        return None
    angle = math.radians(20)
    for _ in range(60):
        angle -= (involute(angle) - inv) / math.tan(angle) ** 2
    distance = round(both / math.cos(angle), 4)
    return helix, pair, distance


def main():
    first, last = int(sys.argv[1]), int(sys.argv[2])
    if first == 0:
        print(COLUMNS)
    for seed in range(first, last):
        drawn = unusual(random.Random(seed))
        if drawn is None:
            continue
        helix, (one, two), distance = drawn
        found = measured(one, two, distance)
        row = [one.z, two.z, one.module, two.module, one.pressure, two.pressure, helix, one.shift, two.shift]
        row += [one.tip, two.tip, one.allowance, two.allowance, distance, found[0], *(f"{figure:.5f}" for figure in found[1:])]
        print(",".join(str(cell) for cell in row), flush=True)


main()
