"""Writes tests/data/purchases.json: random purchases with optima proven by SciPy's milp (HiGHS).

Run by hand where SciPy is at hand: python3 crates/schedule/tests/compare_purchase.py
The instances are invented; the optima are those of the general solver, at a gap of zero.
"""

import json
import pathlib
import random
import time

import numpy as np
import scipy
from scipy.optimize import Bounds, LinearConstraint, milp


def instance(rng, suppliers, items):
    demand = {f"i{i}": rng.randint(3, 120) for i in range(items)}
    rows = {}
    for s in range(suppliers):
        offers = {}
        for item, need in demand.items():
            if rng.random() < 0.75:
                offer = {"price": rng.randint(100, 4000) / 100, "avail": rng.randint(2 * need // 3, 2 * need)}
                if rng.random() < 0.3:
                    offer["pack"] = rng.choice([2, 5, 6, 10])
                if rng.random() < 0.3:
                    first = rng.randint(2, need + 5)
                    offer["breaks"] = [[first, round(offer["price"] * 0.9, 2)]]
                    if rng.random() < 0.4:
                        offer["breaks"].append([first + rng.randint(1, need), round(offer["price"] * 0.8, 2)])
                offers[item] = offer
        row = {"delivery_fee": rng.randint(20, 300), "min_order": rng.choice([0, 0, 200, 500, 1000]), "offers": offers}
        if rng.random() < 0.4:
            row["free_delivery_over"] = rng.randint(500, 3000)
        rows[f"S{s}"] = row
    problem = {"demand": demand, "suppliers": rows}
    if rng.random() < 0.3:
        problem["most_drops"] = rng.randint(2, suppliers)
    return problem


def optimum(problem):
    names = list(problem["suppliers"])
    cost, upper, integrality = [], [], []

    def variable(price, most):
        cost.append(price)
        upper.append(most)
        integrality.append(1)
        return len(cost) - 1

    rows = []  # (terms, low, high)
    used = {s: variable(problem["suppliers"][s]["delivery_fee"], 1) for s in names}
    free = {}
    for s in names:
        if "free_delivery_over" in problem["suppliers"][s]:
            free[s] = variable(-problem["suppliers"][s]["delivery_fee"], 1)
            rows.append(({free[s]: 1, used[s]: -1}, -np.inf, 0))
    worth = {s: {} for s in names}
    cover = {item: {} for item in problem["demand"]}
    for s in names:
        for item, offer in problem["suppliers"][s]["offers"].items():
            pack = offer.get("pack", 1)
            most = offer["avail"] // pack
            steps = [(0, offer["price"])] + [tuple(b) for b in offer.get("breaks", [])]
            one = {}
            for k, (start, price) in enumerate(steps):
                low = -(-start // pack)
                high = min(most, (-(-steps[k + 1][0] // pack) - 1) if k + 1 < len(steps) else most)
                if low > high:
                    continue
                x, on = variable(price * pack, high), variable(0, 1)
                rows.append(({x: 1, on: -high}, -np.inf, 0))
                rows.append(({x: 1, on: -low}, 0, np.inf))
                one[on] = 1
                cover[item][x] = pack
                worth[s][x] = price * pack
            if one:
                rows.append(({**one, used[s]: -1}, -np.inf, 0))
    for item, terms in cover.items():
        rows.append((terms, problem["demand"][item], np.inf))
    for s in names:
        rows.append(({**worth[s], used[s]: -max(problem["suppliers"][s]["min_order"], 0.0001)}, 0, np.inf))
        if s in free:
            rows.append(({**worth[s], free[s]: -problem["suppliers"][s]["free_delivery_over"]}, 0, np.inf))
    if "most_drops" in problem:
        rows.append(({used[s]: 1 for s in names}, -np.inf, problem["most_drops"]))
    a = np.zeros((len(rows), len(cost)))
    for i, (terms, _, _) in enumerate(rows):
        for j, value in terms.items():
            a[i, j] = value
    found = milp(
        cost,
        constraints=LinearConstraint(a, [r[1] for r in rows], [r[2] for r in rows]),
        bounds=Bounds(0, upper),
        integrality=integrality,
        options={"mip_rel_gap": 0},
    )
    return None if found.status == 2 else round(found.fun, 4)


def main():
    rng = random.Random(20)
    cases = []
    for _ in range(100):
        problem = instance(rng, rng.randint(2, 5), rng.randint(2, 8))
        cases.append({"problem": problem, "optimum": optimum(problem)})
    large = instance(random.Random(7), 12, 200)
    large.pop("most_drops", None)
    begun = time.perf_counter()
    best = optimum(large)
    seconds = time.perf_counter() - begun
    print(f"12 suppliers, 200 items: {best} in {seconds:.2f} s")
    text = json.dumps(
        {
            "source": f"invented instances; optima by scipy {scipy.__version__} milp (HiGHS), gap 0",
            "cases": cases,
            "large": {"problem": large, "optimum": best},
        },
        separators=(",", ":"),
    )
    path = pathlib.Path(__file__).parent / "data" / "purchases.json"
    path.write_text(text.replace('{"problem"', '\n{"problem"') + "\n")


if __name__ == "__main__":
    main()
