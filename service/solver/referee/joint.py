"""Joint problems: seeded instances, and what CP-SAT says of them.

Which parts go together and what brings them, at once: a branch has positions that are open (`choices`) with values that
count as further changes or not, tables of the values that go together, and values that are asked for. Each branch keeps
its own least number of changes; the aims follow. The rest is as in `solver::cover::Problem`: parts `[free stock, carrying
value, credit]`, needs `[pieces, [part]]`, suppliers' fixed costs, tiers `[from, price]`.
"""
import math
import random
import time

from ortools.sat.python import cp_model

SIZES = {"small": ((8, 16), (3, 6)), "medium": ((40, 100), (9, 20)), "large": ((160, 244), (31, 39))}
AIMS = [
    ["cash", "job_cost", "surplus", "days", "suppliers"],
    ["job_cost", "cash", "surplus", "days", "suppliers"],
    ["days", "cash", "job_cost", "surplus", "suppliers"],
    ["suppliers", "cash", "job_cost", "surplus", "days"],
]


def generate(size, seed):
    """One instance: positions with accepted parts or open values, kits over runs of positions, one to four branches."""
    r = random.Random(f"joint-{size}-{seed}")
    (least, most), (kits_least, kits_most) = SIZES[size]
    count, suppliers = r.randint(least, most), r.randint(2, 5)
    parts, offers = [], []

    def part(price):
        stock = r.randint(1, 3) if r.random() < 0.3 else 0
        parts.append([stock, int(price * r.uniform(0.5, 1.1)) if stock else 0, 0])
        for supplier in r.sample(range(suppliers), min(suppliers, r.choice([1, 1, 2]))):
            unit = max(5, int(price * r.uniform(0.85, 1.3)))
            tiers = [[0, unit]]
            if r.random() < 0.2:
                tiers.append([r.choice([3, 5, 10]), int(unit * 0.8)])
            pack = r.choice([1] * 8 + [2, 5])
            offers.append({
                "supplier": supplier, "contents": [[len(parts) - 1, 1]], "pack": pack,
                "minimum": r.choice([0] * 6 + [2, 4]), "tiers": tiers,
                "available": r.choice([None] * 5 + [20]), "lead": r.choice([1, 2, 3, 5, 8, 14]), "kit": False,
            })
        return len(parts) - 1

    def need(price):
        quantity = r.choice([1, 1, 1, 2, 4])
        return [quantity, sorted({part(price) for _ in range(r.choice([1, 1, 2]))})]

    def position():
        price = int(2500 * math.exp(r.gauss(0, 0.9))) + 20
        if r.random() < 0.5:
            return {"need": need(price)}
        values = [{"needs": [need(price)], "cash": 0, "change": 0} for _ in range(r.choice([2, 2, 3, 4]))]
        if r.random() < 0.5:
            # A hard part that could be kept: every other value is a further change.
            values[0] = {"needs": [], "cash": 0, "change": 0}
            for value in values[1:]:
                value["change"] = 1
        if r.random() < 0.1:
            values[-1]["cash"] = r.randint(100, 2000)
        wanted = r.randrange(len(values)) if r.random() < min(0.25, 3 / count) else None
        return {"choice": values, "asked": wanted}

    places = [position() for _ in range(count)]
    unknowns = r.choices([0, 1, 2], [4, 4, 2])[0]
    swaps = [{r.randrange(count): position() for _ in range(r.randint(1, 3))} for _ in range(unknowns)]
    versions = []
    for outcome in range(2 ** unknowns):
        held = list(places)
        for unknown, swap in enumerate(swaps):
            if outcome >> unknown & 1:
                for place, other in swap.items():
                    held[place] = other
        versions.append(held)
    pairs = [(at, at + 1) for at in range(count - 1)
             if all("choice" in version[at] and "choice" in version[at + 1] for version in versions)]
    barred = {pair: r.random() for pair in pairs if r.random() < 0.85}
    branches = [branch(version, barred) for version in versions]
    kits(r, places + [other for swap in swaps for other in swap.values()], r.randint(kits_least, kits_most),
         parts, offers, suppliers)
    fixed = [r.choice([0, 0, 1500, 3000]) for _ in range(suppliers)]
    return {
        "id": f"joint-{size}-{seed}", "kind": "joint", "size": size, "policy": r.choice(["first", "value", "none"]),
        "aims": r.choice(AIMS), "suppliers": fixed, "parts": parts, "offers": offers, "branches": branches,
    }


def branch(held, barred):
    """The needs and choices of one outcome; a barred pair of neighbours leaves out about half of its combinations."""
    place = {at: number for number, at in enumerate(at for at, one in enumerate(held) if "choice" in one)}
    tables = []
    for (first, second), draw in sorted(barred.items()):
        a, b = len(held[first]["choice"]), len(held[second]["choice"])
        salt = int(draw * 97)
        tuples = [[x, y] for x in range(a) for y in range(b) if x == y == 0 or (x * 7 + y * 3 + salt) % 5 < 3]
        tables.append({"scope": [place[first], place[second]], "tuples": tuples})
    return {
        "needs": [one["need"] for one in held if "need" in one],
        "choices": [one["choice"] for one in held if "choice" in one],
        "asked": [[place[at], one["asked"]] for at, one in enumerate(held) if one.get("asked") is not None],
        "tables": tables,
    }


def kits(r, places, count, parts, offers, suppliers):
    """Kits hold a part each of a run of positions, and now and then one that nothing needs."""
    loose = {}
    for offer in offers:
        loose.setdefault(offer["contents"][0][0], offer["tiers"][0][1])
    for _ in range(count):
        start, width = r.randrange(len(places)), r.choice([r.randint(3, 8), r.randint(6, 20)])
        contents = {}
        for one in (places + places)[start:start + min(width, len(places))]:
            needs = [one["need"]] if "need" in one else r.choice(one["choice"])["needs"]
            for quantity, accepts in needs:
                chosen = r.choice(accepts)
                contents[chosen] = contents.get(chosen, 0) + quantity
        if not contents:
            continue
        worth = sum(loose[held] * pieces for held, pieces in contents.items())
        if r.random() < 0.3:
            parts.append([0, 0, 0])
            contents[len(parts) - 1] = 1
        offers.append({
            "supplier": r.randrange(suppliers), "contents": sorted(map(list, contents.items())), "pack": 1,
            "minimum": 0, "tiers": [[0, int(worth * r.uniform(0.55, 0.95)) + 1]], "available": r.choice([None, 2]),
            "lead": r.choice([1, 2, 3, 5, 8]), "kit": True,
        })


class Model:
    """The problem as a constraint program."""

    def __init__(self, case):
        self.case, self.model = case, cp_model.CpModel()
        self.supply = [[] for _ in case["parts"]]
        needed = max(self.pieces(branch) for branch in case["branches"])
        self.spent, used, lead = [], {}, []
        for offer in case["offers"]:
            units, bought = self.offer(offer, needed)
            for held, pieces in offer["contents"]:
                self.supply[held].append(pieces * units)
            used.setdefault(offer["supplier"], []).append(bought)
            lead.append((offer["lead"], bought))
        sellers = []
        for supplier, buys in used.items():
            seller = self.model.NewBoolVar("")
            self.model.AddMaxEquality(seller, buys)
            self.spent.append(case["suppliers"][supplier] * seller)
            sellers.append(seller)
        days = self.model.NewIntVar(0, max([days for days, _ in lead], default=0), "")
        for longest, bought in lead:
            self.model.Add(days >= longest).OnlyEnforceIf(bought)
        limit = 10 ** 12
        worst = {aim: self.model.NewIntVar(0, limit, "") for aim in ("cash", "job_cost", "surplus")}
        self.changes = []
        for held in case["branches"]:
            self.branch(held, worst)
        self.values = {**worst, "days": days, "suppliers": sum(sellers)}

    @staticmethod
    def pieces(branch):
        asked = sum(quantity for quantity, _ in branch["needs"])
        for choice in branch["choices"]:
            asked += max(sum(quantity for quantity, _ in value["needs"]) for value in choice)
        return asked

    def offer(self, offer, needed):
        model, pack = self.model, offer["pack"]
        most = max(needed, offer["minimum"], offer["tiers"][-1][0]) + pack
        if offer["available"] is not None:
            most = min(most, offer["available"])
        packs, bought = model.NewIntVar(0, max(most // pack, 0), ""), model.NewBoolVar("")
        levels, counted = [], []
        for at, (start, price) in enumerate(offer["tiers"]):
            level, here = model.NewIntVar(0, most, ""), model.NewBoolVar("")
            end = offer["tiers"][at + 1][0] - 1 if at + 1 < len(offer["tiers"]) else most
            model.Add(level >= max(start, offer["minimum"], 1) * here)
            model.Add(level <= min(end, most) * here)
            self.spent.append(price * level)
            levels.append(level)
            counted.append(here)
        model.Add(sum(counted) == bought)
        model.Add(sum(levels) == pack * packs)
        return sum(levels), bought

    def branch(self, held, worst):
        model, case = self.model, self.case
        fitted = [[] for _ in case["parts"]]
        cash = list(self.spent)

        def serve(need, condition):
            quantity, accepts = need
            split = []
            for accepted in set(accepts):
                taken = model.NewIntVar(0, quantity, "")
                fitted[accepted].append(taken)
                split.append(taken)
            model.Add(sum(split) == quantity * condition)

        for need in held["needs"]:
            serve(need, 1)
        choices = []
        for choice in held["choices"]:
            taken = [model.NewBoolVar("") for _ in choice]
            model.AddExactlyOne(taken)
            choices.append(taken)
            for value, condition in zip(choice, taken):
                cash.append(value["cash"] * condition)
                self.changes.append(value["change"] * condition)
                for need in value["needs"]:
                    serve(need, condition)
        for choice, value in held["asked"]:
            model.Add(choices[choice][value] == 1)
        for table in held["tables"]:
            combinations = []
            for tuple_ in table["tuples"]:
                combination = model.NewBoolVar("")
                for choice, value in zip(table["scope"], tuple_):
                    model.AddImplication(combination, choices[choice][value])
                combinations.append(combination)
            model.AddExactlyOne(combinations) if combinations else model.AddBoolOr([])
        carried, surplus = [], [term for terms in self.supply for term in terms]
        for at, (free, value, _) in enumerate(case["parts"]):
            if not fitted[at]:
                continue
            count, used = sum(fitted[at]), model.NewIntVar(0, free if case["policy"] != "none" else 0, "")
            if case["policy"] == "first":
                model.AddMinEquality(used, [count, free])
            else:
                model.Add(used <= count)
            model.Add(count - used <= sum(self.supply[at]))
            surplus.append(used - count)
            carried.append(value * used)
        model.Add(worst["cash"] >= sum(cash))
        model.Add(worst["job_cost"] >= sum(cash) + sum(carried))
        model.Add(worst["surplus"] >= sum(surplus))


def solve(case, limit):
    """The least further changes over all branches, then the aims in order, each made least and kept; where the time ends
    first, the status is `unknown` and the values are those of the aims proven by then.

    Branches share no choice, so the least sum of changes is the sum of each branch's own least.
    """
    start = time.process_time()
    held = Model(case)
    spent, values = 0.0, []
    for aim in [sum(held.changes)] + [held.values[aim] for aim in case["aims"]]:
        solver = cp_model.CpSolver()
        solver.parameters.max_deterministic_time, solver.parameters.num_workers = limit, 1
        held.model.Minimize(aim)
        modelled = time.process_time()
        status = solver.Solve(held.model)
        spent += (time.process_time() - modelled) * 1e3
        if status != cp_model.OPTIMAL:
            said = "infeasible" if status == cp_model.INFEASIBLE else "unknown"
            proven = {"changes": values[0], "values": values[1:]} if values else {}
            return {"status": said, **proven, "solve_ms": spent, "ms": (time.process_time() - start) * 1e3}
        values.append(round(solver.ObjectiveValue()))
        held.model.Add(aim == values[-1])
    return {"status": "optimal", "changes": values[0], "values": values[1:], "solve_ms": spent,
            "ms": (time.process_time() - start) * 1e3}
