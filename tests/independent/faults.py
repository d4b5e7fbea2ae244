"""Single faults and slips of a netlist: what can be wrong, and the netlist with it."""

import numpy as np

from population import rounded

SHORT, METER = 0.01, 1e7  # a link and a meter [Ω]
OPEN_CAPACITOR = dict(c=1e-12, esr=1e5)  # what two leads without a capacitor have between them


def faults(elements):
    """Every single fault and slip of the netlist, by sort."""
    found = {}
    for e in elements:
        name, kind = e["name"], e["type"]
        put = lambda sort: found.setdefault(sort, []).append(name)
        if kind == "R" and not name.startswith("RK"):
            put("resistor open")
            if not name.startswith(("RSRC", "RBAT", "RBA", "RBB")):
                put("resistor short")
        elif kind == "C":
            put("capacitor open")
            put("capacitor dried out")
            put("capacitor short")
        elif kind in ("D", "Z"):
            for sort in ("open", "short", "turned"):
                put(f"diode {sort}")
        elif kind == "REG":
            for sort in ("passes its input through", "ground open", "no output",
                         "in and out swapped", "in and ground swapped", "out and ground swapped"):
                put(f"regulator {sort}")
        elif kind == "vsin" and name == "VS":
            put("adaptor of half again the voltage")
    return found


def disturb(elements, sort, name):
    """The elements with that fault."""
    result = []
    for e in elements:
        e = dict(e)
        result.append(e)
        if sort.startswith("adaptor") and e["type"] == "vsin":
            e["vrms"] = rounded(1.5 * e["vrms"])
        if e["name"] != name:
            continue
        link = lambda p, n, r=SHORT: result.append(
            {"type": "R", "name": "LINK", "p": p, "n": n, "r": r})
        what = sort.split(" ", 1)[1]
        if sort == "capacitor open":
            e.update(OPEN_CAPACITOR)
        elif what == "dried out":
            e["c"], e["esr"] = rounded(0.1 * e["c"]), rounded(20.0 * e["esr"])
        elif what == "open":
            e["p" if "p" in e else "a"] = "open"
        elif what == "short":
            link(*((e["p"], e["n"]) if "p" in e else (e["a"], e["k"])))
        elif what == "turned":
            e["a"], e["k"] = e["k"], e["a"]
        elif what == "passes its input through":
            link(e["in"], e["out"])
        elif what == "ground open":
            e["gnd"] = "G"
        elif what == "no output":
            e["out"] = "open"
            link("open", "0", METER)
        elif what.endswith("swapped"):
            a, b = ("gnd" if x == "ground" else x for x in what.split()[0:3:2])
            e[a], e[b] = e[b], e[a]
    return result


def faulted(seed, elements):
    """One fault of a netlist: its sort drawn first, then its place."""
    random = np.random.default_rng([seed, 1])
    sorts = faults(elements)
    sort = sorted(sorts)[int(random.integers(len(sorts)))]
    name = sorts[sort][int(random.integers(len(sorts[sort])))]
    return disturb(elements, sort, name), f"{name}: {sort}"
