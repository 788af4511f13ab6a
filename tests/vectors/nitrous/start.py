#!/usr/bin/env python3
"""Prints the series of src/calc/nitrous/start.rs, from the equation of Lemmon and Span (2006) in 50 digits.

    pip install mpmath==1.3.0
    python3 start.py

They are start values only: the program solves the equation itself from there.
"""
import bisect

from mpmath import cos, diff, exp, findroot, log, mp, mpf, pi, sqrt

mp.dps = 50
CRITICAL, TRIPLE, R, RHO = mpf("309.52"), mpf("182.33"), mpf("8.314472"), mpf(10270)
TERMS = [(mpf(n), mpf(t), d, l) for n, t, d, l in [
    ("0.88045", "0.25", 1, 0), ("-2.4235", "1.25", 1, 0), ("0.38237", "1.5", 1, 0), ("0.068917", "0.25", 3, 0),
    ("0.00020367", "0.875", 7, 0), ("0.13122", "2.375", 1, 1), ("0.46032", "2", 2, 1), ("-0.0036985", "2.125", 5, 1),
    ("-0.23263", "3.5", 1, 2), ("-0.00042859", "6.5", 1, 2), ("-0.04281", "4.75", 4, 2), ("-0.023038", "12.5", 2, 3)]]


def residual(kelvin, delta):
    a = d = dd = mpf(0)
    for n, t, power, l in TERMS:
        part = n * (CRITICAL / kelvin) ** t * delta**power * (exp(-(delta**l)) if l else 1)
        pull = l * delta**l if l else 0
        degree = power - pull
        a, d, dd = a + part, d + part * degree, dd + part * (degree * (degree - 1) - l * pull)
    return a, d, dd


def stiffness(kelvin, delta):
    _, d, dd = residual(kelvin, delta)
    return 1 + 2 * d + dd


def saturate(kelvin, liquid, vapour):
    """Newton's method on equal pressure and equal Gibbs energy."""
    for _ in range(60):
        (a_l, d_l, dd_l), (a_v, d_v, dd_v) = residual(kelvin, liquid), residual(kelvin, vapour)
        unequal = vapour * (1 + d_v) - liquid * (1 + d_l)
        gibbs = log(vapour / liquid) + a_v + d_v - a_l - d_l
        rise = (gibbs - unequal / vapour) / (1 / liquid - 1 / vapour)
        step_l, step_v = rise / (1 + 2 * d_l + dd_l), (rise - unequal) / (1 + 2 * d_v + dd_v)
        size = max(abs(step_l / liquid), abs(step_v / vapour))
        damp = min(mpf(1), mpf("0.2") / size) if size else mpf(1)
        pressure = liquid * (1 + d_l) + rise
        liquid, vapour = liquid + damp * step_l, vapour + damp * step_v
        if size < mpf(10) ** -25:
            return liquid, vapour, pressure
    raise ArithmeticError(kelvin)


MEET, MEET_DELTA = findroot(
    lambda kelvin, delta: [stiffness(kelvin, delta), diff(lambda x: stiffness(kelvin, x), delta)],
    (mpf("309.53"), mpf(1)))
FARTHEST = sqrt(1 - TRIPLE / MEET)
SHIFT, PRESSURE_SHIFT = mpf("0.045"), mpf("0.2")


def followed():
    """Both densities from the triple point towards the meeting point, each from the two before it."""
    liquid, vapour, known = mpf("2.73"), mpf("0.0058"), []
    for step in range(400, 0, -1):
        x = FARTHEST * (mpf(step) / 400) ** 2
        if len(known) > 1:
            (x1, l1, v1), (x2, l2, v2) = known[-2:]
            share = (x - x2) / (x2 - x1)
            liquid = MEET_DELTA * exp(x * (l2 + share * (l2 - l1)))
            vapour = MEET_DELTA * exp(x * (v2 + share * (v2 - v1)))
        liquid, vapour, _ = saturate(MEET * (1 - x * x), liquid, vapour)
        assert liquid - vapour > 2 * x
        known.append((x, log(liquid / MEET_DELTA) / x, log(vapour / MEET_DELTA) / x))
    return known[::-1]


KNOWN = followed()
PLACES = [row[0] for row in KNOWN]


def at(x):
    if x <= 0:
        _, d, _ = residual(MEET, MEET_DELTA)
        return MEET_DELTA, MEET_DELTA, MEET_DELTA * (1 + d)
    place = min(max(bisect.bisect(PLACES, x), 1), len(PLACES) - 1)
    (x1, l1, v1), (x2, l2, v2) = KNOWN[place - 1], KNOWN[place]
    share = (x - x2) / (x2 - x1)
    return saturate(MEET * (1 - x * x), MEET_DELTA * exp(x * (l2 + share * (l2 - l1))),
                    MEET_DELTA * exp(x * (v2 + share * (v2 - v1))))


def pressure(kelvin):
    return at(sqrt(1 - kelvin / MEET))[2] * R * kelvin * RHO


def series(function, count, low, high):
    nodes = [cos(pi * (2 * k + 1) / (2 * count)) for k in range(count)]
    values = [function((low + high) / 2 + (high - low) / 2 * z) for z in nodes]
    return [(mpf(2) if j else mpf(1)) / count * sum(values[k] * cos(pi * j * (2 * k + 1) / (2 * count))
                                                    for k in range(count)) for j in range(count)]


def temperature(log_pressure):
    cold, warm = TRIPLE, CRITICAL
    for _ in range(60):
        middle = (cold + warm) / 2
        cold, warm = (cold, middle) if log(pressure(middle)) > log_pressure else (middle, warm)
    return (cold + warm) / 2


def show(name, numbers):
    print(name, ", ".join(f"{float(number):.9}" for number in numbers))


def main():
    low, high = log(SHIFT), log(FARTHEST + SHIFT)
    back = lambda w: exp(w) - SHIFT
    print("MEET_K", mp.nstr(MEET, 20), "ENDS", mp.nstr(low, 20), mp.nstr(high, 20))
    show("LIQUID", series(lambda w: log(at(back(w))[0]), 19, low, high))
    show("VAPOUR", series(lambda w: (1 - back(w) ** 2) * log(at(back(w))[1]), 19, low, high))
    top = log(at(0)[2] * R * MEET * RHO)
    print("LN_MEET_PA", mp.nstr(top, 18), "Pa", *(mp.nstr(pressure(kelvin), 16) for kelvin in (TRIPLE, CRITICAL)))
    low, high = (log(sqrt(top - log(pressure(kelvin))) + PRESSURE_SHIFT) for kelvin in (CRITICAL, TRIPLE))
    print("PRESSURE_ENDS", mp.nstr(low, 18), mp.nstr(high, 18))
    show("LN_KELVIN", series(lambda w: log(temperature(top - (exp(w) - PRESSURE_SHIFT) ** 2)), 11, low, high))


if __name__ == "__main__":
    main()
