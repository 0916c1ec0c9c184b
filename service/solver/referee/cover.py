"""Cover problems: seeded instances of a rebuild's shopping list, and what CP-SAT says of them.

Prices are per pack, minimum orders and stock count packs, and the first supplier is the shop's own shelf. The objective
is least cost, or the fewest days or suppliers before it.
"""
import math
import random
import time

from ortools.sat.python import cp_model

# demands, kits, suppliers with the shelf
SIZES = {"small": ((20, 40), (4, 8), (2, 4)), "medium": ((80, 120), (15, 25), (3, 5)),
         "large": ((180, 220), (35, 45), (4, 7)), "extreme": ((400, 400), (80, 90), (6, 9))}


def generate(size, seed):
    """One instance."""
    r = random.Random(f"cover-{size}-{seed}")
    demand_range, kit_range, supplier_range = SIZES[size]
    count, kit_count, supplier_count = (r.randint(*span) for span in SIZES[size])
    charged = r.random() < 0.6
    suppliers = [{"id": "STOCK", "fixed": 0}] + [
        {"id": f"S{at}", "fixed": r.choice([0, 1500, 2500, 4000, 6000]) if charged else 0}
        for at in range(1, supplier_count)]
    units = r.choices([1, 2, 3], [6, 2, 1])[0]
    parts, demands = [], []
    for at in range(count):
        small = r.random() < 0.35
        price = (150 if small else 3500) * math.exp(r.gauss(0, 0.9))
        pieces = r.choices([1, 2, 4, 8, 12, 24], [4, 4, 3, 2, 1, 1]) if small else r.choices([1, 2, 4], [10, 4, 1])
        accepts = [part(r, parts, price, small, supplier_count)]
        if r.random() < 0.22:
            accepts += [part(r, parts, price, small, supplier_count) for _ in range(r.randint(1, 3))]
        if at and r.random() < 0.06:
            accepts.append(r.choice(demands[max(0, at - 6):])["accepts"][0])
        demands.append({"line": at, "qty": pieces[0] * units, "accepts": sorted(set(accepts))})
    for demand in demands:
        # Never impossible: the largest offer of a part always has enough.
        offers = [one for one in parts[demand["accepts"][0]]["offers"] if one["supplier"]]
        largest = max(offers, key=lambda one: one["stock"] * one["pack"])
        largest["stock"] = max(largest["stock"], -(-demand["qty"] * 2 // largest["pack"]))
    extras = [part(r, parts, 2000 * math.exp(r.gauss(0, 0.8)), False, supplier_count) for _ in range(count // 4)]
    kits = kits_of(r, kit_count, demands, parts, extras, units, supplier_count)
    objective = r.choices(["cost", "earliest", "suppliers"], [7, 2, 1])[0]
    return {"id": f"cover-{size}-{seed}", "kind": "cover", "size": size, "objective": objective,
            "suppliers": suppliers, "parts": parts, "demands": demands, "kits": kits}


def part(r, parts, price, small, supplier_count):
    """Adds a part with one to three offers, and now and then some on the shelf."""
    price, offers = max(20, int(price * r.uniform(0.7, 1.5))), []
    wanted = min(r.choices([1, 2, 3], [4, 4, 2])[0], supplier_count - 1)
    for supplier in r.sample(range(1, supplier_count), wanted):
        packs = ([1, 2, 5, 10, 25], [12, 2, 2, 2, 1]) if small else ([1, 2, 4], [18, 1, 1])
        pack = r.choices(*packs)[0]
        each = max(10, int(price * r.uniform(0.85, 1.3) * (1 if pack == 1 else 0.85)))
        stock = r.choice([3, 6, 20, 100]) if pack == 1 else r.choice([2, 5, 50])
        least = r.choices([1, 2, 5], [9, 1, 1 if small else 0])[0]
        offers.append({"supplier": supplier, "price": each * pack, "pack": pack, "moq": min(least, stock),
                       "stock": stock, "lead": r.choice([1, 2, 3, 5, 10, 21])})
    if r.random() < 0.3:
        offers.append({"supplier": 0, "price": int(price * 0.8), "pack": 1, "moq": 1, "stock": r.randint(1, 4), "lead": 0})
    parts.append({"pn": f"P{len(parts)}", "offers": offers})
    return len(parts) - 1


def kits_of(r, kit_count, demands, parts, extras, units, supplier_count):
    """Kits over runs of demands, some with a smaller kit's lines inside, most with a part that nothing needs."""
    each = [min(one["price"] / one["pack"] for one in held["offers"]) for held in parts]
    kits, blocks, count = [], [], len(demands)
    for at in range(kit_count):
        start = r.randrange(count)
        widths = [r.randint(4, 8), r.randint(8, 20), r.randint(20, max(21, min(60, count // 2)))]
        width = r.choices(widths, [5, 4, 2])[0]
        lines = [(start + step) % count for step in range(width) if r.random() < 0.75] or [start]
        if blocks and r.random() < 0.25:
            lines = sorted(set(lines) | set(r.choice(blocks)))[:60]
        blocks.append(lines)
        contents = {}
        for line in lines:
            accepts, asked = demands[line]["accepts"], demands[line]["qty"]
            chosen = r.choices(accepts, [3] + [1] * (len(accepts) - 1))[0]
            pieces = max(1, asked // units) if r.random() < 0.85 else r.randint(1, asked)
            contents[chosen] = contents.get(chosen, 0) + pieces
        for _ in range(r.randint(0, 3)):
            chosen = r.choice(extras)
            contents[chosen] = contents.get(chosen, 0) + 1
        worth = sum(each[held] * pieces for held, pieces in contents.items())
        kits.append({"code": f"K{at}", "supplier": r.randrange(1, supplier_count), "stock": r.randint(1, 4),
                     "price": int(worth * r.uniform(0.6, 0.95)) + 50, "lead": r.choice([0, 1, 3, 5, 10]),
                     "contents": [list(one) for one in sorted(contents.items())]})
    return kits


def model(case):
    """The problem as a constraint program: cost, who is bought from, and the lead time of each purchase."""
    held, cost, bought, leads = cp_model.CpModel(), [], [], []
    supply, used = [[] for _ in case["parts"]], [[] for _ in case["parts"]]
    sold_by = [[] for _ in case["suppliers"]]

    def purchase(supplier, price, stock, lead, least):
        units = held.NewIntVar(0, stock, "")
        if least > 1:
            some = held.NewBoolVar("")
            held.Add(units >= least * some)
            held.Add(units <= stock * some)
        cost.append(price * units)
        sold_by[supplier].append((units, stock))
        leads.append((lead, units))
        return units

    for kit in case["kits"]:
        units = purchase(kit["supplier"], kit["price"], kit["stock"], kit["lead"], 1)
        for at, pieces in kit["contents"]:
            supply[at].append(pieces * units)
    for at, one in enumerate(case["parts"]):
        for offer in one["offers"]:
            units = purchase(offer["supplier"], offer["price"], offer["stock"], offer["lead"], offer["moq"])
            supply[at].append(offer["pack"] * units)
    for demand in case["demands"]:
        split = []
        for at in demand["accepts"]:
            split.append(held.NewIntVar(0, demand["qty"], ""))
            used[at].append(split[-1])
        held.Add(sum(split) == demand["qty"])
    for brought, taken in zip(supply, used):
        if taken:
            held.Add(sum(taken) <= sum(brought))
    for supplier, sales in zip(case["suppliers"][1:], sold_by[1:]):
        if sales and (supplier["fixed"] or case["objective"] == "suppliers"):
            seller = held.NewBoolVar("")
            for units, stock in sales:
                held.Add(units <= stock * seller)
            cost.append(supplier["fixed"] * seller)
            bought.append(seller)
    return held, sum(cost), sum(bought), leads


def solve(case, limit):
    """The value of the first aim, where there is one before cost, and the least cost."""
    start = time.process_time()
    held, cost, sellers, leads = model(case)
    first, aims, spent = None, [cost], 0.0
    if case["objective"] == "suppliers":
        aims.insert(0, sellers)
    elif case["objective"] == "earliest":
        days = held.NewIntVar(0, max(lead for lead, _ in leads), "")
        for lead, units in leads:
            some = held.NewBoolVar("")
            held.Add(units == 0).OnlyEnforceIf(some.Not())
            held.Add(days >= lead).OnlyEnforceIf(some)
        aims.insert(0, days)
    for aim in aims:
        solver = cp_model.CpSolver()
        solver.parameters.max_deterministic_time, solver.parameters.num_workers = limit, 1
        held.Minimize(aim)
        modelled = time.process_time()
        status = solver.Solve(held)
        spent += (time.process_time() - modelled) * 1e3
        if status != cp_model.OPTIMAL:
            said = "infeasible" if status == cp_model.INFEASIBLE else "unknown"
            return {"status": said, "solve_ms": spent, "ms": (time.process_time() - start) * 1e3}
        reached = round(solver.ObjectiveValue())
        if aim is not cost:
            first = reached
            held.Add(aim == reached)
    return {"status": "optimal", "obj": reached, "first": first, "solve_ms": spent,
            "ms": (time.process_time() - start) * 1e3}
