#!/usr/bin/env python3
"""Measures the equation of state here and through CoolProp in one run, and prints the ratios.

    pip install CoolProp==8.0.0 scipy
    python3 benches/nitrous.py        from the root of the project; it runs `cargo bench` for our side

CoolProp is called through its compiled low-level AbstractState, never through PropsSI. What a method call from
Python costs, measured on a method that returns a stored number, is taken off once for every call made, so that
CoolProp is charged with its own work alone; for the search the cost of scipy's own loop is taken off as well,
measured on a function that does nothing. The same hundred temperatures are used on both sides, each time the best
of many rounds, our side by divan's fastest sample.

  saturation   HEOS takes pressure and both densities from its Chebyshev superancillaries in one update.
               BICUBIC&HEOS and TTSE&HEOS interpolate tables: an update gives one phase, so two are made.
  flux         the greatest of rho sqrt(2 (h1 - h2)) over p by scipy's bounded search (xatol 10 Pa) over
               0.55 to 1 times the saturation pressure, two PQ updates and six reads an evaluation.
"""
import re
import subprocess
import sys
import time

import CoolProp
import CoolProp.CoolProp as CP
from scipy.optimize import minimize_scalar

TEMPERATURES = [193.15 + step * (309.02 - 193.15) / 99 for step in range(100)]
UNITS = {"ns": 1e-3, "µs": 1.0, "us": 1.0, "ms": 1e3}


def best(work, rounds):
    fastest = float("inf")
    for _ in range(rounds):
        start = time.perf_counter()
        work()
        fastest = min(fastest, time.perf_counter() - start)
    return fastest * 1e6


def call_us(state):
    read = state.Q

    def work():
        for _ in TEMPERATURES:
            read()
    return best(work, 300) / len(TEMPERATURES)


def one_update(backend):
    """HEOS: one update is the whole state."""
    state = CP.AbstractState(backend, "N2O")
    update, p = state.update, state.p
    density_l = lambda: state.saturated_liquid_keyed_output(CP.iDmass)
    density_v = lambda: state.saturated_vapor_keyed_output(CP.iDmass)

    def work():
        for kelvin in TEMPERATURES:
            update(CP.QT_INPUTS, 0.0, kelvin)
    update(CP.QT_INPUTS, 0.0, 290.0)
    assert p() > 0 and density_l() > density_v()
    return best(work, 300) / len(TEMPERATURES) - call_us(state)


def one_update_of_pressure(backend):
    """HEOS: the whole state from a pressure."""
    state = CP.AbstractState(backend, "N2O")
    update, pressures = state.update, []
    for kelvin in TEMPERATURES:
        update(CP.QT_INPUTS, 0.0, kelvin)
        pressures.append(state.p())

    def work():
        for p in pressures:
            update(CP.PQ_INPUTS, p, 0.0)
    return best(work, 300) / len(TEMPERATURES) - call_us(state)


def two_updates(backend):
    """Tables: liquid and vapour, an update and a read each, and the pressure."""
    state = CP.AbstractState(backend, "N2O")
    update, density, p = state.update, state.rhomass, state.p

    def work():
        for kelvin in TEMPERATURES:
            update(CP.QT_INPUTS, 0.0, kelvin)
            density()
            update(CP.QT_INPUTS, 1.0, kelvin)
            density()
            p()
    return best(work, 300) / len(TEMPERATURES) - 5 * call_us(state)


def searched(backend):
    """The greatest flux from each saturated liquid at 0 °C or warmer."""
    state = CP.AbstractState(backend, "N2O")
    update, density, enthalpy, entropy = state.update, state.rhomass, state.hmass, state.smass
    warm = [kelvin for kelvin in TEMPERATURES if kelvin >= 273.15]
    calls = [0]

    def greatest(kelvin, count=0):
        update(CP.QT_INPUTS, 0.0, kelvin)
        h0, s0, p0 = enthalpy(), entropy(), state.p()
        calls[0] += 4 * count

        def against(p):
            calls[0] += 8 * count
            update(CP.PQ_INPUTS, p, 0.0)
            v_l, h_l, s_l = 1 / density(), enthalpy(), entropy()
            update(CP.PQ_INPUTS, p, 1.0)
            v_v, h_v, s_v = 1 / density(), enthalpy(), entropy()
            q = (s0 - s_l) / (s_v - s_l)
            return -(2 * max(0.0, h0 - h_l - q * (h_v - h_l))) ** 0.5 / (v_l + q * (v_v - v_l))
        return minimize_scalar(against, bounds=(0.55 * p0, p0), method="bounded", options={"xatol": 10.0})

    evaluations = sum(greatest(kelvin, 1).nfev for kelvin in warm)
    whole = best(lambda: [greatest(kelvin) for kelvin in warm], 20)
    idle = best(lambda: [minimize_scalar(lambda p: (p - 3e6) ** 2 * 1e-12, bounds=(2e6, 4e6), method="bounded",
                                         options={"xatol": 10.0}) for _ in warm], 20)
    own = whole - idle - calls[0] * call_us(state)
    return own / len(warm), whole / len(warm), evaluations / len(warm)


def ours():
    """The fastest sample of each benchmark, for one state."""
    command = ["cargo", "bench", "--no-default-features", "--bench", "nitrous"]
    text = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    counts = {"critical_flux": sum(kelvin >= 273.15 for kelvin in TEMPERATURES)}
    counts["dyer_flux_of_a_pressed_liquid"] = counts["critical_flux"]
    rows = re.findall(r"─ (\w+)\s+([\d.]+) (ns|µs|us|ms)", text)
    if not rows:
        sys.exit("no rows in the output of cargo bench:\n" + text)
    return {name: float(value) * UNITS[unit] / counts.get(name, 100) for name, value, unit in rows}


def main():
    mine = ours()
    print(f"CoolProp {CoolProp.__version__}, µs for one state; ratio = CoolProp over ours")
    for name, micro in mine.items():
        print(f"  ours {name:32} {micro:8.3f}")
    state_us = mine["saturation_at_temperature"]
    rows = [("HEOS superancillary, one update", one_update("HEOS"))]
    rows += [(f"{backend}, two updates", two_updates(backend)) for backend in ("BICUBIC&HEOS", "TTSE&HEOS")]
    for name, micro in rows:
        print(f"  saturation, {name:34} {micro:8.3f}  ratio {micro / state_us:6.2f}")
    micro = one_update_of_pressure("HEOS")
    print(f"  saturation at a pressure, HEOS, one update    {micro:8.3f}  ratio {micro / mine['saturation_at_pressure']:6.2f}")
    flux_us = mine["critical_flux"]
    own, whole, evaluations = searched("HEOS")
    print(f"  flux, HEOS, own work alone, {evaluations:.0f} evaluations {own:8.2f}  ratio {own / flux_us:6.1f}")
    print(f"  flux, HEOS, as a caller waits for it         {whole:8.2f}  ratio {whole / flux_us:6.1f}")


if __name__ == "__main__":
    main()
