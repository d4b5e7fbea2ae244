"""Random circuits of the families that small boxes are made of.

Owns: what is drawn; the faults are in `faults.py`. Every circuit follows from its seed; values are usual ones of the trade
(common practice), rounded before anything is solved, so that the file holds what was solved.
"""

import numpy as np

E12 = (1.0, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2)
DIODES = (dict(Is=2.5e-9, N=1.75, Rs=0.045), dict(Is=8e-11, N=1.45, Rs=0.1),
          dict(Is=3e-6, N=1.05, Rs=0.06))
LEDS = (dict(Is=3e-19, N=1.9, Rs=8.0), dict(Is=1e-27, N=2.0, Rs=6.0))

def rounded(x):
    return float(f"{x:.4g}")


class Draw:
    def __init__(self, seed):
        self.random = np.random.default_rng(seed)
        self.elements = []
        self.description = ""
        self.dc = False
        self.diode_type = self.pick(DIODES)

    def pick(self, options):
        return options[int(self.random.integers(len(options)))]

    def chance(self, p):
        return bool(self.random.random() < p)

    def between(self, low, high):
        return rounded(self.random.uniform(low, high))

    def decades(self, low, high):
        return rounded(low * (high / low) ** self.random.random())

    def e12(self, low, high):
        """A preferred value with its tolerance of 5 %."""
        value = self.decades(low, high)
        power = 10.0 ** np.floor(np.log10(value))
        nearest = min(E12, key=lambda m: abs(np.log(m * power / value)))
        return rounded(nearest * power * self.random.uniform(0.95, 1.05))

    def add(self, type_, name, **fields):
        self.elements.append({"type": type_, "name": name, **fields})

    def r(self, name, p, n, r):
        self.add("R", name, p=p, n=n, r=r)

    def reservoir(self, name, p, n, low=2.2e-4, high=2.2e-3):
        """An electrolytic with the leakage of a good one as a resistor beside it."""
        c = rounded(self.e12(low, high) * self.random.uniform(0.85, 1.15))
        self.add("C", name, p=p, n=n, c=c, esr=rounded(self.random.uniform(2e-5, 1e-4) / c))
        self.r(name.replace("C", "RK", 1), p, n, rounded(self.decades(50.0, 300.0) / c))
        return c

    def d(self, name, a, k):
        self.add("D", name, a=a, k=k, Gmin=1e-12, **self.diode_type)

    def led(self, name, a, k):
        self.add("D", name, a=a, k=k, Gmin=1e-12, **self.pick(LEDS))

    def zener(self, name, a, k, volts):
        self.add("Z", name, a=a, k=k, Is=1e-14, N=1.1, Bv=volts, Ibv=0.005,
                 Nz=self.between(1.5, 4.0), Rz=self.between(3.0, 20.0), Gmin=1e-12)

    def regulator(self, name, pol, into, out, volts, ground="0"):
        adjustable = ground != "0"
        low_drop = not adjustable and self.chance(0.2)
        self.add("REG", name, pol=pol, **{"in": into}, out=out, gnd=ground,
                 Vreg=rounded(volts * self.random.uniform(0.97, 1.03)),
                 kline=self.decades(2e-4, 4e-3), Vin_nom=rounded(volts + 5.0),
                 Rout=self.between(0.03, 0.2), Vdo0=0.05 if low_drop else self.between(1.4, 1.8),
                 Rdo=self.between(0.5, 3.0), Ilim=self.pick((0.14, 0.5, 1.0)), w=2e-4,
                 Iq=self.between(4e-5, 6e-5) if adjustable else self.between(2e-3, 6e-3), Vq=0.5)

    def winding(self, vrms, plus, minus, suffix="", name="VS", s="S", phase=0.0, leakage=None,
                rsrc=None):
        """A secondary: ideal source, its resistance, perhaps its leakage inductance."""
        self.add("vsin", name, p=s, n=minus, vrms=rounded(vrms), f=self.frequency,
                 phase_deg=phase)
        rsrc = rsrc or self.between(0.02, 0.12) * vrms
        if self.chance(0.15) if leakage is None else leakage:
            self.r(f"RSRC{suffix}", s, f"Y{suffix}", rounded(rsrc))
            self.add("L", f"LS{suffix}", p=f"Y{suffix}", n=plus, l=self.decades(2e-4, 3e-3))
            self.r(f"RLS{suffix}", f"Y{suffix}", plus, self.between(200.0, 900.0))
        else:
            self.r(f"RSRC{suffix}", s, plus, rounded(rsrc))
        return rsrc

    @property
    def frequency(self):
        if not hasattr(self, "_f"):
            self._f = self.pick((50, 50, 60))
        return self._f

    # ---- what hangs on a rail ----
    def rail_load(self, rail, volts, sign=1, suffix=""):
        self.r(f"RL{suffix}", rail, "0", self.e12(volts / 0.15, volts / 0.002))
        if self.chance(0.4):
            self.r(f"RLED{suffix}", rail, f"E{suffix}", self.e12(1e3, 4.7e3))
            ends = (f"E{suffix}", "0") if sign > 0 else ("0", f"E{suffix}")
            self.led(f"LED{suffix}", *ends)
        if self.chance(0.3):
            z = self.pick((4.7, 5.1, 6.2, 9.1, 12.0))
            self.r(f"RZ{suffix}", rail, f"Z{suffix}", self.e12(volts / 0.03, volts / 0.004))
            ends = ("0", f"Z{suffix}") if sign > 0 else (f"Z{suffix}", "0")
            self.zener(f"Z{suffix}", *ends, z)
            self.r(f"RZL{suffix}", f"Z{suffix}", "0", self.e12(1e3, 1e5))

    def fixed(self, pol, into, out, suffix="", volts=None):
        volts = volts or self.pick((5.0, 6.0, 8.0, 9.0, 12.0, 15.0))
        self.regulator(f"U{suffix}", pol, into, out, volts)
        self.add("C", f"CO{suffix}", p=out, n="0", c=self.e12(1e-6, 2.2e-5),
                 esr=self.between(0.05, 1.0))
        self.r(f"RL{suffix}", out, "0", self.e12(volts / 0.12, volts / 0.003))
        return volts

    def adjustable(self, into, out, suffix=""):
        self.regulator(f"U{suffix}", 1, into, out, 1.25, ground=f"ADJ{suffix}")
        top = self.e12(120.0, 270.0)
        ratio = self.random.uniform(2.0, 8.0)
        self.r(f"RT{suffix}", out, f"ADJ{suffix}", top)
        self.r(f"RB{suffix}", f"ADJ{suffix}", "0", rounded(top * ratio))
        self.r(f"RL{suffix}", out, "0", self.e12(100.0, 4700.0))
        return 1.25 * (1.0 + ratio)

    def pot_and_jack(self, top, bottom):
        track, k = self.pick((5e3, 1e4, 2.5e4, 1e5)), self.random.random()
        self.r("RPA", top, "W", rounded((1.0 - k) * track + 20.0))
        self.r("RPB", "W", bottom, rounded(k * track + 20.0))
        self.r("RSER", "W", "J", self.e12(100.0, 4700.0))
        self.r("RLD", "J", "0", self.pick((1e4, 4.7e4, 1e5, 1e6, 1e9)))

    def enough(self, volts):
        """A winding voltage for a regulated rail: from drop-out now and then to too much."""
        return (volts + 2.5) / np.sqrt(2.0) * self.random.uniform(1.0, 1.6) + 0.7


def half_wave(d):
    v = d.between(6.0, 18.0)
    sign = d.pick((1, 1, -1))
    d.winding(v, "X", "0")
    d.d("D1", *(("X", "P") if sign > 0 else ("P", "X")))
    d.reservoir("CP", *(("P", "0") if sign > 0 else ("0", "P")))
    if d.chance(0.3):  # a second section
        d.r("RF", "P", "Q", d.e12(10.0, 220.0))
        d.reservoir("CQ", *(("Q", "0") if sign > 0 else ("0", "Q")), 1e-4, 1e-3)
        d.rail_load("Q", v, sign)
    else:
        d.rail_load("P", v, sign)
    d.description = "half-wave, positive rail" if sign > 0 else "half-wave, negative rail"


def dual_half_wave(d):
    v = d.between(6.0, 18.0)
    d.winding(v, "X", "0")
    d.d("D1", "X", "P")
    d.d("D2", "N", "X")
    d.reservoir("CP", "P", "0")
    d.reservoir("CN", "0", "N")
    d.rail_load("P", v, 1, "P")
    d.rail_load("N", v, -1, "N")
    d.description = "dual half-wave, unregulated"


def _bridge(d, v, leakage=None):
    d.winding(v, "A", "B", leakage=leakage)
    for name, a, k in (("D1", "A", "P"), ("D2", "B", "P"), ("D3", "0", "A"), ("D4", "0", "B")):
        d.d(name, a, k)


def bridge(d):
    v = d.between(6.0, 18.0)
    _bridge(d, v)
    d.reservoir("CP", "P", "0")
    if d.chance(0.4):
        d.r("RCH", "P", "H", d.between(0.5, 8.0))
        d.add("L", "LCH", p="H", n="Q", l=d.decades(1e-3, 0.1))
        d.r("RLCH", "H", "Q", d.e12(220.0, 2200.0))
        d.reservoir("CQ", "Q", "0", 1e-4, 1e-3)
        d.rail_load("Q", v)
        d.description = "bridge with a choke after the reservoir"
    else:
        d.rail_load("P", v)
        d.description = "bridge, unregulated"


def bridge_fixed(d):
    volts = d.pick((5.0, 6.0, 8.0, 9.0, 12.0, 15.0))
    _bridge(d, d.enough(volts))
    d.reservoir("CP", "P", "0")
    d.fixed(1, "P", "OP", "1", volts)
    if d.chance(0.5):
        d.pot_and_jack("OP", "0")
    d.description = "bridge with fixed regulator"


def bridge_adjustable(d):
    _bridge(d, d.between(10.0, 18.0))
    d.reservoir("CP", "P", "0")
    d.adjustable("P", "OP", "1")
    d.add("C", "COP", p="OP", n="0", c=d.e12(1e-6, 2.2e-5), esr=d.between(0.05, 1.0))
    if d.chance(0.4):
        d.add("C", "CADJ", p="ADJ1", n="0", c=d.e12(1e-6, 1e-5), esr=d.between(0.2, 2.0))
    d.description = "bridge with adjustable regulator"


def centre_tap(d):
    v = d.between(6.0, 15.0)
    rsrc = d.winding(v, "A", "0", "A", leakage=False)
    d.winding(v, "B", "0", "B", "VS2", "S2", 180.0, False, rsrc * d.random.uniform(0.97, 1.03))
    d.d("D1", "A", "P")
    d.d("D2", "B", "P")
    d.reservoir("CP", "P", "0")
    if d.chance(0.6):
        d.d("D3", "N", "A")
        d.d("D4", "N", "B")
        d.reservoir("CN", "0", "N")
        d.rail_load("N", v, -1, "N")
        d.description = "centre tap, dual full-wave"
    else:
        d.description = "centre tap, full-wave"
    d.rail_load("P", v, 1, "P")


def doubler(d):
    v = d.between(4.0, 12.0)
    d.winding(v, "X", "0")
    d.reservoir("C1", "M", "X", 1e-4, 1e-3)
    d.d("D1", "0", "M")
    d.d("D2", "M", "P")
    d.reservoir("CP", "P", "0", 1e-4, 1e-3)
    d.r("RL", "P", "0", d.e12(2.0 * v / 0.06, 2.0 * v / 0.002))
    d.description = "half-wave voltage doubler"


def dual_regulated(d):
    volts = d.pick((5.0, 6.0, 8.0, 9.0, 12.0))
    d.winding(d.enough(volts), "X", "0")
    d.d("D1", "X", "P")
    d.d("D2", "N", "X")
    d.reservoir("CP", "P", "0", 4.7e-4, 2.2e-3)
    d.reservoir("CN", "0", "N", 4.7e-4, 2.2e-3)
    d.fixed(1, "P", "OP", "1", volts)
    d.fixed(-1, "N", "ON", "2", volts)
    d.pot_and_jack("OP", "ON")
    d.description = "dual half-wave with regulators, pot and output"


def half_wave_regulated(d):
    sign = d.pick((1, -1))
    volts = d.pick((5.0, 6.0, 8.0, 9.0))
    d.winding(d.enough(volts), "X", "0")
    d.d("D1", *(("X", "P") if sign > 0 else ("P", "X")))
    d.reservoir("CP", *(("P", "0") if sign > 0 else ("0", "P")), 4.7e-4, 2.2e-3)
    d.fixed(sign, "P", "OP", "1", volts)
    d.r("RLED", "P", "E", d.e12(1e3, 4.7e3))
    d.led("LED", *(("E", "0") if sign > 0 else ("0", "E")))
    d.description = "half-wave with one fixed regulator and a lamp"


def dc_clamp(d):
    d.add("vdc", "VIN", p="IN", n="0", v=d.between(-18.0, 18.0))
    d.add("vdc", "VCC", p="VC", n="0", v=d.pick((3.3, 5.0, 12.0)))
    d.r("R1", "IN", "Q", d.e12(470.0, 4.7e4))
    d.d("D1", "Q", "VC")
    d.d("D2", "0", "Q")
    d.r("RIN", "Q", "0", d.e12(1e4, 1e6))
    d.description = "input clamped to its supply"


def dc_lamps(d):
    v = d.between(9.0, 18.0)
    d.add("vdc", "BAT", p="BP", n="0", v=v)
    d.r("RBAT", "BP", "P", d.between(0.3, 5.0))
    for k in range(int(d.random.integers(1, 4))):
        d.r(f"R{k}", "P", f"E{k}", d.e12(330.0, 4.7e3))
        if d.chance(0.4):
            d.led(f"LEDA{k}", f"E{k}", f"F{k}")
            d.led(f"LEDB{k}", f"F{k}", "0")
        else:
            d.led(f"LED{k}", f"E{k}", "0")
    d.description = "battery and light-emitting diodes"


def dc_zener(d):
    z = d.pick((4.7, 5.1, 6.2, 9.1, 12.0))
    v = rounded(z * d.random.uniform(1.05, 1.8))
    d.add("vdc", "V1", p="IN", n="0", v=v, ripple=d.between(0.5, 2.5))
    d.r("R1", "IN", "Z", d.e12(100.0, 1e3))
    d.zener("Z1", "0", "Z", z)
    d.r("RL", "Z", "0", d.e12(470.0, 1e4))
    d.description = "zener shunt on a rippling rail"


def dc_pot(d):
    v = d.pick((5.0, 6.0, 9.0, 12.0))
    d.add("vdc", "VP", p="OP", n="0", v=v)
    d.add("vdc", "VN", p="ON", n="0", v=-rounded(v * d.random.uniform(0.95, 1.05)))
    d.pot_and_jack("OP", "ON")
    d.d("D1", "J", "OP")
    d.d("D2", "ON", "J")
    d.description = "pot across two supplies with clamped output"


def dc_regulated(d):
    if d.chance(0.5):
        d.add("vdc", "V1", p="IN", n="0", v=d.between(8.0, 24.0), ripple=d.between(0.1, 2.0))
        d.d("D1", "IN", "P")
        d.adjustable("P", "OP", "1")
        d.description = "adjustable regulator behind a polarity diode"
    else:
        volts = d.pick((5.0, 6.0, 9.0, 12.0))
        d.add("vdc", "V1", p="IN", n="0", v=rounded(volts * d.random.uniform(1.1, 2.0) + 1.0))
        d.d("D1", "IN", "P")
        d.regulator("U1", 1, "P", "OP", volts)
        d.r("RL1", "OP", "0", d.e12(volts / 0.1, volts / 0.002))
        d.description = "fixed regulator behind a polarity diode"
    d.r("RLED", "OP", "E", d.e12(470.0, 4.7e3))
    d.led("LED", "E", "0")


def dc_fed_back(d):
    d.add("vdc", "V12", p="A", n="0", v=d.between(9.0, 15.0))
    d.add("vdc", "V9", p="P", n="0", v=d.between(7.0, 15.0))
    d.r("R1", "A", "OP", d.e12(220.0, 1e4))
    d.regulator("U1", 1, "P", "OP", 5.0)
    d.r("RL", "OP", "0", d.e12(1e3, 4.7e4))
    d.d("D1", "OP", "P")
    d.description = "another supply fed into a regulator's output"


def dc_two_batteries(d):
    volts = d.pick((5.0, 6.0))
    for name, a, b, p in (("BA", "BP", "0", "P"), ("BB", "0", "BN", "N")):
        d.add("vdc", name, p=a, n=b, v=d.between(7.0, 9.6))
        d.r(f"R{name}", a if a != "0" else b, p, d.between(0.5, 10.0))
    d.regulator("U1", 1, "P", "OP", volts)
    d.regulator("U2", -1, "N", "ON", volts)
    for name, a in (("RL1", "OP"), ("RL2", "ON")):
        d.r(name, a, "0", d.e12(470.0, 1e4))
    d.pot_and_jack("OP", "ON")
    d.description = "two batteries, two regulators, pot and output"


MAINS = (half_wave, dual_half_wave, bridge, bridge_fixed, bridge_adjustable, centre_tap, doubler,
         dual_regulated, half_wave_regulated)
DIRECT = (dc_clamp, dc_lamps, dc_zener, dc_pot, dc_regulated, dc_fed_back, dc_two_batteries)
COLD = (half_wave, bridge, bridge_fixed, half_wave_regulated)


def healthy(seed, family):
    draw = Draw(seed)
    family(draw)
    return draw
