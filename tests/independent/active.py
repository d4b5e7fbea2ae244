"""Circuits with op-amps, bipolar transistors, MOSFETs and shunt references, solved apart.

`python3 tests/independent/active.py --out tests/independent/active.json` draws them and solves
each with scipy's LSODA and, again, with its Radau; what the two do not agree on is replaced by the
next seed and listed. The equations are those of the doc comments of `src/circuit/op_amp.rs`,
`bipolar.rs`, `mosfet.rs` and `shunt_reference.rs`, written down here on their own; their slopes
come from dual numbers, not from formulas.

Owns: these devices, beside those of `equations.py`, and the circuits they stand in.
"""

import argparse
import datetime
import json
import math
import platform
import sys

import numpy as np
import scipy
from scipy.linalg import lu_factor, lu_solve

from equations import Circuit, NotSolved, VT
from population import Draw, rounded
from solve import AGREEMENT, short
from steady import solve_twice

TRIES = 12
EACH = 3  # circuits of a family; every third has a fault


class Dual:
    """A number with its slopes."""

    def __init__(self, value, slopes):
        self.value, self.slopes = value, slopes

    @staticmethod
    def of(x, like):
        return x if isinstance(x, Dual) else Dual(float(x), np.zeros_like(like.slopes))

    def __add__(self, other):
        other = Dual.of(other, self)
        return Dual(self.value + other.value, self.slopes + other.slopes)

    def __neg__(self):
        return Dual(-self.value, -self.slopes)

    def __sub__(self, other):
        return self + (-Dual.of(other, self))

    def __rsub__(self, other):
        return (-self) + other

    def __mul__(self, other):
        other = Dual.of(other, self)
        return Dual(self.value * other.value,
                    self.value * other.slopes + other.value * self.slopes)

    def __truediv__(self, number):
        return self * (1.0 / number)

    __radd__, __rmul__ = __add__, __mul__

    def map(self, value, slope):
        return Dual(value, slope * self.slopes)


def tanh(x):
    t = math.tanh(x.value)
    return x.map(t, 1.0 - t * t)


def positive(x, w):
    """(x + √(x² + w²))/2, without loss of digits on either side."""
    root = math.hypot(x.value, w)
    up = x.value >= 0.0
    value = 0.5 * (x.value + root) if up else 0.5 * w * w / (root - x.value)
    return x.map(value, value / root)


def least(x, y, w):
    """(x + y − √((x−y)² + w²))/2, counted down from the lesser one."""
    x, y = (x, Dual.of(y, x)) if isinstance(x, Dual) else (Dual.of(x, y), y)
    low, high = (x, y) if x.value < y.value else (y, x)
    return low - positive(low - high, w)


def exponential(x):
    e = math.exp(min(x.value, 80.0))
    return x.map(e * (1.0 + max(x.value - 80.0, 0.0)), e)


def op_amp(e, plus, minus, out, vp, vm):
    """Currents into the five terminals."""
    vs, vo = vp - vm, out - vm
    half = 0.5 * vs
    low = least(e["low"], half, 1e-3)
    high = half + positive(half - e["high"], 1e-3)
    drive = half + e["gain"] * (plus - minus + e["offset"])
    target = low + positive(least(drive, high, 1e-3) - low, 1e-3)
    awake = positive(vs, 0.1)
    limit = e["limit"] * tanh(awake * awake) + 1e-12
    corner = 1e-3 * e["limit"]
    given = positive(least((target - vo) / e["rout"], limit, corner) + limit, corner) - limit
    from_plus = positive(given, 1e-3 * corner) + e["quiescent"] * tanh(vs)
    into_out = 1e-9 * vo - given
    bias = Dual.of(e["bias"], vs)
    return [bias, bias, into_out, from_plus, -(bias + bias + into_out + from_plus)]


def channel(e, gate, drain, source):
    """Currents into the terminals of a MOSFET's channel; its series resistance stands outside."""
    sign = -1.0 if e["p_channel"] else 1.0
    vgs, vds = sign * (gate - source), sign * (drain - source)
    turned = vds.value < 0.0
    over = positive((vgs - vds if turned else vgs) - e["vt"], 0.02)
    along = -vds if turned else vds
    reach = along if along.value < over.value else over
    current = e["kp"] * (over * reach - 0.5 * reach * reach)
    current = sign * ((-current if turned else current) + 1e-12 * vds)
    return [0.0 * vgs, current, -current]


def shunt(e, cathode, anode, reference):
    """Currents into the terminals of a shunt reference."""
    vr, vk = reference - anode, cathode - anode
    active = positive((vr - e["vref"]) / e["rd"], 1e-5)
    sunk = e["imin"] + least(active, e["limit"] - e["imin"], 1e-5)
    into_cathode, into_reference = sunk * tanh(vk), e["bias"] * tanh(vr)
    return [into_cathode, -(into_cathode + into_reference), into_reference]


class Active(Circuit):
    """A netlist with devices whose currents stand in the nodes' sums."""

    def __init__(self, elements):
        passive, devices = [], []
        for e in elements:
            name, kind = e["name"], e["type"]
            if kind == "OA":
                devices.append((op_amp, e, [e[t] for t in ("plus", "minus", "out", "vp", "vm")]))
            elif kind == "SR":
                devices.append((shunt, e, [e[t] for t in ("k", "a", "ref")]))
            elif kind == "M":
                inner = f"open.{name}"  # between channel and series resistance; not a result
                passive.append({"type": "R", "name": f"{name}.ron", "p": e["d"], "n": inner,
                                "r": e["ron"]})
                ends = (e["d"], e["s"]) if e["p_channel"] else (e["s"], e["d"])
                passive.append({"type": "D", "name": f"{name}.body", "a": ends[0], "k": ends[1],
                                **e["body"]})
                devices.append((channel, e, [e["g"], inner, e["s"]]))
            elif kind == "Q":
                # Transport form: two junctions, and between collector and emitter what both drive.
                for far, gain in (("e", "bf"), ("c", "br")):
                    ends = (e[far], e["b"]) if e["pnp"] else (e["b"], e[far])
                    passive.append({"type": "D", "name": f"{name}.{far}", "a": ends[0],
                                    "k": ends[1], "Is": e["Is"] / e[gain], "N": 1.0, "Rs": 0.0,
                                    "Gmin": 1e-12})
                devices.append((self.transport, e, [e["c"], e["e"]]))
            else:
                passive.append(e)
        super().__init__(passive)
        index = lambda name: self.node.get(name, -1)
        self.devices = []
        for function, e, names in devices:
            at = [index(name) for name in names]
            assert all(i >= 0 or name == "0" for i, name in zip(at, names)), names
            if function is self.transport:
                # It depends on the junctions' voltages, which are unknowns of their own.
                by = [self.at[f"{e['name']}.e"], self.at[f"{e['name']}.c"]]
            else:
                by = at
            self.devices.append((function, e, at, by))

    @staticmethod
    def transport(e, vbe, vbc):
        """Currents into collector and emitter; the junctions' voltages count forwards."""
        sign = -1.0 if e["pnp"] else 1.0
        current = sign * e["Is"] * (exponential(vbe / VT) - exponential(vbc / VT))
        return [current, -current]

    def system_one(self, z, right):
        residual, jacobian = super().system_one(z, right)
        for function, e, at, by in self.devices:
            unit = np.eye(len(by))
            values = [Dual(z[k] if k >= 0 else 0.0, unit[i]) for i, k in enumerate(by)]
            for node, current in zip(at, function(e, *values)):
                if node < 0:
                    continue
                residual[node] += current.value
                for k, slope in zip(by, current.slopes):
                    if k >= 0:
                        jacobian[node, k] += slope
        return residual, jacobian

    def newton(self, z, right, most=40):
        found = super().newton(z, right, most)
        return self.damped(z, right) if found is None else found

    def damped(self, z, right):
        """Newton's method with as much of each step as makes the next one smaller (the natural
        level of Deuflhard): an amplifier between its limits has full steps swing for ever."""
        z = z.copy()
        for iteration in range(120):
            residual, jacobian = self.system_one(z, right)
            try:
                factors = lu_factor(jacobian)
            except ValueError:
                return None
            step = lu_solve(factors, residual)
            if not np.all(np.isfinite(step)):
                return None
            if self.small(z, step, iteration):
                return z - step
            size, part = np.linalg.norm(step), 1.0
            while part > 1e-6:
                new = z - part * step
                self.limit(z, new)
                after = lu_solve(factors, self.system_one(new, right)[0])
                if np.all(np.isfinite(after)) and np.linalg.norm(after) < (1.0 - 0.25 * part) * size:
                    break
                part *= 0.4
            else:
                return None
            z = new
        return None

    def system(self, z, right):
        each = [self.system_one(one, here) for one, here in zip(z, right)]
        return np.array([r for r, _ in each]), np.array([j for _, j in each])


# --- the circuits ---

def rails(d, volts, negative=True):
    d.add("vdc", "VP", p="vp", n="0", v=volts)
    if negative:
        d.add("vdc", "VM", p="vm", n="0", v=-volts)


def sine(d, vrms, p="S", n="0"):
    d.add("vsin", "VS", p=p, n=n, vrms=rounded(vrms), f=50, phase_deg=0.0)


def load(d, node):
    """A resistance, and behind another one a capacitor."""
    d.r("RL", node, "0", d.e12(1.5e3, 2e4))
    d.r("RT", node, "y", d.e12(500.0, 5e3))
    d.add("C", "CT", p="y", n="0", c=d.e12(2e-7, 3e-6), esr=d.between(0.05, 2.0))


def amplifier(d, plus, minus, vm="vm", rail=0.0):
    rail_to_rail = d.chance(0.3)
    d.add("OA", "U1", plus=plus, minus=minus, out="o", vp="vp", vm=vm, gain=d.decades(2e4, 2e5),
          offset=d.between(-5e-3, 5e-3), bias=d.decades(1e-11, 1e-7),
          high=0.05 if rail_to_rail else d.between(1.2, 2.0),
          low=0.02 if rail_to_rail else d.between(0.5, 2.0), rout=d.between(30.0, 150.0),
          limit=d.between(5e-3, 2.5e-2), quiescent=d.between(5e-4, 3e-3))


def follower(d):
    volts = d.between(5.0, 15.0)
    rails(d, volts)
    sine(d, volts * d.between(0.3, 1.1) / math.sqrt(2.0))
    d.r("RSRC", "S", "a", d.e12(100.0, 1e4))
    amplifier(d, "a", "o")
    load(d, "o")
    return "op-amp, follower"


def inverting(d):
    volts = d.between(5.0, 15.0)
    rails(d, volts)
    sine(d, volts * d.between(0.1, 0.5))
    d.r("RSRC", "S", "m", d.e12(1e3, 1e4))
    d.r("RF", "m", "o", d.e12(2e3, 5e4))
    d.r("RB", "b", "0", d.e12(500.0, 5e3))
    amplifier(d, "b", "m")
    load(d, "o")
    return "op-amp, inverting"


def overloaded(d):
    volts = d.between(8.0, 15.0)
    rails(d, volts)
    sine(d, volts * d.between(0.3, 0.6))
    d.r("RSRC", "S", "a", d.e12(100.0, 1e4))
    amplifier(d, "a", "m")
    d.r("RF", "m", "o", d.e12(2e3, 2e4))
    d.r("RG", "m", "0", d.e12(2e3, 2e4))
    load(d, "o")
    d.r("RH", "o", "0", d.between(100.0, 400.0))
    return "op-amp, non-inverting, at its current limit"


def single(d):
    volts = d.between(5.0, 12.0)
    rails(d, volts, negative=False)
    d.add("vdc", "VB", p="bias", n="0", v=rounded(volts * d.between(0.1, 0.5)))
    sine(d, volts * d.between(0.1, 0.4), p="S", n="bias")
    d.r("RSRC", "S", "a", d.e12(100.0, 1e4))
    amplifier(d, "a", "o", vm="0")
    load(d, "o")
    return "op-amp on one supply, follower"


def transistor(d, name, base, collector, emitter, pnp=False):
    d.add("Q", name, b=base, c=collector, e=emitter, pnp=pnp, Is=d.decades(5e-15, 5e-14),
          bf=d.between(80.0, 400.0), br=d.between(1.0, 6.0))


def emitter_follower(d):
    rails(d, d.between(6.0, 15.0), negative=False)
    sine(d, d.between(0.5, 3.0))
    d.r("RSRC", "S", "i", d.e12(50.0, 1e3))
    d.add("C", "CI", p="i", n="b", c=d.e12(2e-6, 1e-5), esr=d.between(0.1, 2.0))
    d.r("R1", "vp", "b", d.e12(1e4, 4e4))
    d.r("R2", "b", "0", d.e12(1e4, 4e4))
    transistor(d, "Q1", "b", "vp", "e")
    d.r("RE", "e", "0", d.e12(500.0, 5e3))
    load(d, "e")
    return "bipolar, emitter follower"


def common_emitter(d):
    rails(d, d.between(8.0, 15.0), negative=False)
    sine(d, d.between(0.05, 0.6))
    d.r("RSRC", "S", "i", d.e12(50.0, 1e3))
    d.add("C", "CI", p="i", n="b", c=d.e12(2e-6, 1e-5), esr=d.between(0.1, 2.0))
    d.r("R1", "vp", "b", d.e12(4e4, 1e5))
    d.r("R2", "b", "0", d.e12(8e3, 2e4))
    transistor(d, "Q1", "b", "o", "e")
    d.r("RE", "e", "0", d.e12(220.0, 1e3))
    d.r("RC", "vp", "o", d.e12(1e3, 4e3))
    load(d, "o")
    return "bipolar, common emitter"


def high_side(d):
    volts = d.between(6.0, 15.0)
    rails(d, volts, negative=False)
    sine(d, volts * d.between(0.5, 0.8))
    d.r("RSRC", "S", "b", d.e12(2e3, 2e4))
    d.r("R1", "vp", "b", d.e12(5e3, 5e4))
    transistor(d, "Q1", "b", "o", "vp", pnp=True)
    load(d, "o")
    return "bipolar, PNP switch"


def mosfet(d, name, gate, drain, source, p_channel=False):
    d.add("M", name, g=gate, d=drain, s=source, p_channel=p_channel, vt=d.between(1.0, 3.0),
          kp=d.decades(0.01, 0.5), ron=d.between(0.05, 5.0),
          body={"Is": d.decades(1e-14, 1e-11), "N": d.between(1.0, 1.3),
                "Rs": d.between(0.02, 0.5), "Gmin": 1e-12})


def low_side(d):
    volts = d.between(6.0, 15.0)
    rails(d, volts, negative=False)
    sine(d, d.between(2.0, 6.0))
    d.r("RSRC", "S", "g", d.e12(100.0, 1e4))
    d.r("RG", "g", "0", d.e12(1e4, 1e5))
    d.r("RD", "vp", "o", d.e12(220.0, 5e3))
    mosfet(d, "M1", "g", "o", "0")
    load(d, "o")
    return "MOSFET, low side"


def p_switch(d):
    volts = d.between(6.0, 15.0)
    rails(d, volts, negative=False)
    sine(d, volts * d.between(0.5, 0.9))
    d.r("RSRC", "S", "g", d.e12(100.0, 1e4))
    mosfet(d, "M1", "g", "o", "vp", p_channel=True)
    load(d, "o")
    return "MOSFET, P channel, high side"


def source_follower(d):
    rails(d, d.between(8.0, 15.0))
    sine(d, d.between(1.0, 5.0))
    d.r("RSRC", "S", "g", d.e12(100.0, 1e4))
    mosfet(d, "M1", "g", "vp", "o")
    d.r("RS", "o", "vm", d.e12(1e3, 1e4))
    load(d, "o")
    return "MOSFET, source follower"


def reference(d, name, cathode, ref, volts=None):
    d.add("SR", name, k=cathode, a="0", ref=ref, vref=volts or d.pick((1.24, 2.495)),
          bias=d.decades(1e-7, 4e-6), rd=d.between(0.1, 0.5), imin=d.between(1e-4, 1e-3),
          limit=d.between(0.02, 0.15))


def fed(d, low, high):
    """A raw supply with ripple, through a resistor."""
    d.add("vdc", "VB", p="raw", n="0", v=d.between(low, high))
    sine(d, d.between(0.2, 0.8), p="S", n="raw")
    d.r("RSRC", "S", "k", d.e12(220.0, 1.5e3))


def shunt_divided(d):
    fed(d, 9.0, 16.0)
    reference(d, "U1", "k", "r")
    d.r("R1", "k", "r", d.e12(1e3, 1e4))
    d.r("R2", "r", "0", d.e12(1e3, 1e4))
    load(d, "k")
    return "shunt reference with a divider"


def shunt_starved(d):
    fed(d, 2.5, 6.0)
    reference(d, "U1", "k", "k")
    load(d, "k")
    d.r("RH", "k", "0", d.e12(500.0, 2e3))
    return "shunt reference, starved in part of the period"


def series_regulator(d):
    volts = d.between(10.0, 15.0)
    d.add("vdc", "VB", p="raw", n="0", v=volts)
    sine(d, d.between(0.2, 1.0), p="vp", n="raw")
    d.r("RA", "vp", "k", d.e12(1e3, 3e3))
    reference(d, "U2", "k", "k", 2.495)
    d.r("RSRC", "k", "a", d.e12(1e3, 1e4))
    amplifier(d, "a", "m", vm="0")
    d.r("RB", "o", "b", d.e12(100.0, 1e3))
    transistor(d, "Q1", "b", "vp", "e")
    d.r("R1", "e", "m", d.e12(2e3, 1e4))
    d.r("R2", "m", "0", d.e12(2e3, 1e4))
    load(d, "e")
    return "op-amp, transistor and shunt reference, series regulator"


FAMILIES = (follower, inverting, overloaded, single, emitter_follower, common_emitter, high_side,
            low_side, p_switch, source_follower, shunt_divided, shunt_starved, series_regulator)


def disturbed(d, elements):
    """One resistor open or short."""
    e = d.pick([e for e in elements if e["type"] == "R"])
    sort = d.pick(("open", "short"))
    e["r"] = 1e9 if sort == "open" else 1e-2
    return f"{e['name']}: resistor {sort}"


def case(number, family, seed):
    d = Draw(seed)
    description = family(d)
    fault = disturbed(d, d.elements) if number % 3 == 2 else None
    found = solve_twice(Active(d.elements))
    check = found["check"]
    if not (check["worst"] <= AGREEMENT and check["closure_Radau"] <= AGREEMENT):
        raise NotSolved(f"the methods differ by {check['worst']:.1e} at {check['at']}")
    results = found["results"]
    # A device's own junctions are no element of the netlist.
    results["diodes"] = {k: v for k, v in results["diodes"].items() if "." not in k}
    return {"id": f"active-{number:03}", "seed": seed, "description": description,
            **({"fault": fault} if fault else {}), "elements": d.elements,
            "results": results, "check": check}


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--out", required=True)
    out = parser.parse_args().out
    cases, replaced = [], []
    for number in range(EACH * len(FAMILIES)):
        family = FAMILIES[number % len(FAMILIES)]
        for seed in range(1000 * number + 1, 1000 * number + 1 + TRIES):
            try:
                cases.append(case(number, family, seed))
                break
            except (NotSolved, np.linalg.LinAlgError, ValueError, StopIteration) as reason:
                replaced.append({"id": f"active-{number:03}", "seed": seed,
                                 "description": family.__name__, "why": str(reason)})
        print(number, family.__name__, len(cases), len(replaced), file=sys.stderr, flush=True)
    file = {"about": "Circuits with op-amps, transistors and shunt references solved by "
                     "tests/independent/active.py with scipy's LSODA and, again, with its Radau",
            "versions": {"python": platform.python_version(), "numpy": np.__version__,
                         "scipy": scipy.__version__},
            "date": datetime.date.today().isoformat(), "constants": {"Vt": VT},
            "agreement": AGREEMENT, "n_cases": len(cases), "replaced": replaced}
    with open(out, "w", encoding="utf-8") as to:
        head = json.dumps(short(file, 17), ensure_ascii=False)[:-1]
        lines = ",\n".join(json.dumps({**short(c, 6), "elements": c["elements"]},
                                      ensure_ascii=False) for c in cases)
        to.write(f'{head}, "cases": [\n{lines}\n]}}\n')


if __name__ == "__main__":
    main()
