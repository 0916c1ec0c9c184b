"""The second referee: SCIP, which comes with the wheel of OR-tools, gets cover and joint problems as mixed-integer programs.

Where CP-SAT does not prove all aims within its limit, SCIP does so in seconds: its cuts fit what these problems are made of.
It computes in floating point, so it is asked only where CP-SAT has no proof, and must agree with all that CP-SAT has.
"""
import time

from ortools.linear_solver import pywraplp


class Program:
    """A mixed-integer program with shorthands."""

    def __init__(self, seconds):
        self.solver = pywraplp.Solver.CreateSolver("SCIP")
        self.solver.SetTimeLimit(int(seconds * 1000))
        self.parameters = pywraplp.MPSolverParameters()
        self.parameters.SetDoubleParam(pywraplp.MPSolverParameters.RELATIVE_MIP_GAP, 0.0)

    def whole(self, most):
        return self.solver.IntVar(0, most, "")

    def binary(self):
        return self.solver.BoolVar("")

    def real(self):
        return self.solver.NumVar(-self.solver.infinity(), self.solver.infinity(), "")

    def add(self, condition):
        self.solver.Add(condition)

    def least(self, aims):
        """The least values of the aims one after the other, as far as they are proven."""
        values = []
        for aim in aims:
            self.solver.Minimize(aim)
            if self.solver.Solve(self.parameters) != pywraplp.Solver.OPTIMAL:
                break
            values.append(round(self.solver.Objective().Value()))
            self.add(aim <= values[-1])
        return values


def total(terms):
    """A sum that is an expression even where it is empty."""
    return pywraplp.SumArray(terms) if terms else pywraplp.Constant(0)


class Purchases:
    """What is bought: by part what it brings, what is spent, who is bought from and the lead times."""

    def __init__(self, program, parts, fixed):
        self.program, self.fixed = program, fixed
        self.supply, self.spent, self.lead, self.by_supplier = [[] for _ in range(parts)], [], [], {}

    def bought(self, supplier, lead, binary):
        self.by_supplier.setdefault(supplier, []).append(binary)
        self.lead.append((lead, binary))

    def sellers_and_days(self):
        """Closes the list: the number of suppliers used, and the longest lead time."""
        sellers = []
        for supplier, purchases in self.by_supplier.items():
            sellers.append(self.program.binary())
            for purchase in purchases:
                self.program.add(sellers[-1] >= purchase)
            self.spent.append(self.fixed[supplier] * sellers[-1])
        days = self.program.solver.NumVar(0, self.program.solver.infinity(), "")
        for lead, purchase in self.lead:
            self.program.add(days >= lead * purchase)
        return total(sellers), days


def most_fitted(case):
    """Of each part the most pieces that a branch can fit."""
    most = [0] * len(case["parts"])
    for branch in case["branches"]:
        fitted = [0] * len(most)
        for quantity, accepts in branch["needs"]:
            for part in set(accepts):
                fitted[part] += quantity
        for choice in branch["choices"]:
            of_value = [{} for _ in choice]
            for counts, value in zip(of_value, choice):
                for quantity, accepts in value["needs"]:
                    for part in set(accepts):
                        counts[part] = counts.get(part, 0) + quantity
            for part in set().union(*of_value):
                fitted[part] += max(counts.get(part, 0) for counts in of_value)
        most = list(map(max, most, fitted))
    return most


def buy(program, case, most):
    """The offers of a joint problem: each in packs and, by quantity, at one of its prices."""
    purchases = Purchases(program, len(most), case["suppliers"])
    for offer in case["offers"]:
        pack = offer["pack"]
        enough = max(-(-most[part] // pieces) for part, pieces in offer["contents"])
        limit = max(enough, offer["minimum"], offer["tiers"][-1][0]) + pack
        if offer["available"] is not None:
            limit = min(limit, offer["available"])
        packs, bought = program.whole(max(limit // pack, 0)), program.binary()
        levels, held = [], []
        for at, (start, price) in enumerate(offer["tiers"]):
            level, here = program.whole(limit), program.binary()
            end = offer["tiers"][at + 1][0] - 1 if at + 1 < len(offer["tiers"]) else limit
            program.add(level >= max(start, offer["minimum"], 1) * here)
            program.add(level <= min(end, limit) * here)
            purchases.spent.append(price * level)
            levels.append(level)
            held.append(here)
        program.add(total(held) == bought)
        program.add(total(levels) == pack * packs)
        for part, pieces in offer["contents"]:
            purchases.supply[part].append(pieces * total(levels))
        purchases.bought(offer["supplier"], offer["lead"], bought)
    return purchases


def choose(program, branch, parts):
    """The needs and choices of a branch: by part what is fitted, the cash of the values, and the changes."""
    fitted, cash, changes = [[] for _ in range(parts)], [], []

    def serve(need, condition):
        quantity, accepts = need
        split = []
        for part in sorted(set(accepts)):
            split.append(program.whole(quantity))
            fitted[part].append(split[-1])
        program.add(total(split) == quantity * condition)

    for need in branch["needs"]:
        serve(need, 1)
    choices = []
    for choice in branch["choices"]:
        choices.append([program.binary() for _ in choice])
        program.add(total(choices[-1]) == 1)
        for value, taken in zip(choice, choices[-1]):
            cash.append(value["cash"] * taken)
            changes.append(value["change"] * taken)
            for need in value["needs"]:
                serve(need, taken)
    for choice, value in branch["asked"]:
        program.add(choices[choice][value] >= 1)
    for table in branch["tables"]:
        held = [program.binary() for _ in table["tuples"]]
        for at, choice in enumerate(table["scope"]):
            for value, taken in enumerate(choices[choice]):
                with_value = [one for one, values in zip(held, table["tuples"]) if values[at] == value]
                program.add(total(with_value) == taken)
    return fitted, cash, changes


def stock(program, case, part, count, most):
    """The pieces of a part taken from the shelf, of so many fitted."""
    free = case["parts"][part][0] if case["policy"] != "none" else 0
    used = program.whole(free)
    program.add(used <= count)
    if case["policy"] == "first" and free:
        all_used = program.binary()
        program.add(used >= free * all_used)
        program.add(used >= count - most * all_used)
    return used


def joint(case, seconds):
    """The least further changes and the values of the aims of a joint problem."""
    program, most = Program(seconds), most_fitted(case)
    purchases = buy(program, case, most)
    sellers, days = purchases.sellers_and_days()
    worst = {aim: program.real() for aim in ("cash", "job_cost", "surplus")}
    brought = [term for terms in purchases.supply for term in terms]
    all_changes = []
    for branch in case["branches"]:
        fitted, cash, changes = choose(program, branch, len(most))
        all_changes += changes
        carried, surplus = [], list(brought)
        for part, (_, value, _) in enumerate(case["parts"]):
            if fitted[part]:
                count = total(fitted[part])
                used = stock(program, case, part, count, most[part])
                program.add(count - used <= total(purchases.supply[part]))
                surplus.append(used - count)
                carried.append(value * used)
        spent = total(purchases.spent + cash)
        program.add(worst["cash"] >= spent)
        program.add(worst["job_cost"] >= spent + total(carried))
        program.add(worst["surplus"] >= total(surplus))
    values = {**worst, "days": days, "suppliers": sellers}
    found = program.least([total(all_changes)] + [values[aim] for aim in case["aims"]])
    return {"changes": found[0], "values": found[1:]} if found else {}


def cover(case, seconds):
    """The value of the first aim, where there is one before cost, and the least cost of a cover problem."""
    program = Program(seconds)
    purchases = Purchases(program, len(case["parts"]), [one["fixed"] for one in case["suppliers"]])

    def purchase(supplier, price, available, lead, least):
        units, bought = program.whole(available), program.binary()
        program.add(units >= max(least, 1) * bought)
        program.add(units <= available * bought)
        purchases.spent.append(price * units)
        if supplier:
            purchases.bought(supplier, lead, bought)
        return units

    for kit in case["kits"]:
        units = purchase(kit["supplier"], kit["price"], kit["stock"], kit["lead"], 1)
        for part, pieces in kit["contents"]:
            purchases.supply[part].append(pieces * units)
    for part, held in enumerate(case["parts"]):
        for offer in held["offers"]:
            units = purchase(offer["supplier"], offer["price"], offer["stock"], offer["lead"], offer["moq"])
            purchases.supply[part].append(offer["pack"] * units)
    used = [[] for _ in case["parts"]]
    for demand in case["demands"]:
        split = []
        for part in demand["accepts"]:
            split.append(program.whole(demand["qty"]))
            used[part].append(split[-1])
        program.add(total(split) == demand["qty"])
    for brought, taken in zip(purchases.supply, used):
        if taken:
            program.add(total(taken) <= total(brought))
    sellers, days = purchases.sellers_and_days()
    first = {"suppliers": [sellers], "earliest": [days]}.get(case["objective"], [])
    found = program.least(first + [total(purchases.spent)])
    if len(found) <= len(first):
        return {}
    return {"first": found[0] if first else None, "obj": found[-1]}


def complete(case, expect, seconds):
    """What CP-SAT said, with SCIP's answer to what it did not prove; refused where the two contradict each other."""
    if expect["status"] != "unknown":
        return expect
    start = time.process_time()
    found = (joint if case["kind"] == "joint" else cover)(case, seconds)
    known = expect.get("values", [])
    agrees = found.get("values", known)[:len(known)] == known and (
        not found or expect.get("changes") in (None, found.get("changes")))
    if not agrees:
        raise ValueError(f"{case['id']}: CP-SAT says {expect}, SCIP says {found}")
    return {**expect, "second": {**found, "ms": (time.process_time() - start) * 1e3}} if found else expect
