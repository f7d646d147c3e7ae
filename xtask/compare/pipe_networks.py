"""Solves written pipe networks with the public-domain engine EPANET 2.2 and compares heads.

Run by `cargo xtask bench-water --against PYTHON`, where PYTHON has the packages wntr and six. Reads
NAME.inp and NAME.heads (one head a line in metres, in the order of the nodes) from a folder; prints for each
`NAME seconds S nodes N apart D`: S is the engine's own solve in its own process space, best of five, D the
greatest difference of a head in metres.
"""

import pathlib
import sys
import time

from wntr.epanet.toolkit import ENepanet
from wntr.epanet.util import EN

folder = pathlib.Path(sys.argv[1])
for inp in sorted(folder.glob("*.inp")):
    wanted = [float(line) for line in inp.with_suffix(".heads").read_text().split()]
    engine = ENepanet()
    engine.ENopen(str(inp), str(inp.with_suffix(".rpt")), str(inp.with_suffix(".bin")))
    engine.ENopenH()
    best = float("inf")
    for _ in range(5):
        engine.ENinitH(10)  # flows begin anew, nothing is saved
        begun = time.perf_counter()
        engine.ENrunH()
        best = min(best, time.perf_counter() - begun)
    apart = 0.0
    for i, head in enumerate(wanted):
        index = engine.ENgetnodeindex(f"N{i}")
        apart = max(apart, abs(engine.ENgetnodevalue(index, EN.HEAD) - head))
    engine.ENcloseH()
    engine.ENclose()
    print(f"{inp.stem} seconds {best} nodes {len(wanted)} apart {apart}")
