"""The periodic steady state of a circuit, twice, and what is reported of it.

Owns: time. The states are integrated over one period by scipy's LSODA (Adams and backward
differentiation) and closed by Newton's method on the states at the period's start. The closed
period is then integrated again by scipy's Radau (an implicit Runge-Kutta method of order five) and
every reported number compared.
"""

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import minimize_scalar

from equations import NotSolved

# Points within a step (Gauss-Lobatto), as parts of it, and their weights.
POINTS = np.array([0.0, 0.5 - np.sqrt(3.0 / 28.0), 0.5, 0.5 + np.sqrt(3.0 / 28.0), 1.0])
WEIGHTS = np.array([1 / 20, 49 / 180, 16 / 45, 49 / 180, 1 / 20])

PANELS = 3  # parts of a step that the points are set in


class Period:
    """One period integrated from the states `start` at the time `begin`."""

    def __init__(self, circuit, start, method, rtol, atol, warm=None, begin=0.0):
        self.circuit, self.start = circuit, start
        capacity = np.array([e["c"] for e in circuit.capacitors])
        rows = [circuit.at[e["name"]] for e in circuit.capacitors]
        self.pick = np.zeros((circuit.states, circuit.size))  # dx/dt = pick · z
        for k, row in enumerate(rows):
            self.pick[k, row] = 1.0 / capacity[k]
        for k, e in enumerate(circuit.inductors):
            for name, sign in ((e["p"], 1.0), (e["n"], -1.0)):
                if name != "0":
                    self.pick[len(rows) + k, circuit.node[name]] += sign / e["l"]
        self.by_state = circuit.given[:, len(circuit.sources):]
        if warm is None:
            zero = np.zeros(circuit.size)
            right = circuit.right(circuit.drive(begin), start)
            warm = (circuit.follow(zero, zero, right), right)
        self.last = warm
        self.seen_t, self.seen_z = [], []
        self.evaluations = 0
        found = solve_ivp(self.slope, (begin, begin + circuit.period), start, method=method, jac=self.jacobian,
                          rtol=rtol, atol=atol, dense_output=True,
                          max_step=circuit.period / 60.0)
        if not found.success:
            raise NotSolved(f"{method}: {found.message}")
        self.times, self.dense = found.t, found.sol
        self.end = found.y[:, -1]

    def instant(self, t, x):
        right = self.circuit.right(self.circuit.drive(t), x)
        z = self.circuit.follow(*self.last, right)
        self.last = (z, right)
        return z

    def slope(self, t, x):
        self.evaluations += 1
        if self.evaluations > 400_000:
            raise NotSolved("too many evaluations")
        z = self.instant(t, x)
        self.seen_t.append(t)
        self.seen_z.append(z)
        return self.pick @ z

    def jacobian(self, t, x):
        _, jacobian = self.circuit.system_one(self.instant(t, x),
                                              self.circuit.right(self.circuit.drive(t), x))
        return self.pick @ np.linalg.solve(jacobian, self.by_state)

    def solved(self, t):
        """Unknowns and states at the times `t`."""
        x = self.dense(t).T
        seen = np.array(self.seen_t)
        order = np.argsort(seen, kind="stable")
        near = np.clip(np.searchsorted(seen[order], t), 1, len(seen) - 1)
        left, right_ = seen[order][near - 1], seen[order][near]
        near = order[np.where(t - left < right_ - t, near - 1, near)]
        guess = np.array([self.seen_z[k] for k in near])
        return self.circuit.solve_batch(guess, self.circuit.right(self.circuit.drive(t), x)), x

    def transition(self):
        """The change of the end with the start, by Lobatto IIIC of order two on these steps."""
        n, t = self.circuit.states, self.times
        z, _ = self.solved(t)
        _, jacobian = self.circuit.system(z, np.zeros_like(z))
        by_state = np.broadcast_to(self.by_state, (len(t),) + self.by_state.shape)
        a = self.pick @ np.linalg.solve(jacobian, by_state)
        h = np.diff(t)[:, None, None]
        one = np.eye(n)
        matrix = np.empty((len(t) - 1, 2 * n, 2 * n))
        matrix[:, :n, :n] = one - 0.5 * h * a[:-1]
        matrix[:, :n, n:] = 0.5 * h * a[:-1]
        matrix[:, n:, :n] = -0.5 * h * a[1:]
        matrix[:, n:, n:] = one - 0.5 * h * a[1:]
        stages = np.linalg.solve(matrix, np.concatenate([a[:-1], a[1:]], axis=1))
        steps = one + 0.5 * h * (stages[:, :n] + stages[:, n:])
        product = one
        for step in steps:
            product = step @ product
        return product

    def samples(self):
        """Times and weights for averages and extremes."""
        ends = np.interp(np.arange(PANELS * (len(self.times) - 1) + 1) / PANELS,
                         np.arange(len(self.times)), self.times)
        h = np.diff(ends)
        t = ends[:-1, None] + h[:, None] * POINTS
        weights = h[:, None] * WEIGHTS / self.circuit.period
        return t.ravel(), weights.ravel()


def steady_state(circuit, rtol=1e-12, atol=1e-13):
    """The closed period by LSODA, its transition matrix, and the closure error left."""
    x = np.zeros(circuit.states)
    warm = None
    for _ in range(4):
        period = Period(circuit, x, "LSODA", 1e-5, 1e-6, warm)
        x, warm = period.end, period.last
    rough, best, back, close = True, None, 0, 0
    for _ in range(60):
        period = Period(circuit, x, "LSODA", *((1e-7, 1e-9) if rough else (rtol, atol)))
        change = period.end - x
        size = np.max(np.abs(change))
        if rough and best is not None and size > 1.5 * best[0] and back < 6:
            back += 1
            x = best[1] + best[2] * 0.4 ** back
            continue
        back = 0
        transition = period.transition()
        correction = np.linalg.solve(np.eye(len(x)) - transition, change)
        best = (size, x, correction)
        scale = max(1.0, np.max(np.abs(x)))
        left = np.max(np.abs(correction)) / scale
        if rough:
            rough = left > 1e-5
        elif left < 2e-8:  # and to the rounding, within three more
            close += 1
            if left < 1e-11 or close > 3:
                return period, transition, left
        x = x + correction
    raise NotSolved(f"not closed: {left:.1e}")


def summary(period):
    """The results of models.md, but for the nodes in `hidden`."""
    circuit = period.circuit
    t, weights = period.samples()
    z, _ = period.solved(t)
    mean = lambda y: float(weights @ y)
    rms = lambda y: float(np.sqrt(weights @ (y * y)))
    current = circuit.currents(z)
    nodes = {name: circuit.voltage(z, name) for name in circuit.names
             if name not in ("S", "S2") and not name.startswith("open")}
    if "A" in nodes and "B" in nodes:
        nodes["AB"] = nodes["A"] - nodes["B"]
    results = {"nodes": {}, "diodes": {}, "caps": {}, "secondary": {}, "regulators": {}}
    for name, v in nodes.items():
        results["nodes"][name] = {"avg": mean(v), "min": float(v.min()), "max": float(v.max()),
                                  "pp": float(v.max() - v.min())}
    for e in circuit.diodes:
        i = current[e["name"]]
        results["diodes"][e["name"]] = {"avg": mean(i), "rms": rms(i), "peak": float(i.max())}
    for e in circuit.capacitors:
        i = current[e["name"]]
        results["caps"][e["name"]] = {"rms": rms(i), "peak_charge": float(i.max()),
                                      "peak_discharge": float(i.min())}
    for e in circuit.resistors:
        if e["name"].startswith("RSRC"):
            i = current[e["name"]]
            results["secondary"][e["name"].replace("RSRC", "SEC")] = {
                "rms": rms(i), "avg": mean(i), "max": float(i.max()), "min": float(i.min())}
    for e in circuit.regulators:
        ground = circuit.voltage(z, e["gnd"])
        ui = e["pol"] * (circuit.voltage(z, e["in"]) - ground)
        uo = e["pol"] * (circuit.voltage(z, e["out"]) - ground)
        ip, iq = circuit.regulator(e, ui, uo)[:2]
        power = (ui - uo) * ip + ui * iq
        results["regulators"][e["name"]] = {"P_avg": mean(power), "P_peak": float(power.max()),
                                            "iout_avg": mean(ip), "iout_rms": rms(ip)}
    return results


def differences(results, other):
    """The largest difference, relative to the number or to what is too small to matter: a
    millionth of the circuit's largest of that unit, 1 mV (1 µV of ripple), 1 µA, 1 µW."""
    floor = {"V": 1e-3, "ripple": 1e-6, "A": 1e-6, "W": 1e-6}
    largest = {}
    pairs = []
    for group in results:
        for name, numbers in results[group].items():
            for key, value in numbers.items():
                of = ("W" if key.startswith("P_") else "A" if group != "nodes" else
                      "ripple" if key == "pp" else "V")
                largest[of] = max(largest.get(of, 0.0), abs(value))
                pairs.append((of, f"{name} {key}", value, other[group][name][key]))
    worst = (0.0, "")
    for of, place, a, b in pairs:
        size = max(abs(a), floor[of], 1e-6 * largest[of] if of != "ripple" else 0.0)
        worst = max(worst, (abs(a - b) / size, place))
    return worst


def solve_twice(circuit):
    """Results by LSODA and how far Radau's are off; the states at t = 0."""
    period, transition, left = steady_state(circuit)
    results = summary(period)
    again = Period(circuit, period.start, "Radau", 1e-11, 1e-12)
    shift = np.linalg.solve(np.eye(circuit.states) - transition, again.end - again.start)
    drift = float(np.max(np.abs(shift)) / max(1.0, np.max(np.abs(period.start))))
    worst, place = differences(results, summary(again))
    names = [e["name"] for e in circuit.capacitors + circuit.inductors]
    return {"results": results, "start": dict(zip(names, map(float, period.start))),
            "check": {"closure": float(left), "closure_Radau": drift, "worst": worst, "at": place}}


def cold_start(circuit, steady_mean, even_if_tied, most_periods=40):
    """Switch-on with every state zero, at the phase with the greatest winding current."""
    def first_period(phase, rtol, method="LSODA"):
        begin = phase / 360.0 * circuit.period
        return Period(circuit, np.zeros(circuit.states), method, rtol, 0.1 * rtol, None, begin)

    def peak(period):
        z, _ = period.solved(period.samples()[0])
        return float(np.max(np.abs(circuit.currents(z)["RSRC"])))

    phases = np.arange(24) * 15.0
    peaks = np.array([peak(first_period(phase, 1e-7)) for phase in phases])
    near = phases[np.argmax(peaks)]
    fine = minimize_scalar(lambda phase: -peak(first_period(phase, 1e-9)), method="bounded",
                           bounds=(near - 15.0, near + 15.0), options={"xatol": 0.02})
    worst = float(fine.x)
    # A bridge is as badly off half a period later, and behaves alike.
    apart = np.abs((phases - worst + 180.0) % 360.0 - 180.0)
    half = np.abs((phases - worst) % 360.0 - 180.0)
    alike = any(e["name"] == "D4" for e in circuit.diodes)
    other = (apart > 31.0) & ((half > 31.0) | (not alike))
    if not even_if_tied and peaks[other].max() > 0.995 * -fine.fun:
        raise NotSolved("cold start: two phases equally bad")
    period = first_period(worst, 1e-11)
    again = first_period(worst, 1e-9, "Radau")
    inrush, disagreement = peak(period), abs(peak(again) / peak(period) - 1.0)
    means = []
    while len(means) < most_periods:
        t, weights = period.samples()
        means.append(float(weights @ circuit.voltage(period.solved(t)[0], "P")))
        within = [abs(mean / steady_mean - 1.0) < 0.01 for mean in means]
        if len(means) >= 6 and all(within[-4:]):
            break
        end = period.times[-1]
        period = Period(circuit, period.end, "LSODA", 1e-9, 1e-10, period.last, end)
    else:
        raise NotSolved("cold start: not settled after 40 periods")
    settled = max((k + 1 for k, ok in enumerate(within) if not ok), default=0) + 1
    return {"inrush_peak_A": inrush, "worst_phase_deg": worst, "settle_periods": settled,
            "settle_time_s": settled * circuit.period, "per_period_avg_P": means}, disagreement
