#!/usr/bin/env python3
"""Computes the check vectors of nitrous oxide with CoolProp, whose HEOS backend carries the same equation of
Lemmon and Span (2006) and solves it by its own means.

    pip install CoolProp==8.0.0 numpy scipy
    python3 generate.py        writes vectors.csv beside this file

The version that computed them stands in the first line. Each line is a kind and its numbers:
  point       T K, rho mol/m3, p Pa, h J/mol, s J/(mol K), cv J/(mol K), w m/s
  saturation  T K, p Pa, liquid kg/m3, vapour kg/m3, h liquid J/kg, h vapour, s liquid J/(kg K), s vapour
  isochore    T K, filling kg/m3, p Pa, quality (-1 in a single phase)
  full        filling kg/m3, T K at which the liquid fills its room
  pressed     T K, p Pa, liquid kg/m3
  critical    T K, p Pa (0 for saturated), greatest HEM flux kg/(m2 s), p Pa in the throat, 1 if on the saturation line
  flux        T K, p Pa (0 for saturated), back pressure Pa, SPI, HEM not held, Dyer with that
"""
import math
from pathlib import Path

import CoolProp
import CoolProp.CoolProp as CP
import numpy as np
from scipy.optimize import brentq, minimize_scalar

STATE = CP.AbstractState("HEOS", "N2O")
LINES = []


def line(kind, *numbers):
    LINES.append(",".join([kind] + [repr(float(number)) for number in numbers]))


def point(kelvin, rho):
    single = CP.iphase_supercritical if kelvin > 309.6 else CP.iphase_gas if rho < 10000 else CP.iphase_liquid
    STATE.specify_phase(single)
    STATE.update(CP.DmolarT_INPUTS, rho, kelvin)
    line("point", kelvin, rho, STATE.p(), STATE.hmolar(), STATE.smolar(), STATE.cvmolar(), STATE.speed_sound())
    STATE.unspecify_phase()


def saturated(kelvin, quality):
    STATE.update(CP.QT_INPUTS, quality, kelvin)
    return STATE.p(), STATE.rhomass(), STATE.hmass(), STATE.smass()


def saturation(kelvin):
    p, liquid, h_l, s_l = saturated(kelvin, 0)
    _, vapour, h_v, s_v = saturated(kelvin, 1)
    line("saturation", kelvin, p, liquid, vapour, h_l, h_v, s_l, s_v)


def isochore(kelvin, fill):
    """Below the critical temperature the phase is told from the saturated densities, not by the flash."""
    quality = -1.0
    if kelvin < 309.52:
        p, liquid, _, _ = saturated(kelvin, 0)
        vapour = saturated(kelvin, 1)[1]
        if vapour < fill < liquid:
            line("isochore", kelvin, fill, p, (1 / fill - 1 / liquid) / (1 / vapour - 1 / liquid))
            return
        STATE.specify_phase(CP.iphase_liquid if fill >= liquid else CP.iphase_gas)
    STATE.update(CP.DmassT_INPUTS, fill, kelvin)
    if STATE.p() <= 50e6:  # the equation ends there
        line("isochore", kelvin, fill, STATE.p(), quality)
    STATE.unspecify_phase()


def full(fill):
    line("full", fill, brentq(lambda kelvin: saturated(kelvin, 0)[1] - fill, 183.0, 309.5, xtol=1e-11))


def upstream(kelvin, p):
    if p == 0:
        p, rho, h, s = saturated(kelvin, 0)
    else:
        STATE.specify_phase(CP.iphase_liquid)
        STATE.update(CP.PT_INPUTS, p, kelvin)
        rho, h, s = STATE.rhomass(), STATE.hmass(), STATE.smass()
        STATE.unspecify_phase()
    return p, rho, h, s


def expanded(p, entropy):
    """Density and enthalpy at a pressure and an entropy, by the mixture of both saturated phases or by the flash."""
    STATE.update(CP.PQ_INPUTS, p, 0)
    rho_l, h_l, s_l = STATE.rhomass(), STATE.hmass(), STATE.smass()
    STATE.update(CP.PQ_INPUTS, p, 1)
    rho_v, h_v, s_v = STATE.rhomass(), STATE.hmass(), STATE.smass()
    if s_l <= entropy <= s_v:
        q = (entropy - s_l) / (s_v - s_l)
        return 1 / ((1 - q) / rho_l + q / rho_v), (1 - q) * h_l + q * h_v
    return CP.PropsSI("D", "P", p, "S", entropy, "N2O"), CP.PropsSI("H", "P", p, "S", entropy, "N2O")


def hem(p, h0, s0):
    rho, h = expanded(p, s0)
    return rho * math.sqrt(2 * max(0.0, h0 - h))


def critical(kelvin, p0):
    """The greatest of a fine grid over the whole two-phase expansion, then a bounded search around it; the
    saturation line is a candidate of its own."""
    _, _, h0, s0 = upstream(kelvin, p0)
    meets = brentq(lambda t: saturated(t, 0)[3] - s0, 182.4, min(kelvin, 309.51)) if p0 else kelvin
    top = saturated(meets, 0)[0]
    grid = np.linspace(88e3, top * (1 - 1e-9), 800)
    fluxes = [hem(p, h0, s0) for p in grid]
    best = int(np.argmax(fluxes))
    _, rho_l, h_l, _ = saturated(meets, 0)
    kink = rho_l * math.sqrt(2 * max(0.0, h0 - h_l))
    low, high = grid[max(0, best - 1)], grid[min(len(grid) - 1, best + 1)]
    found = minimize_scalar(lambda p: -hem(p, h0, s0), bounds=(low, high), method="bounded", options={"xatol": 1e-3})
    greatest, throat, on_line = -found.fun, found.x, 0
    if kink >= greatest:
        greatest, throat, on_line = kink, top, 1
    rising = np.diff(fluxes)
    assert (np.diff((rising > 0).astype(int)) > 0).sum() == 0, f"more than one maximum at {kelvin} K, {p0} Pa"
    line("critical", kelvin, p0, greatest, throat, on_line)


def fluxes(kelvin, p0, back):
    p1, rho, h0, s0 = upstream(kelvin, p0)
    saturation_p = saturated(kelvin, 0)[0]
    spi, equilibrium = math.sqrt(2 * rho * (p1 - back)), hem(back, h0, s0)
    kappa = math.sqrt((p1 - back) / (saturation_p - back)) if back < saturation_p else math.inf
    dyer = spi if math.isinf(kappa) else (kappa * spi + equilibrium) / (1 + kappa)
    line("flux", kelvin, p0, back, spi, equilibrium, dyer)


def main():
    for state in [(300, 100), (300, 18000), (280, 20000), (309.52, 10270), (333.15, 0.75e3 / 0.0440128), (350, 5000),
                  (200, 27000), (250, 500)]:
        point(*state)
    for kelvin in np.arange(182.5, 309.03, 0.5):
        saturation(float(kelvin))
    for kelvin in (182.33, 193.15, 273.15, 293.15, 298.15, 303.15, 308.15, 309.02):
        saturation(kelvin)
    for fill in (10.0, 100.0, 250.0, 500.0, 600.0, 667.0, 680.0, 700.0, 740.0, 750.0, 800.0, 900.0, 1000.0):
        for celsius in np.arange(-20, 65.01, 2.5):
            isochore(float(celsius) + 273.15, fill)
    for fill in (500.0, 600.0, 650.0, 667.0, 680.0, 700.0, 740.0, 750.0, 800.0, 900.0, 1000.0, 1200.0):
        full(fill)
    for kelvin in (200.0, 250.0, 273.15, 293.15, 303.15, 308.15):
        for p in (75e5, 100e5, 200e5, 499e5):
            line("pressed", kelvin, p, upstream(kelvin, p)[1])
    for celsius in (-50, -35, *range(-20, 36, 5), 36):
        critical(celsius + 273.15, 0.0)
    for celsius, bar in ((10, 42), (10, 45), (10, 60), (10, 100), (-20, 25), (-20, 60), (25, 58), (25, 70), (25, 150),
                         (35, 72), (35, 80), (35, 120)):
        critical(celsius + 273.15, bar * 1e5)
    for celsius, bar in ((20, 0), (10, 60), (25, 0), (0, 0), (30, 66)):
        for share in (0.98, 0.9, 0.8, 0.7, 0.5, 0.3, 0.1):
            fluxes(celsius + 273.15, bar * 1e5, share * saturated(celsius + 273.15, 0)[0])
    fluxes(283.15, 60e5, 50e5)
    header = f"# CoolProp {CoolProp.__version__}, HEOS, N2O; written by generate.py, which says what the columns are"
    Path(__file__).with_name("vectors.csv").write_text("\n".join([header] + LINES) + "\n")


if __name__ == "__main__":
    main()
