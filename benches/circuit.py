#!/usr/bin/env python3
"""Compares a solve of twelve nodes with a run of ngspice on the same circuit, in one run.

    apt-get install ngspice
    python3 benches/circuit.py     builds and runs the bench, then ngspice, and prints the ratios

ngspice is measured both as a run (start, read, solve, print) and within one, as an operating point of many.
"""
import re
import statistics
import subprocess
import tempfile
import time
from pathlib import Path

NETLIST = """twelve nodes
V1 i 0 13.8
R1 i n1 0.01
R2 n1 n2 0.002
R3 n2 n3 0.0025
R4 n3 n4 0.001
R5 n4 n5 0.004
R6 n5 n6 0.003
R7 n6 n7 0.75
R8 n6 n8 3.1
R9 n7 n9 0.004
R10 n8 n9 0.006
R11 n9 0 0.003
R12 n5 n10 5.5
R13 n10 0 0.01
R14 n6 n11 10meg
R15 n11 n9 0.2
.control
{control}
quit
.endc
.end
"""


def ngspice(control):
    path = Path(tempfile.mkdtemp()) / "bench.cir"
    path.write_text(NETLIST.format(control=control))
    start = time.perf_counter()
    subprocess.run(["ngspice", "-b", str(path)], capture_output=True, check=False)
    return time.perf_counter() - start


def ours():
    command = ["cargo", "bench", "--no-default-features", "--bench", "circuit"]
    out = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    print(out)
    scale = {"ns": 1e-9, "µs": 1e-6, "ms": 1e-3}
    # The third figure of a line is the median.
    rows = re.findall(r"[├╰]─ (\w+)\s+[\d.]+ \S+\s+│ [\d.]+ \S+\s+│ ([\d.]+) (\S+)", out)
    return {name: float(value) * scale[unit] for name, value, unit in rows}


def main():
    median = ours()
    run = statistics.median(ngspice("op\nprint v(n6)") for _ in range(21))
    once = median["twelve_nodes"]
    print(f"a run of ngspice: {run * 1e3:.2f} ms, {run / once:,.0f} times one solve of {once * 1e6:.2f} µs")
    followed = median["twelve_nodes_with_relay_and_diode"]
    print(f"with a relay to follow and a diode to decide: {run / followed:,.0f} times ({followed * 1e6:.2f} µs)")
    # A sweep solves the same circuit at 20,001 supplies in one run.
    sweep = ngspice("dc V1 10 15 0.00025")
    within = (sweep - run) / 20000
    print(f"a point of a sweep within ngspice: {within * 1e6:.2f} µs, {within / once:.1f} times one solve")
    frame = median["hundred_of_them"] * 60
    print(f"a hundred take {frame * 100:.1f} % of a frame at 60 Hz")


main()
