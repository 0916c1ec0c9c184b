"""Fit problems: seeded instances with the structure of driveline units, and what CP-SAT says of them.

An instance holds positions, each with priced values (`change` counts a further change), and constraints that list the
combinations their positions allow. Changes are made least first, then cost; ties go to the smallest value vector.
"""
import itertools
import math
import random
import time

from ortools.sat.python import cp_model

SIZES = {"small": (20, 40), "medium": (60, 100), "large": (150, 200), "extreme": (300, 300)}
PRICE = {"case": 90000, "shaft": 42000, "gear": 26000, "bearing": 6500, "hub": 12000, "sleeve": 9000, "synchro": 7000,
         "needle": 3000, "shim": 600, "ring": 350, "seal": 1200, "nut": 900}
UPGRADED = {"gear": 0.75, "shaft": 0.45, "bearing": 0.5, "hub": 0.5, "sleeve": 0.5, "synchro": 0.5}


class Unit:
    """The positions of a unit and what joins them: shafts in a case, gears that mesh between neighbouring shafts."""

    def __init__(self, r, size):
        self.r, self.wanted = r, r.randint(*SIZES[size])
        self.kinds, self.single, self.joints, self.gears = [], set(), [], {}
        shafts, case = [], self.add("case")
        while self.more():
            if len(self.kinds) > 110 * self.kinds.count("case") and r.random() < 0.5:
                case, shafts = self.add("case"), []
                if self.gears:
                    self.joints.append(("coupling", [r.choice(list(self.gears)), case]))
            before = shafts[-1] if shafts else None
            shafts.append(self.shaft(case, before))

    def more(self, room=0):
        return len(self.kinds) < self.wanted - room

    def add(self, kind, single=False):
        self.kinds.append(kind)
        if single:
            self.single.add(len(self.kinds) - 1)
        return len(self.kinds) - 1

    def shaft(self, case, before):
        r, shaft = self.r, self.add("shaft")
        self.gears[shaft] = []
        for _ in range(r.randint(2, 3)):
            if not self.more():
                break
            self.bearing(shaft, case)
        for kind, joint, chance in (("seal", "lip", 0.8), ("nut", "thread", 0.6)):
            if r.random() < chance and self.more():
                part = self.add(kind, single=True)
                self.joints += [(joint, [part, shaft]), ("renew", [shaft, part])]
        last = None
        for place in range(r.randint(2, 6)):
            if not self.more():
                break
            last = self.gear(shaft, case, before, place, last)
        if before is not None and r.random() < 0.5:
            self.joints.append(("pilot", [before, shaft]))
        return shaft

    def bearing(self, shaft, case):
        r, bearing = self.r, self.add("bearing")
        self.joints += [("journal", [shaft, bearing]), ("seat", [bearing, case])]
        if r.random() < 0.6 and self.more():
            shim = self.add("shim", single=r.random() < 0.4)
            self.joints.append(("preload", [shim, bearing]))
        if r.random() < 0.5 and self.more():
            ring = self.add("ring", single=True)
            self.joints += [("groove", [ring, shaft]), ("renew", [bearing, ring])]

    def gear(self, shaft, case, before, place, last):
        r, gear = self.r, self.add("gear")
        self.gears[shaft].append(gear)
        self.joints.append(("spline", [gear, shaft]))
        if last is not None and r.random() < 0.4:
            self.joints.append(("stack", [last, gear]))
        if before is not None and self.gears.get(before):
            mate = self.gears[before][min(place, len(self.gears[before]) - 1)]
            mesh = [mate, gear, r.choice([case, shaft])] if r.random() < 0.35 else [mate, gear]
            self.joints.append(("mesh", mesh))
        if r.random() < 0.5 and self.more():
            needle = self.add("needle")
            self.joints += [("bore", [needle, gear]), ("journal", [needle, shaft])]
        if r.random() < 0.45 and self.more(2):
            hub, sleeve, ring = self.add("hub"), self.add("sleeve"), self.add("synchro")
            self.joints += [("spline", [hub, shaft]), ("spline", [sleeve, hub]), ("cone", [ring, gear]),
                            ("index", [ring, hub])]
            if r.random() < 0.5:
                self.joints.append(("dog", [hub, sleeve, ring]))
        return gear


def generate(size, seed):
    """One instance; `-hard` behind the size adds joints across, which make the graph wider; `band-8` is a band."""
    if size.startswith("band-"):
        return band(size, seed)
    r = random.Random(f"fit-{size}-{seed}")
    plain, hard = size.removesuffix("-hard"), size.endswith("-hard")
    unit = Unit(r, plain)
    count = len(unit.kinds)
    if hard:
        unit.joints += [("clear", sorted(r.sample(range(count), 2))) for _ in range(count // 3)]
    makers = list(range(1, r.randint(3, 5) + 1))
    candidates = [candidates_of(r, kind, makers) for kind in unit.kinds]
    positions, asked = positions_of(r, unit, candidates)
    planted = planted_choice(r, unit, positions, asked) if r.random() < 0.8 else None
    constraints = joints_as_tables(r, unit, candidates, positions, makers, planted)
    constraints += companions(r, positions, planted)
    for position in positions:
        for value in position["values"]:
            del value["candidate"]
    return {"id": f"fit-{size}-{seed}", "kind": "fit", "size": size, "positions": positions, "constraints": constraints}


def band(size, seed, positions=60):
    """Positions each tied loosely to random ones of the few before it (`band-8`: of the eight): far wider than any unit."""
    r, width = random.Random(f"fit-{size}-{seed}"), int(size.removeprefix("band-"))
    held = []
    for at in range(positions):
        count, keep = r.randint(3, 6), r.random() < 0.5
        values = []
        for k in range(count):
            kept, free = keep and k == 0, k == 0 if keep else k < count // 2
            values.append({"part": f"W{at}-{k}", "state": "kept" if kept else "new", "change": 0 if free else 1,
                           "cost": 0 if kept else r.randint(500, 60000)})
        held.append({"name": f"w{at}", "role": "keep" if keep else "replace", "values": values})
    planted = [r.randrange(len(one["values"])) for one in held]
    tables = []
    for at in range(1, positions):
        for before in sorted(r.sample(range(max(0, at - width), at), min(at, r.randint(2, 4), width))):
            tuples = [[a, b] for a in range(len(held[before]["values"])) for b in range(len(held[at]["values"]))
                      if (a, b) == (planted[before], planted[at])
                      or r.random() < 0.75 and not (a == b == 0 and r.random() < 0.4)]
            tables.append({"kind": "fit", "label": f"x:{before}/{at}", "scope": [before, at], "tuples": tuples})
    return {"id": f"fit-{size}-{seed}", "kind": "fit", "size": size, "positions": held, "constraints": tables}


def candidates_of(r, kind, makers):
    """The original, its successors, and other makers' parts: (origin, maker, cost)."""
    cost = int(PRICE[kind] * math.exp(r.gauss(0, 0.5)))
    found = [("original", 0, cost)]
    for _ in range(r.choices([0, 1, 2], [5, 3, 1])[0]):
        found.append(("successor", 0, int(cost * r.uniform(0.9, 1.4))))
    for maker in makers:
        if len(found) < 6 and r.random() < UPGRADED.get(kind, 0.3):
            found.append(("upgrade", maker, int(cost * r.uniform(0.7, 2.2))))
    return found


def positions_of(r, unit, candidates):
    """The values of each position, and which candidate is asked for at some."""
    count = len(candidates)
    could = [at for at in range(count) if unit.kinds[at] in ("gear", "shaft", "hub", "sleeve")
             and any(origin == "upgrade" for origin, _, _ in candidates[at])]
    wanted = r.sample(could, min(r.randint(1, max(1, min(6, count // 25))), len(could)))
    asked = {at: r.choice([k for k, one in enumerate(candidates[at]) if one[0] == "upgrade"]) for at in wanted}
    renewed, positions = r.uniform(0.2, 0.5), []
    for at, found in enumerate(candidates):
        single = at in unit.single
        role = "asked" if at in asked else "keep"
        if role == "keep" and (r.random() < renewed or single and r.random() < 0.5):
            role = "replace"
        values = []
        if role == "keep":
            values.append({"part": f"X{at}-0", "state": "kept", "change": 0, "cost": 0, "candidate": 0})
        original_sold = role == "asked" or r.random() > 0.12 or len(found) == 1
        for k, (origin, maker, cost) in enumerate(found):
            if (k == 0 and not original_sold) or (role == "asked" and k != asked[at]):
                continue
            free = single or role == "asked" or role == "replace" and origin != "upgrade"
            values.append({"part": f"X{at}-{k}", "state": "new", "change": 0 if free else 1, "cost": cost,
                           "candidate": k, **({"maker": maker} if maker else {})})
        positions.append({"name": f"{unit.kinds[at]}{at}", "role": role, "values": values,
                          **({"single_use": True} if single else {})})
    return positions, asked


def planted_choice(r, unit, positions, asked):
    """A value for each position that every constraint will allow: what is asked for, and some neighbours changed."""
    choice, near = [0] * len(positions), set(asked)
    for _, scope in unit.joints:
        if near & set(scope):
            for at in scope:
                if at not in asked and r.random() < 0.3:
                    choice[at] = r.randrange(len(positions[at]["values"]))
                    if r.random() < 0.3:
                        near.add(at)
    for _ in range(4):
        for label, scope in unit.joints:
            if label == "renew":
                first, second = (positions[at]["values"][choice[at]]["state"] for at in scope)
                if first == "new" and second == "kept":
                    choice[scope[1]] = min(1, len(positions[scope[1]]["values"]) - 1)
    return choice


def joints_as_tables(r, unit, candidates, positions, makers, planted):
    """The combinations that each joint allows: alike features go together, with a few exceptions either way."""
    own_form = {}

    def feature(joint, at, k):
        origin, maker, _ = candidates[at][k]
        if origin == "original":
            return 0
        if origin == "successor":
            return 0 if r.random() < 0.93 else -1
        form = own_form.setdefault((joint, maker), maker if r.random() < 0.45 else 0)
        return form if r.random() < 0.9 else (0 if r.random() < 0.6 else r.choice(makers))

    tables = []
    for joint, (label, scope) in enumerate(unit.joints):
        values = [positions[at]["values"] for at in scope]
        every = list(itertools.product(*[range(len(one)) for one in values]))
        if label == "renew":
            allowed = [[a, b] for a, b in every
                       if not (values[0][a]["state"] == "new" and values[1][b]["state"] == "kept")]
        else:
            features = [[feature(joint, at, k) for k in range(len(candidates[at]))] for at in scope]
            verdicts, allowed = {}, []
            for chosen in every:
                parts = tuple(one[value]["candidate"] for one, value in zip(values, chosen))
                if parts not in verdicts:
                    alike = len({features[side][k] for side, k in enumerate(parts)}) == 1
                    excepted = any(parts) and r.random() < 0.04
                    verdicts[parts] = alike != excepted or not any(parts)
                if verdicts[parts] or planted and all(planted[at] == v for at, v in zip(scope, chosen)):
                    allowed.append(list(chosen))
        if len(allowed) < len(every):
            name = "/".join(positions[at]["name"] for at in scope)
            kind = "renew" if label == "renew" else "fit"
            tables.append({"kind": kind, "label": f"{label}:{name}", "scope": scope, "tuples": allowed})
    return tables


def companions(r, positions, planted):
    """Parts of other makers that ask for certain parts elsewhere."""
    tables = []
    for _ in range(max(1, len(positions) // 15)):
        first, second = r.sample(range(len(positions)), 2)
        having = [v for v, value in enumerate(positions[first]["values"]) if value.get("maker")]
        count = len(positions[second]["values"])
        if not having or count < 2:
            continue
        part = r.choice(having)
        allowed = r.sample(range(count), r.randint(1, count - 1))
        if planted and planted[first] == part:
            allowed.append(planted[second])
        tuples = [[a, b] for a in range(len(positions[first]["values"])) for b in range(count)
                  if a != part or b in allowed]
        label = f"requires:{positions[first]['values'][part]['part']}>{positions[second]['name']}"
        tables.append({"kind": "requires", "label": label, "scope": [first, second], "tuples": tuples})
    return tables


def model(case):
    """The problem as a constraint program: its variables, a literal for each value, changes and cost."""
    held, variables, literals, changes, cost = cp_model.CpModel(), [], [], [], []
    for position in case["positions"]:
        chosen = held.NewIntVar(0, len(position["values"]) - 1, "")
        taken = []
        for v, value in enumerate(position["values"]):
            literal = held.NewBoolVar("")
            held.Add(chosen == v).OnlyEnforceIf(literal)
            held.Add(chosen != v).OnlyEnforceIf(literal.Not())
            taken.append(literal)
            changes.append(value["change"] * literal)
            cost.append(value["cost"] * literal)
        held.AddExactlyOne(taken)
        variables.append(chosen)
        literals.append(taken)
    for one in case["constraints"]:
        if one["tuples"]:
            held.AddAllowedAssignments([variables[at] for at in one["scope"]], one["tuples"])
        else:
            held.AddBoolOr([])
    return held, variables, literals, sum(changes), sum(cost)


def figures(case, chosen):
    """[changes, cost] of a choice."""
    values = [position["values"][v] for position, v in zip(case["positions"], chosen)]
    return [sum(value["change"] for value in values), sum(value["cost"] for value in values)]


def solve(case, limit, best=5):
    """The least (changes, cost), the smallest assignment of it, and the figures of the next best."""
    start = time.process_time()
    weight = 1 + sum(max(value["cost"] for value in position["values"]) for position in case["positions"])
    held, variables, _, changes, cost = model(case)
    held.Minimize(changes * weight + cost)
    solver = solver_of(limit)
    modelled = time.process_time()
    status = solver.Solve(held)
    found = {"solve_ms": (time.process_time() - modelled) * 1e3, "ms": (time.process_time() - start) * 1e3}
    if status != cp_model.OPTIMAL:
        return {**found, "status": "infeasible" if status == cp_model.INFEASIBLE else "unknown"}
    chosen = [solver.Value(one) for one in variables]
    found.update(status="optimal", obj=figures(case, chosen))
    held.Add(changes * weight + cost == found["obj"][0] * weight + found["obj"][1])
    found["assignment"] = smallest(held, variables, limit)
    held, variables, literals, changes, cost = model(case)
    held.Minimize(changes * weight + cost)
    found["kbest"] = []
    for _ in range(best):
        solver = solver_of(limit)
        if solver.Solve(held) != cp_model.OPTIMAL:
            break
        chosen = [solver.Value(one) for one in variables]
        found["kbest"].append(figures(case, chosen))
        held.AddBoolOr([literals[at][v].Not() for at, v in enumerate(chosen)])
    return found


def smallest(held, variables, limit):
    """The lexicographically smallest assignment that is left, in blocks of eighteen variables."""
    chosen = None
    for first in range(0, len(variables), 18):
        block = variables[first:first + 18]
        held.Minimize(sum(one * 8 ** (len(block) - 1 - at) for at, one in enumerate(block)))
        solver = solver_of(limit)
        if solver.Solve(held) != cp_model.OPTIMAL:
            return None
        chosen = [solver.Value(one) for one in variables]
        for at, one in enumerate(block):
            held.Add(one == chosen[first + at])
    return chosen


def solver_of(limit):
    """CP-SAT with one worker."""
    solver = cp_model.CpSolver()
    solver.parameters.max_deterministic_time, solver.parameters.num_workers = limit, 1
    return solver
