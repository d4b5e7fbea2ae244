"""The equations of tests/reference/models.md for any netlist, solved at one instant.

Owns: an instant's algebraic equations and Newton's method on them. Time is in `steady.py`.

Unknowns: node voltages, the currents of sources, resistors and capacitors, each junction's
voltage vj, each regulator's Ip. Given: the sources' values u(t) and the states x (capacitors'
inner voltages, inductors' currents). Writing the branch currents as unknowns of their own keeps a
bridge's common mode exact where all its diodes are off (the conditioning note of models.md).

One thing goes beyond models.md: a regulator's `gnd` may be any node; ui and uo then count from it
(an adjustable regulator, or an open ground lead).
"""

import math

import numpy as np
from scipy.linalg import lapack

K_BOLTZMANN, ELEMENTARY_CHARGE, KELVIN = 1.380649e-23, 1.602176634e-19, 300.15
VT = K_BOLTZMANN * KELVIN / ELEMENTARY_CHARGE
CLIP = 80.0  # an exponential goes on as a straight line from here: 5e34 saturation currents


class NotSolved(Exception):
    """No solution of the equations was found."""


class Circuit:
    """A netlist with its equations: `linear` · unknowns + devices = `given` · (u, x)."""

    def __init__(self, elements):
        self.elements = elements
        of = lambda *types: [e for e in elements if e["type"] in types]
        self.sources, self.resistors = of("vsin", "vdc"), of("R")
        self.capacitors, self.inductors = of("C"), of("L")
        self.diodes, self.regulators = of("D", "Z"), of("REG")
        self.names = sorted({e[t] for e in elements for t in ("p", "n", "a", "k", "in", "out", "gnd")
                             if t in e} - {"0"})
        self.node = {name: k for k, name in enumerate(self.names)}
        self.nodes = len(self.names)
        self.at = {}
        for group in (self.sources, self.resistors, self.capacitors, self.diodes, self.regulators):
            for e in group:
                self.at[e["name"]] = self.nodes + len(self.at)
        self.size = self.nodes + len(self.at)
        self.states = len(self.capacitors) + len(self.inductors)
        n, s = self.size, len(self.sources)
        self.linear = np.zeros((n, n), order="F")
        self.given = np.zeros((n, s + self.states))  # columns: u, x
        for k, e in enumerate(self.sources):
            self._branch(e, self.at[e["name"]])
            self.given[self.at[e["name"]], k] = 1.0
        for e in self.resistors:
            row = self.at[e["name"]]
            scale = max(1.0, e["r"])
            self._branch(e, row, 1.0 / scale)
            self.linear[row, row] -= e["r"] / scale
        for k, e in enumerate(self.capacitors):
            row = self.at[e["name"]]
            self._branch(e, row)
            self.linear[row, row] -= e["esr"]
            self.given[row, s + k] = 1.0
        for k, e in enumerate(self.inductors):
            column = s + len(self.capacitors) + k
            for name, sign in ((e["p"], -1.0), (e["n"], 1.0)):
                if name != "0":
                    self.given[self.node[name], column] += sign
        for e in self.diodes:
            row = self.at[e["name"]]
            for name, sign in ((e["a"], 1.0), (e["k"], -1.0)):
                if name != "0":
                    self.linear[row, self.node[name]] += sign
            self.linear[row, row] -= 1.0
        for e in self.regulators:
            row = self.at[e["name"]]
            self.linear[row, row] += 1.0
            for name, sign in ((e["in"], e["pol"]), (e["out"], -e["pol"])):
                if name != "0":
                    self.linear[self.node[name], row] += sign
        index = lambda name: self.node.get(name, -1)  # -1 is ground
        self.d = [(self.at[e["name"]], index(e["a"]), index(e["k"]), e["Is"], e["N"] * VT,
                   e["Rs"] if e["type"] == "D" else e["Rz"], e["Gmin"],
                   (e["Bv"], e["Ibv"], e["Nz"] * VT) if e["type"] == "Z" else None,
                   e["N"] * VT * math.log(e["N"] * VT / (math.sqrt(2.0) * e["Is"])))
                  for e in self.diodes]
        self.r = [(self.at[e["name"]], index(e["in"]), index(e["out"]), index(e["gnd"]), e)
                  for e in self.regulators]
        frequencies = {e["f"] for e in self.sources if e["type"] == "vsin"}
        assert len(frequencies) <= 1
        self.period = 1.0 / frequencies.pop() if frequencies else None
        self.voltage_rows = np.array([True] * self.nodes + [
            name in {e["name"] for e in self.diodes} for name in self.at])

    def _branch(self, e, row, scale=1.0):
        for name, sign in ((e["p"], 1.0), (e["n"], -1.0)):
            if name != "0":
                self.linear[row, self.node[name]] += sign * scale
                self.linear[self.node[name], row] += sign

    def drive(self, t):
        """Values of the sources at the times `t`, one row each."""
        t = np.asarray(t, dtype=float)
        columns = [np.full(t.shape, e["v"]) if e["type"] == "vdc" else
                   math.sqrt(2.0) * e["vrms"]
                   * np.sin(2.0 * math.pi * e["f"] * t + math.radians(e["phase_deg"]))
                   for e in self.sources]
        return np.stack(columns, axis=-1)

    @staticmethod
    def junction(vj, saturation, nvt, gmin, breakdown):
        """A junction's current without its series resistance, and its conductance."""
        x = vj / nvt
        e = np.exp(np.minimum(x, CLIP))
        over = np.maximum(x - CLIP, 0.0)
        i = saturation * (e * (1.0 + over) - 1.0) + gmin * vj
        g = saturation * e / nvt + gmin
        if breakdown is not None:
            bv, ibv, nzvt = breakdown
            y = -(vj + bv) / nzvt
            e = np.exp(np.minimum(y, CLIP))
            i = i - ibv * e * (1.0 + np.maximum(y - CLIP, 0.0))
            g = g + ibv * e / nzvt
        return i, g

    @staticmethod
    def regulator(e, ui, uo):
        """Ip and Iq with the derivatives of Ip by ui and uo and of Iq by ui."""
        w = e["w"]
        a = (e["Vreg"] + e["kline"] * (ui - e["Vin_nom"]) - uo) / e["Rout"]
        b = (ui - e["Vdo0"] - uo) / e["Rdo"]
        root = np.sqrt((a - b) ** 2 + w * w)
        c = 0.5 * (a + b - root)
        by_a = 0.5 * (1.0 - (a - b) / root)
        root = np.sqrt((c - e["Ilim"]) ** 2 + w * w)
        x = 0.5 * (c + e["Ilim"] - root)
        by_c = 0.5 * (1.0 - (c - e["Ilim"]) / root)
        root = np.sqrt(x * x + w * w)
        ip = np.where(x >= 0.0, 0.5 * (x + root), w * w / (2.0 * (root + np.abs(x))))
        slope = ip / root * by_c
        by_ui = slope * (by_a * e["kline"] / e["Rout"] + (1.0 - by_a) / e["Rdo"])
        by_uo = -slope * (by_a / e["Rout"] + (1.0 - by_a) / e["Rdo"])
        t = np.tanh(ui / e["Vq"])
        return ip, e["Iq"] * t, by_ui, by_uo, e["Iq"] / e["Vq"] * (1.0 - t * t)

    def system(self, z, right):
        """Residual and Jacobian for a batch: z is (m, size), right is (m, size)."""
        m = z.shape[0]
        residual = z @ self.linear.T - right
        jacobian = np.repeat(self.linear[None], m, axis=0)
        for row, a, k, saturation, nvt, rs, gmin, breakdown, _ in self.d:
            i, g = self.junction(z[:, row], saturation, nvt, gmin, breakdown)
            residual[:, row] -= rs * i
            jacobian[:, row, row] -= rs * g
            for at, sign in ((a, 1.0), (k, -1.0)):
                if at >= 0:
                    residual[:, at] += sign * i
                    jacobian[:, at, row] += sign * g
        for row, into, out, ground, e in self.r:
            pol = e["pol"]
            v = lambda at: z[:, at] if at >= 0 else 0.0
            ui, uo = pol * (v(into) - v(ground)), pol * (v(out) - v(ground))
            ip, iq, by_ui, by_uo, iq_by_ui = self.regulator(e, ui, uo)
            residual[:, row] -= ip
            for at, slope in ((into, by_ui), (out, by_uo), (ground, -by_ui - by_uo)):
                if at >= 0:
                    jacobian[:, row, at] -= pol * slope
            for at, sign in ((into, pol), (ground, -pol)):
                if at >= 0:
                    residual[:, at] += sign * iq
                    for by, part in ((into, pol), (ground, -pol)):
                        if by >= 0:
                            jacobian[:, at, by] += sign * part * iq_by_ui
        return residual, jacobian

    def system_one(self, z, right):
        """The same for one instant, without the cost of arrays of one."""
        residual = self.linear @ z - right
        jacobian = self.linear.copy(order="F")
        v = z.tolist()
        v.append(0.0)  # ground, index -1
        exp = math.exp
        for row, a, k, saturation, nvt, rs, gmin, breakdown, _ in self.d:
            vj = v[row]
            x = vj / nvt
            if x <= CLIP:
                e = saturation * exp(x)
                i, g = e - saturation + gmin * vj, e / nvt + gmin
            else:
                e = saturation * exp(CLIP)
                i, g = e * (1.0 + x - CLIP) - saturation + gmin * vj, e / nvt + gmin
            if breakdown is not None:
                bv, ibv, nzvt = breakdown
                y = -(vj + bv) / nzvt
                if y > -700.0:
                    e = ibv * exp(min(y, CLIP))
                    i -= e * (1.0 + max(y - CLIP, 0.0))
                    g += e / nzvt
            residual[row] -= rs * i
            jacobian[row, row] -= rs * g
            if a >= 0:
                residual[a] += i
                jacobian[a, row] += g
            if k >= 0:
                residual[k] -= i
                jacobian[k, row] -= g
        for row, into, out, ground, e in self.r:
            pol = e["pol"]
            ui, uo = pol * (v[into] - v[ground]), pol * (v[out] - v[ground])
            w = e["w"]
            a = (e["Vreg"] + e["kline"] * (ui - e["Vin_nom"]) - uo) / e["Rout"]
            b = (ui - e["Vdo0"] - uo) / e["Rdo"]
            root = math.hypot(a - b, w)
            c = 0.5 * (a + b - root)
            by_a = 0.5 * (1.0 - (a - b) / root)
            root = math.hypot(c - e["Ilim"], w)
            x = 0.5 * (c + e["Ilim"] - root)
            by_c = 0.5 * (1.0 - (c - e["Ilim"]) / root)
            root = math.hypot(x, w)
            ip = 0.5 * (x + root) if x >= 0.0 else w * w / (2.0 * (root - x))
            slope = ip / root * by_c
            by_ui = slope * (by_a * e["kline"] / e["Rout"] + (1.0 - by_a) / e["Rdo"])
            by_uo = -slope * (by_a / e["Rout"] + (1.0 - by_a) / e["Rdo"])
            t = math.tanh(ui / e["Vq"])
            iq, g = e["Iq"] * t, e["Iq"] / e["Vq"] * (1.0 - t * t)
            residual[row] -= ip
            if into >= 0:
                jacobian[row, into] -= pol * by_ui
                residual[into] += pol * iq
                jacobian[into, into] += g
            if out >= 0:
                jacobian[row, out] -= pol * by_uo
            if ground >= 0:
                jacobian[row, ground] += pol * (by_ui + by_uo)
                residual[ground] -= pol * iq
                jacobian[ground, ground] += g
                if into >= 0:
                    jacobian[into, ground] -= g
                    jacobian[ground, into] -= g
        return residual, jacobian

    def limit(self, old, new):
        """Holds each junction back where its exponential would run away. `old`, `new`: (…, size)."""
        for row, _, _, _, nvt, _, _, breakdown, critical in self.d:
            new[..., row] = _hold(old[..., row], new[..., row], nvt, critical)
            if breakdown is not None:
                bv, ibv, nzvt = breakdown
                critical = nzvt * math.log(nzvt / (math.sqrt(2.0) * ibv))
                new[..., row] = -bv - _hold(-bv - old[..., row], -bv - new[..., row], nzvt, critical)

    def small(self, z, step, iteration):
        """Whether the last step of Newton's method is small enough to stop, per instant.

        Where leakage alone holds a voltage, the rounding of the currents may move it by more than
        a nanovolt for ever."""
        volts, amperes = (1e-9, 1e-12) if iteration < 6 else (1e-6, 1e-10)
        allowed = np.where(self.voltage_rows, volts + 1e-11 * np.abs(z), amperes + 1e-9 * np.abs(z))
        return np.all(np.abs(step) <= allowed, axis=-1)

    def newton(self, z, right, most=40):
        z = z.copy()
        for iteration in range(most):
            residual, jacobian = self.system_one(z, right)
            _, _, step, info = lapack.dgesv(jacobian, residual, overwrite_a=1, overwrite_b=1)
            if info != 0 or not np.all(np.isfinite(step)):
                return None
            new = z - step
            if self.small(z, step, iteration):
                return new
            if np.max(np.abs(step)) > 0.02:
                self.limit(z, new)
            z = new
        return None

    def follow(self, z, old_right, right):
        """From the solution `z` at `old_right` to the one at `right`, in parts where need be."""
        found = self.newton(z, right)
        if found is not None:
            return found
        done, part = 0.0, 0.25
        while done < 1.0:
            part = min(part, 1.0 - done)
            at = old_right + (done + part) * (right - old_right)
            found = self.newton(z, at, 60)
            if found is None:
                part *= 0.3
                if part < 1e-7:
                    raise NotSolved(f"stuck at {done:.6f} of the way")
            else:
                z, done, part = found, done + part, 2.0 * part
        return z

    def right(self, u, x):
        return np.concatenate([u, x], axis=-1) @ self.given.T

    def solve_batch(self, z, right):
        """Newton's method on many instants; those that fail go by `follow` from their neighbour."""
        z = z.copy()
        open_ = np.arange(len(z))
        for iteration in range(30):
            residual, jacobian = self.system(z[open_], right[open_])
            step = np.linalg.solve(jacobian, residual[..., None])[..., 0]
            new = z[open_] - step
            done = self.small(z[open_], step, iteration)
            if np.max(np.abs(step)) > 0.02:
                self.limit(z[open_], new)
            z[open_] = new
            open_ = open_[~done]
            if not len(open_):
                return z
        left = set(open_.tolist())
        for k in sorted(left):
            near = next(j for d in range(1, len(z)) for j in (k - d, k + d)
                        if 0 <= j < len(z) and j not in left)
            z[k] = self.follow(z[near], right[near], right[k])
            left.discard(k)
        return z

    def direct(self, u):
        """All sources brought up together from nothing; capacitors open, inductors a short."""
        assert not self.states
        zero = np.zeros(self.size)
        return self.follow(zero, zero, self.right(u, np.zeros(0)))

    def currents(self, z):
        """Every element's current by name, from the first-named terminal; a regulator's is Ip."""
        found = {}
        for e in self.sources + self.resistors + self.capacitors + self.regulators:
            found[e["name"]] = z[..., self.at[e["name"]]]
        for e, d in zip(self.diodes, self.d):
            found[e["name"]] = self.junction(z[..., d[0]], d[3], d[4], d[6], d[7])[0]
        return found

    def voltage(self, z, name):
        return z[..., self.node[name]] if name != "0" else np.zeros(z.shape[:-1])


def _hold(old, new, nvt, critical):
    """A junction's voltage, a step on: no further than the logarithm of the step once it conducts."""
    old, new = np.asarray(old), np.asarray(new)
    change = np.maximum((new - old) / nvt, -1e3)
    from_above = np.where(change > 0.0, old + nvt * np.log1p(np.maximum(change, 0.0)), new)
    from_below = nvt * np.log(np.maximum(new, nvt) / nvt)
    held = np.where(old > 0.0, from_above, from_below)
    return np.where((new > critical) & (np.abs(new - old) > 2.0 * nvt), held, new)
