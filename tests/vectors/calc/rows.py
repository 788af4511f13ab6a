#!/usr/bin/env python3
"""Recomputes calculator results by other means than the program's, at full precision.

Standard library only: the Colebrook equation by bisection, the coil's decay by Runge-Kutta steps, the
stoichiometry by counting atoms, the rest in exact fractions of the defining units.
Run it to write rows.csv again: python3 rows.py > rows.csv
"""
from fractions import Fraction as F
from math import log, log10, pi, sqrt

INCH = F("0.0254")
PSI = F("0.45359237") * F("9.80665") / (INCH * INCH)


def row(calculator, inputs, output, value, unit):
    print("|".join([calculator, inputs, output, repr(float(value)), unit]))


def awg_area(n):
    """ASTM B258: geometric steps from 0.46 in (4/0) to 0.005 in (36), 39 steps."""
    ratio = (0.46 / 0.005) ** (1 / 39)
    diameter = 0.46 / ratio ** (n + 3) * 0.0254
    return pi * (diameter / 2) ** 2


def copper(area, length, celsius):
    return 1.7241e-8 * length / area * (1 + 0.00393 * (celsius - 20))


def colebrook(reynolds, roughness):
    def left_over(factor):
        return 1 / sqrt(factor) + 2 * log10(roughness / 3.7 + 2.51 / (reynolds * sqrt(factor)))
    low, high = 1e-4, 1.0
    for _ in range(200):
        middle = (low + high) / 2
        low, high = (middle, high) if left_over(middle) > 0 else (low, middle)
    return (low + high) / 2


def hose(litres_h, bore, length, density, viscosity, roughness, losses):
    speed = litres_h / 3.6e6 / (pi / 4 * bore**2)
    reynolds = density * speed * bore / viscosity
    factor = 64 / reynolds if reynolds <= 2300 else colebrook(reynolds, roughness / bore)
    return (factor * length / bore + losses) * density * speed**2 / 2, reynolds


def decay(supply, coil, henry, ohm, volt, fraction, steps=20000):
    """Integrates L di/dt = -(R + Rs) i - Uc until the current is down to the fraction, by time steps."""
    first = supply / coil
    slope = lambda i: -((coil + ohm) * i + volt) / henry
    step = henry / (coil + ohm) * 3 / steps
    i, t = first, 0.0
    while True:
        k1 = slope(i); k2 = slope(i + step / 2 * k1); k3 = slope(i + step / 2 * k2); k4 = slope(i + step * k3)
        new = i + step / 6 * (k1 + 2 * k2 + 2 * k3 + k4)
        if new <= fraction * first:
            # The last part of a step, by Newton from a straight guess on the cubic through both ends.
            part = (i - fraction * first) / (i - new)
            for _ in range(50):
                h = part * step
                k2 = slope(i + h / 2 * k1); k3 = slope(i + h / 2 * k2); k4 = slope(i + h * k3)
                at = i + h / 6 * (k1 + 2 * k2 + 2 * k3 + k4)
                part -= (at - fraction * first) / (slope(at) * step)
            return t + part * step
        i, t = new, t + step


for gauge in (0, 8, 10, 12, 14, 16, 18, 20, 22):
    row("wire-resistance", f"gauge={gauge} AWG; length=1 m; temperature=20 °C", "resistance",
        copper(awg_area(gauge), 1, 20) * 1e3, "mΩ")
row("wire-resistance", "gauge=12 AWG; length=3.7 m; temperature=-11.5 °C", "resistance",
    copper(awg_area(12), 3.7, -11.5) * 1e3, "mΩ")
row("wire-drop", "current=17.3 A; length=12 ft; gauge=10 AWG; return=wire; temperature=176 °F; supply=13.2 V", "drop",
    17.3 * 2 * copper(awg_area(10), 12 * 0.3048, 80), "V")
row("wire-drop", "current=17.3 A; length=12 ft; gauge=10 AWG; return=chassis; temperature=80 °C; supply=13.2 V; "
    "return_resistance=3.5 mohm", "drop_percent",
    17.3 * (copper(awg_area(10), 12 * 0.3048, 80) + 3.5e-3) / 13.2 * 100, "%")

for volt, coil, lead, celsius, parallel in ((12, 85, 0, 20, None), (12, 76, 0, 20, 680), (10.5, 90, 1.5, 95, 560)):
    hot = coil * (1 + 0.00393 * (celsius - 20))
    conductance = 1 / hot + (1 / parallel if parallel else 0)
    current = volt / (lead + 1 / conductance)
    across = current / conductance
    tail = f"; parallel={parallel} ohm" if parallel else ""
    inputs = f"supply={volt} V; coil={coil} ohm; lead={lead} ohm; temperature={celsius} °C{tail}"
    row("relay-coil", inputs, "current", current * 1e3, "mA")
    row("relay-coil", inputs, "margin", across - 8 * hot / coil, "V")

for kind, ohm, volt in (("diode", 0, 0.7), ("resistor; value=680 ohm", 680, 0), ("tvs; value=30 V", 0, 30)):
    inputs = f"supply=13.5 V; coil=85 ohm; inductance=0.35 H; suppression={kind}"
    row("coil-release", inputs, "current_decay", decay(13.5, 85, 0.35, ohm, volt, 0.1) * 1e3, "ms")

warm = lambda celsius: 1 + 0.00393 * (celsius - 20)
row("solenoid-current", "supply=14.4 V; nitrous_coil=0.91 ohm; fuel_coil=4.25 ohm; coil_temperature=21 °C", "cold",
    (14.4 / 0.91 + 14.4 / 4.25) * warm(21) / warm(-20), "A")

for bore, coefficient, kpa in ((0.5, 0.62, 300), (1.0, 0.80, 300), (2.0, 0.62, 40)):
    speed = sqrt(2 * kpa * 1e3 / 745)
    row("jet-flow", f"diameter={bore} mm; coefficient={coefficient}; drop={kpa} kPa; density=745 kg/m3", "mass_flow",
        coefficient * pi / 4 * (bore * 1e-3) ** 2 * speed * 745 * 1e3, "g/s")

for litres_h, bore, roughness in ((30, 8, 0), (40, 8, 1.5), (60, 4.7, 1.5), (150, 6, 1.5), (150, 8, 1.5), (250, 8, 10)):
    drop, reynolds = hose(litres_h, bore * 1e-3, 1.3, 745, 5e-4, roughness * 1e-6, 2.5)
    inputs = (f"flow={litres_h} l/h; bore={bore} mm; length=1.3 m; density=745 kg/m3; viscosity=0.5 mPa s; "
              f"roughness={roughness} µm; losses=2.5")
    row("hose-drop", inputs, "drop", drop / 1e3, "kPa")
    row("hose-drop", inputs, "reynolds", reynolds, "1")

row("fuel-demand", "base_power=90 kW; added_power=50 hp; bsfc=0.5 lb/hp h; density=745 kg/m3", "added_flow",
    F(25) * F("0.45359237") / 3600 / 745 * 60_000_000, "ml/min")
row("tube-rating", "outside=8 mm; wall=1.5 mm; temperature=20 °C", "working", F(2 * 20_000) * F("1.5") / F("6.5") / 3, "kPa")
row("cut-out-margin", "rail_pressure=3 bar; flowing_pressure=2.75 bar; trip=30 psi; reset=33 psi; tolerance=1.5 psi", "margin",
    (275_000 - F("34.5") * PSI) / 1000, "kPa")

for p2, t2 in ((398, F("293.15")), (398, F("292.15")), (401, F("295.15"))):
    celsius = float(t2) - 273.15
    inputs = (f"volume=250 cm3; start_pressure=400 kPa; start_temperature=293.15 K; end_pressure={p2} kPa; "
              f"end_temperature={float(t2)} K; time=600 s; reference=absolute")
    lost = F(250, 10**6) / 600 * (400_000 - p2 * 1000 * F("293.15") / t2)
    row("leak-decay", inputs, "leak", lost, "Pa·m³/s")
    row("leak-decay", inputs, "std_cm3_s", lost / F("0.101325"), "std cm³/s")

row("flow-check", "volume=0.52 L; time=29.6 s; expected=1070 ml/min", "error_percent",
    (F(520) / F("29.6") * 60 / 1070 - 1) * 100, "%")

WEIGHT = {"C": F("12.011"), "H": F("1.008"), "N": F("14.007"), "O": F("15.999")}
for fuel, c, h, o in (("iso-octane", 8, 18, 0), ("n-heptane", 7, 16, 0), ("toluene", 7, 8, 0), ("ethanol", 2, 6, 1),
                      ("petrol", 1, F("1.87"), 0)):
    # c CO2 and h/2 H2O need 2c + h/2 atoms of oxygen, of which the fuel brings o; each N2O brings one.
    nitrous = 2 * c + F(h) / 2 - o
    mass = c * WEIGHT["C"] + h * WEIGHT["H"] + o * WEIGHT["O"]
    row("mixture", f"nitrous_flow=30 g/s; fuel_flow=5 g/s; fuel={fuel}", "stoichiometric",
        nitrous * (2 * WEIGHT["N"] + WEIGHT["O"]) / mass, "1")
row("bottle-fill", "tare=7 kg; gross=11.5 kg; capacity=6.7 L; test_pressure=207 bar", "fill", F("4.5") / F("6.7"), "kg/L")

row("rpm-window", "lowest=3500 rpm; limiter=6800 rpm; margin=31.4 rad/s", "high", 6800 - F("31.4") * 30 / F(pi), "rpm")
row("rpm-window", "lowest=3500 rpm; limiter=6800 rpm; margin=300 rpm", "high", F(6800) - 300, "rpm")

for value, start, unit, factor in (
    ("43.5", "psi", "bar", PSI / 100_000), ("1", "hp", "W", 550 * F("0.3048") * F("0.45359237") * F("9.80665")),
    ("1", "lb/hp h", "g/kWh", F("0.45359237") * 1000 / (550 * F("0.3048") * F("0.45359237") * F("9.80665") / 1000)),
    ("9", "lbf ft", "N·m", F("0.3048") * F("0.45359237") * F("9.80665")),
    ("120", "in-lb", "N·m", F("0.0254") * F("0.45359237") * F("9.80665")), ("150", "l/h", "ml/min", F(1000, 60)),
    ("0.745", "g/cm3", "kg/m³", 1000), ("6800", "rpm", "rad/s", 2 * F(pi) / 60), ("29.92", "inHg", "kPa", F("3.386389")),
):
    row("convert", f"value={value} {start}; to={unit}", "value", F(value) * factor, unit)
