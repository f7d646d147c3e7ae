"""Random pipe networks solved by the public-domain engine EPANET 2.2, for comparison.

Writes tests/data/random-networks.jsonl: a header line, then one network a line, all SI. The Rust
tests read that file and never run this script; run it only to make the file again:

    python3 -m venv venv && venv/bin/pip install wntr six && venv/bin/python compare_networks.py

Networks with a pressure below 10 m are left out: no outlet works there. The engine takes 32.2 ft/s2
for gravity where ours takes the standard 9.80665 m/s2, 0.08 % less, which shows in minor losses.
"""

import datetime
import json
import math
import pathlib
import random
import tempfile

import wntr

COUNT = 200
BORES = [0.0158, 0.0209, 0.0266, 0.0351, 0.0409, 0.0525]


def sketch(seed):
    """A network as plain data: nodes [elevation, demand, k], links [from, to, kind, ...]."""
    r = random.Random(seed)
    size = r.randint(3, 40)
    supply = round(r.uniform(25, 70), 2)
    nodes = [[0.0, 0.0, 0.0]]
    links = []
    pipe = lambda a, b, bores: [
        a, b, "pipe", round(r.uniform(1, 30), 2), r.choice(bores), round(r.choice([0, 0.9, 1.8, 3.6]), 1)]
    for i in range(1, size):
        kind = r.random()
        demand = round(r.uniform(0.01, 0.1) / 1000, 7) if kind < 0.15 else 0.0
        k = round(r.uniform(0.004, 0.03) / 1000, 8) if 0.15 <= kind < 0.75 or i == size - 1 else 0.0
        nodes.append([round(r.uniform(-3, 3), 2), demand, k])
        before = r.randrange(max(0, i - 4), i)
        links.append(pipe(before, i, BORES[3:] if i < size // 3 else BORES[1:5]))
    looped = seed % 3 == 0
    if looped:
        for _ in range(r.randint(1, max(1, size // 4))):
            a, b = r.randrange(size), r.randrange(size)
            if a != b:
                links.append(pipe(a, b, BORES[:4]))
    special = seed % 5
    if special == 1:  # a pump after the supply
        shutoff = round(r.uniform(10, 30), 2)
        points = [0.0015, round(shutoff * r.uniform(0.8, 0.9), 2), 0.0025, round(shutoff * r.uniform(0.3, 0.6), 2)]
        links[0] = [0, 1, "pump", shutoff] + points
    elif special == 2 and not looped and size > 3:  # a regulator on a pipe that is not at the supply
        at = next(i for i in range(1, len(links)) if links[i][0] != 0)
        first = links[at]
        nodes.append([nodes[first[0]][0], 0.0, 0.0])
        middle = len(nodes) - 1
        links[at] = [middle, first[1]] + first[2:]
        links.append([first[0], middle, "regulator", round(r.uniform(15, 40), 2), 0.0409, 2.0])
    elif special == 3:  # a check valve, the right way round
        links[0][2] = "check"
    friction = "H-W" if seed % 2 else "D-W"
    rough = round(r.choice([150, 140, 120]), 0) if friction == "H-W" else r.choice([1.5e-6, 1e-5, 1e-4])
    return {"seed": seed, "supply": supply, "friction": friction, "rough": rough,
            "exponent": r.choice([0.5, 0.5, 0.5, 0.6, 1.0]) if special != 4 else 0.5,
            "nodes": nodes, "links": links}


def solved(s):
    """Heads and flows by the engine, or None where they are not comparable."""
    wn = wntr.network.WaterNetworkModel()
    o = wn.options
    o.time.duration = 0
    o.hydraulic.headloss = s["friction"]
    o.hydraulic.emitter_exponent = s["exponent"]
    o.hydraulic.accuracy = 1e-8
    o.hydraulic.trials = 500
    o.hydraulic.inpfile_units = "LPS"
    names = ["S"] + [f"N{i}" for i in range(1, len(s["nodes"]))]
    wn.add_reservoir("S", base_head=s["supply"])
    for name, (z, demand, k) in list(zip(names, s["nodes"]))[1:]:
        wn.add_junction(name, base_demand=demand, elevation=z)
        if k:
            # k is the flow at a metre of head.
            wn.get_node(name).emitter_coefficient = k
    for i, link in enumerate(s["links"]):
        a, b, kind = names[link[0]], names[link[1]], link[2]
        if kind in ("pipe", "check"):
            wn.add_pipe(f"L{i}", a, b, length=link[3], diameter=link[4], roughness=s["rough"],
                        minor_loss=link[5], check_valve=kind == "check")
        elif kind == "pump":
            h0, q1, h1, q2, h2 = link[3:]
            wn.add_curve(f"C{i}", "HEAD", [(0.0, h0), (q1, h1), (q2, h2)])
            wn.add_pump(f"L{i}", a, b, "HEAD", f"C{i}")
        elif kind == "regulator":
            wn.add_valve(f"L{i}", a, b, diameter=link[4], valve_type="PRV", minor_loss=link[5],
                         initial_setting=link[3])
    with tempfile.TemporaryDirectory() as folder:
        results = wntr.sim.EpanetSimulator(wn).run_sim(file_prefix=str(pathlib.Path(folder) / "run"))
    head = results.node["head"].iloc[0]
    flow = results.link["flowrate"].iloc[0]
    heads = [round(float(head[n]), 6) for n in names]
    flows = [float(f"{float(flow[f'L{i}']):.6g}") for i in range(len(s["links"]))]
    pressures = [h - z[0] for h, z in list(zip(heads, s["nodes"]))[1:]]
    if min(pressures) < 10 or any(not math.isfinite(x) for x in heads + flows):
        return None
    return {"heads": heads, "flows": flows}


def main():
    lines = []
    seed = 0
    while len(lines) < COUNT:
        seed += 1
        s = sketch(seed)
        try:
            answer = solved(s)
        except Exception as problem:  # the engine refuses some; say so and go on
            print(seed, problem)
            continue
        if answer:
            lines.append(json.dumps(s | answer, separators=(",", ":")))
    header = {"engine": "EPANET 2.2", "wntr": wntr.__version__, "date": str(datetime.date.today()),
              "accuracy": 1e-8, "viscosity_m2_per_s": 1.1e-5 * 0.3048**2, "tried": seed,
              "units": "m, m3/s; k is the flow at a metre of head; regulator settings in m"}
    target = pathlib.Path(__file__).parent / "data" / "random-networks.jsonl"
    target.write_text("\n".join([json.dumps(header)] + lines) + "\n")


if __name__ == "__main__":
    main()
