"""Solves 200 random healthy circuits and 200 faulted ones apart from the program, for its test.

    python3 tests/independent/solve.py --check tests/reference/circuits.json
    python3 tests/independent/solve.py --out tests/independent/circuits.json --jobs 2

The first proves these equations and methods on circuits solved elsewhere. The second writes the
file; beside it `*.part` keeps each circuit as it is solved, so that a broken run goes on where it
stopped. A circuit on which the two methods differ by more than `AGREEMENT`, or that one of them
cannot solve, is replaced by that of the next seed and recorded in the file with the reason.
Needs numpy and scipy.
"""

import argparse
import datetime
import json
import os
import platform
import sys

sys.dont_write_bytecode = True
for threads in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
    os.environ[threads] = "1"

import multiprocessing
import warnings

import numpy as np
import scipy
from scipy.optimize import root

import faults
import population
from equations import K_BOLTZMANN, ELEMENTARY_CHARGE, KELVIN, VT, Circuit, NotSolved
from steady import cold_start, differences, solve_twice

AGREEMENT = 1e-4
PAIRS = 200
TRIES = 12


def direct(elements):
    """The operating point, and the quasi-static sweep where a source ripples."""
    circuit = Circuit([e for e in elements if e["type"] != "C"])
    u = circuit.drive(0.0)
    z = circuit.direct(u)
    # Again by scipy's hybrid method, from a start that is off; nearer where that stalls.
    right = circuit.right(u, np.zeros(0))
    off = np.random.default_rng(len(elements)).standard_normal(circuit.size)
    for volts in (1e-2, 1e-3, 1e-4, 1e-5):
        again = root(lambda y: circuit.system_one(y, right)[0],
                     z + np.where(circuit.voltage_rows, volts * off, 0.0),
                     jac=lambda y: circuit.system_one(y, right)[1],
                     options={"xtol": 1e-12, "maxfev": 2000})
        if np.max(np.abs(again.fun)) < 1e-10:
            break
    else:
        raise NotSolved("direct current: scipy's root does not get there")
    size = np.maximum(np.abs(z), np.where(circuit.voltage_rows, 1e-3, 1e-6))
    off = np.abs(again.x - z) / size
    off[[k for name, k in circuit.node.items() if name.startswith("open")]] = 0.0
    for name in [e["name"] for e in circuit.diodes]:
        off[circuit.at[name]] = 0.0  # what follows from its current, which the others check
    worst, place = float(off.max()), int(off.argmax())
    current = circuit.currents(z)
    dc = {"nodes": {name: float(circuit.voltage(z, name)) for name in circuit.names
                    if not name.startswith("open")},
          "branch_currents": {e["name"]: float(current[e["name"]]) * e.get("pol", 1)
                              for e in circuit.resistors + circuit.diodes + circuit.regulators},
          "source_currents": {e["name"]: -float(current[e["name"]]) for e in circuit.sources}}
    results = {"dc": dc}
    rippling = [k for k, e in enumerate(circuit.sources) if "ripple" in e]
    if rippling:
        theta = np.arange(2000) * (2.0 * np.pi / 2000)
        swept = np.repeat(u[None], len(theta), axis=0)
        swept[:, rippling[0]] += circuit.sources[rippling[0]]["ripple"] * np.cos(theta)
        z = circuit.solve_batch(np.repeat(z[None], len(theta), axis=0),
                                circuit.right(swept, np.zeros((len(theta), 0))))
        results["quasi_static_ripple"] = {}
        for name in dc["nodes"]:
            v = circuit.voltage(z, name)
            results["quasi_static_ripple"][name] = {
                "avg": float(v.mean()), "min": float(v.min()), "max": float(v.max()),
                "pp": float(v.max() - v.min())}
    return {"results": results, "check": {"worst": worst, "at": str(place)}}


def solved(elements, cold=False, even_if_tied=False):
    """The case's results and check; raises `NotSolved` where the two methods do not agree."""
    try:
        with warnings.catch_warnings(), np.errstate(all="ignore"):
            warnings.simplefilter("ignore")
            if all(e["type"] != "vsin" for e in elements):
                found = direct(elements)
            else:
                circuit = Circuit(elements)
                found = solve_twice(circuit)
                if cold:
                    steady = found["results"]
                    found["results"], off = cold_start(circuit, steady["nodes"]["P"]["avg"],
                                                       even_if_tied)
                    found["results"]["steady"] = steady
                    found["check"]["worst"] = max(found["check"]["worst"], off)
    except (np.linalg.LinAlgError, ValueError, StopIteration) as trouble:
        raise NotSolved(f"{type(trouble).__name__}: {trouble}") from trouble
    check = found["check"]
    if not check["worst"] <= AGREEMENT:
        raise NotSolved(f"the methods differ by {check['worst']:.1e} at {check['at']}")
    if not check.get("closure_Radau", 0.0) <= AGREEMENT:
        raise NotSolved(f"the period closes elsewhere by {check['closure_Radau']:.1e}")
    return found


def family(k):
    """Which family the k-th circuit is of, and whether it is switched on cold."""
    if k % 16 == 0:
        return population.COLD[k // 16 % len(population.COLD)], True
    if k % 4 == 1:
        return population.DIRECT[k // 4 % len(population.DIRECT)], False
    return population.MAINS[(k // 4 * 3 + (0, None, 2, 1)[k % 4]) % len(population.MAINS)], False


def pair(k):
    """The k-th healthy circuit, one fault of it, and what had to be replaced on the way."""
    replaced, cases, elements = [], [], None
    draws, cold = family(k)
    for fault in (False, True):
        for seed in range(1000 * k + 1, 1000 * k + 1 + TRIES):
            what = None
            if fault:
                netlist, what = faults.faulted(seed, elements)
            else:
                draw = population.healthy(seed, draws)
                netlist, description = draw.elements, draw.description
            name = f"{'faulted' if fault else 'healthy'}-{k:03}"
            try:
                found = solved(netlist, cold and not fault)
            except NotSolved as reason:
                replaced.append({"id": name, "seed": seed, "description": description,
                                 **({"fault": what} if fault else {}), "why": str(reason)})
                continue
            elements = elements or netlist
            cases.append({"id": name, "seed": seed, "description": description,
                          **({"fault": what} if fault else {}), "elements": netlist, **found})
            break
        else:
            replaced.append({"id": name, "why": f"none of {TRIES} seeds could be solved"})
    return {"k": k, "cases": cases, "replaced": replaced}


def short(value, digits):
    if isinstance(value, dict):
        return {key: short(item, 10 if key == "dc" else digits) for key, item in value.items()
                if key != "start"}
    if isinstance(value, list):
        return [short(item, digits) for item in value]
    if isinstance(value, float):
        return float(f"{value:.3g}" if abs(value) < 1e-10 else f"{value:.{digits}g}")
    return value


def check(path):
    """Solves the circuits of a file of this form and prints how far the two are apart."""
    for case in json.load(open(path))["cases"]:
        given = case["results"]
        try:
            found = solved(case["elements"], "inrush_peak_A" in given, True)
        except NotSolved as reason:
            print(f"{case['id']}: NOT SOLVED: {reason}")
            continue
        results = found["results"]
        if "dc" in given:
            worst = max((abs(value - results["dc"][group][name]) / max(abs(value), 1e-6), name)
                        for group in given["dc"] for name, value in given["dc"][group].items())
            for name, swept in given.get("quasi_static_ripple", {}).items():
                for key, value in swept.items():
                    off = abs(value - results["quasi_static_ripple"][name][key]) / abs(value)
                    worst = max(worst, (off, f"{name} swept {key}"))
        else:
            steady = given.get("steady", given)
            mine = results.get("steady", results)
            mine = {group: {name: {key: mine[group][name][key] for key in numbers}
                            for name, numbers in steady[group].items()}
                    for group in ("nodes", "diodes", "caps", "secondary", "regulators")}
            worst = differences(steady, mine)
            if "inrush_peak_A" in given:
                off = abs(results["inrush_peak_A"] / given["inrush_peak_A"] - 1.0)
                worst = max(worst, (off, "inrush"))
                assert results["settle_periods"] == given["settle_periods"]
                for a, b in zip(given["per_period_avg_P"], results["per_period_avg_P"]):
                    worst = max(worst, (abs(b / a - 1.0), "mean of a period"))
        print(f"{case['id']}: {worst[0]:.1e} at {worst[1]}; "
              f"two methods here: {found['check']['worst']:.1e} at {found['check']['at']}",
              flush=True)


def generate(out, jobs):
    part = out + ".part"
    done = {}
    if os.path.exists(part):
        done = {(r := json.loads(line))["k"]: r for line in open(part)}
    with multiprocessing.Pool(jobs) as pool, open(part, "a") as kept:
        for result in pool.imap_unordered(pair, [k for k in range(PAIRS) if k not in done]):
            done[result["k"]] = result
            kept.write(json.dumps(result) + "\n")
            kept.flush()
            print(result["k"], [(c["id"], c.get("fault"), f"{c['check']['worst']:.1e}")
                                for c in result["cases"]], result["replaced"], flush=True)
    cases = [short(c, 6) for k in sorted(done) for c in done[k]["cases"]]
    for case, full in zip(cases, (c for k in sorted(done) for c in done[k]["cases"])):
        case["elements"] = full["elements"]
        case["check"] = {key: float(f"{v:.1e}") if isinstance(v, float) else v
                         for key, v in full["check"].items()}
    cases.sort(key=lambda c: "fault" in c)
    replaced = [r for k in sorted(done) for r in done[k]["replaced"]]
    header = {
        "about": "Random circuits solved by tests/independent/solve.py with scipy's LSODA and, "
                 "again, with scipy's Radau (direct current: Newton and scipy.optimize.root)",
        "models": "../reference/models.md", "seeds": "1000 k + 1 for pair k, then the next",
        "versions": {"python": platform.python_version(), "numpy": np.__version__,
                     "scipy": scipy.__version__},
        "date": datetime.date.today().isoformat(),
        "constants": {"k": K_BOLTZMANN, "q": ELEMENTARY_CHARGE, "T_K": KELVIN, "Vt": VT,
                      "Gmin": 1e-12},
        "agreement": AGREEMENT, "n_cases": len(cases),
        "n_healthy": sum("fault" not in c for c in cases),
        "n_faulted": sum("fault" in c for c in cases), "n_replaced": len(replaced),
        "replaced": replaced}
    compact = lambda value: json.dumps(value, separators=(",", ":"))
    with open(out, "w") as file:
        file.write("{\n")
        for key, value in header.items():
            lines = ",\n".join(map(compact, value)) if key == "replaced" else None
            file.write(f'"{key}":' + (f"[\n{lines}\n]" if lines else compact(value)) + ",\n")
        file.write('"cases":[\n' + ",\n".join(map(compact, cases)) + "\n]}\n")
    os.remove(part)
    print(f"{header['n_healthy']} healthy, {header['n_faulted']} faulted, "
          f"{len(replaced)} replaced")


if __name__ == "__main__":
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("--check", metavar="FILE", help="solve the circuits of this file again")
    options.add_argument("--out", metavar="FILE", help="draw, solve and write here")
    options.add_argument("--jobs", type=int, default=1)
    chosen = options.parse_args()
    if chosen.check:
        check(chosen.check)
    elif chosen.out:
        generate(chosen.out, chosen.jobs)
    else:
        options.print_help()
        sys.exit(2)
