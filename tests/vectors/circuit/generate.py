#!/usr/bin/env python3
"""Solves circuits with ngspice, as check values for the room `circuit`.

    apt-get install ngspice        version 39.3 computed the committed file
    python3 generate.py [FOLDER]   writes circuits.txt and vectors.csv beside this file, the .cir files to FOLDER

circuits.txt holds what both sides read, a line each:
  circuit NAME
  source NAME plus minus volt ohm      wire|load|meter NAME from to ohm     fuse NAME from to ampere ohm
  switch NAME from to ohm              diode NAME anode cathode volt ohm
  relay NAME 85 86 30 87 87a coil-ohm pull-in-volt release-volt contact-ohm; - for an insulated terminal
  case NAME, then any of
  closed SWITCH...   pulled RELAY...   conducting DIODE...
  fault open|shorted|blown|welded NAME, fault added NAME ohm, fault swapped NAME terminal terminal
Ground is the node 0. `pulled` and `conducting` are said by hand, or by the rule written below: ngspice gets a
linear circuit with these states fixed, and the room must come to the same ones by itself.

vectors.csv: circuit, case, node, volt (or floating); and circuit, case, @SOURCE, ampere delivered.
"""
import itertools
import random
import re
import subprocess
import sys
import tempfile
from pathlib import Path

HERE = Path(__file__).parent
SHORT_OHM = 1e-3
LEAST_OPTIONS = ".options reltol=1e-12 abstol=1e-18 vntol=1e-15 gmin=1e-30 numdgt=16"

HAND = """
circuit reference
source V1 n0 0 13.8 0.01
wire wire n0 n2 0.005
fuse fuse n2 n3 25 0.003
wire contact n3 n4 0.002
wire crimp n4 n5 0.005
load first n5 g 1.725
load second n5 g 2.3
wire strap g 0 0.008
case healthy
case bad-crimp
fault added crimp 0.2
case fuse-blown
fault blown fuse
case strap-open
fault open strap
case load-shorted
fault shorted first

circuit divider-with-meter
source supply a 0 12 0.05
load upper a m 100000
load lower m 0 100000
meter meter m 0 10000000
case as-built
case lower-open
fault open lower
case upper-open
fault open upper

circuit meter-across-an-open-fuse
source supply a 0 14.4 0.008
fuse fuse a b 10 0.006
load lamp b 0 3.2
meter meter a b 10000000
case healthy
case blown
fault blown fuse
case blown-and-lamp-open
fault blown fuse
fault open lamp

circuit bridge
source supply a 0 10 0.5
load r1 a l 120
load r2 a r 330
load r3 l 0 220
load r4 r 0 150
load galvanometer l r 50
case as-built
case balanced-arm-lost
fault open r3

circuit battery-and-alternator
source battery p 0 12.6 0.012
source alternator q 0 14.4 0.03
wire cable p q 0.004
load cabin p 0 0.9
load engine q 0 2.4
case running
case cable-corroded
fault added cable 0.05

circuit series-cells
source low m 0 6.2 0.02
source high t m 6.4 0.03
load lamp t 0 4
load tap m 0 7
case as-built
case one-open
fault open high

circuit two-supplies-through-diodes
source main a 0 13.8 0.02
source reserve b 0 12.4 0.02
diode from-main a c 0.5 0.02
diode from-reserve b c 0.5 0.02
load load c 0 6
case both
conducting from-main
case main-lost
fault open main
conducting from-reserve

circuit rectifier
source supply a 0 9 0.1
diode d1 a p 0.7 0.05
diode d2 n a 0.7 0.05
diode d3 0 p 0.7 0.05
diode d4 n 0 0.7 0.05
load load p n 47
case forward
conducting d1 d4

circuit two-diodes-in-series
source supply a 0 12 0.1
diode d1 a b 0.7 0.05
diode d2 b c 0.7 0.05
load load c 0 10
case as-built
conducting d1 d2

circuit two-diodes-beside-a-blocked-one
source supply a 0 12 0.1
source higher h 0 24 0.1
diode d1 a b 0.7 0.05
diode d2 b c 0.7 0.05
diode blocked c h 0.7 0.05
load load c 0 10
case as-built
conducting d1 d2

circuit battery-without-ground
source battery p m 12 0.02
load heater p m 2
meter meter p 0 10000000
load other x 0 5
wire loose y z 0.1
case adrift

circuit changeover
source battery p 0 13.2 0.015
switch key p k 0.004
relay relay 0 k p on off 85 8 1.5 0.0015
load bright on 0 1.2
load dim off 0 8
case released
case pulled
closed key
pulled relay
case welded
fault welded relay
case coil-open
closed key
fault open relay
case coil-shorted
closed key
fault shorted relay

circuit self-holding
source battery p 0 13.2 0.015
switch start p c 0.004
relay relay 0 c p c - 85 8 1.5 0.0015
load lamp c 0 10
case at-rest
case started
closed start
pulled relay

circuit chain-of-relays
source battery p 0 12.8 0.02
switch key p a 0.003
relay first 0 a p b - 85 7.2 1.6 0.002
relay second 0 b p c - 75 6.5 1 0.002
relay third 0 c p d - 90 7.2 1.6 0.002
load horn d 0 1.1
case rest
case on
closed key
pulled first second third
case second-open
closed key
fault open second
pulled first

circuit nodes-12
source battery n1 0 13.8 0.01
wire main n1 n2 0.002
fuse fuse n2 n3 30 0.0025
switch isolator n3 n4 0.001
wire feed n4 n5 0.004
wire run n5 n6 0.003
load nitrous n6 n7 0.75
load fuel n6 n8 3.1
wire ground-1 n7 n9 0.004
wire ground-2 n8 n9 0.006
wire strap n9 0 0.003
load lamp n5 n10 5.5
wire ground-3 n10 0 0.01
meter meter n6 n11 10000000
wire probe n11 n9 0.2
case isolated
case on
closed isolator

"""

NITROUS = """circuit wet-nitrous
source battery plus 0 13.8 0.008
wire strap chassis 0 0.002
fuse control-fuse plus ctl 5 0.02
wire control-feed ctl c0 0.03
switch arming c0 c1 0.01
wire to-trigger c1 c2 0.04
switch trigger c2 c3 0.02
wire to-throttle c3 c4 0.04
switch throttle c4 c5 0.02
switch window c5 c6 0.05
switch cut-out c6 c7 0.03
wire to-coil c7 t86 0.02
diode suppression t85 t86 0.7 0.05
wire coil-ground t85 chassis 0.01
wire battery-lead plus b1 0.0015
fuse power-fuse b1 b2 25 0.0031
switch isolator b2 b3 0.002
wire feed b3 t30 0.004
relay relay t85 t86 t30 t87 - 85 8 1.5 0.003
wire crimp t87 s 0.002
wire nitrous-lead s s1 0.006
wire fuel-lead s s2 0.009
load nitrous s1 g1 0.78
load fuel s2 g1 3.3
wire ground-joint g1 chassis 0.003
load tell-tale c1 chassis 82
meter meter t87 chassis 10000000
"""
CONTROL = ["arming", "trigger", "throttle", "window", "cut-out"]
# Faults with everything closed, and whether the relay still pulls in.
FAULTS = [
    ("control-fuse-blown", ["blown control-fuse"], False),
    ("power-fuse-blown", ["blown power-fuse"], True),
    ("open-ground-of-the-coil", ["open coil-ground"], False),
    ("open-ground-of-the-solenoids", ["open ground-joint"], True),
    ("open-strap", ["open strap"], False),
    ("bad-crimp", ["added crimp 0.2"], True),
    ("corroded-coil-lead", ["added to-coil 40"], True),
    ("corroded-past-pull-in", ["added to-coil 80"], False),
    ("coil-and-resting-contact-swapped", ["swapped relay 85 87a"], False),
    ("nitrous-coil-shorted", ["shorted nitrous"], True),
    ("nitrous-coil-open", ["open nitrous"], True),
]


def nitrous():
    lines = [NITROUS]
    for states in itertools.product([False, True], repeat=5):
        closed = [name for name, on in zip(CONTROL, states) if on]
        name = "".join("1" if on else "0" for on in states)
        lines.append(f"case states-{name}\nclosed {' '.join(closed + ['isolator'])}\n")
        if all(states):
            lines.append("pulled relay\n")
    everything = " ".join(CONTROL + ["isolator"])
    for name, faults, pulled in FAULTS:
        lines.append(f"case {name}\nclosed {everything}\n" + "".join(f"fault {fault}\n" for fault in faults))
        lines.append("pulled relay\n" if pulled else "")
    lines.append(f"case isolator-open\nclosed {' '.join(CONTROL)}\npulled relay\n")
    lines.append("case welded-contact\nclosed isolator\nfault welded relay\n")
    lines.append("case welded-contact-isolator-open\nclosed arming\nfault welded relay\n")
    lines.append("case welded-throttle\nclosed arming trigger window cut-out isolator\nfault welded throttle\npulled relay\n")
    return "".join(lines) + "\n"


def mesh(number):
    """A connected random network of 4 to 40 nodes, resistances over six decades, one to three sources."""
    rng = random.Random(number)
    nodes = 4 + 2 * (number - 1)
    lines = [f"circuit mesh-{number}\n"]
    for at in range(1, nodes):
        to = rng.randrange(at)
        lines.append(f"wire tree-{at} {at} {to} {10 ** rng.uniform(-3, 3):.6g}\n")
    for at in range(nodes):
        one, other = rng.sample(range(nodes), 2)
        lines.append(f"load cross-{at} {one} {other} {10 ** rng.uniform(-3, 3):.6g}\n")
    for at in range(1 + number % 3):
        plus = rng.randrange(1, nodes)
        lines.append(f"source source-{at} {plus} 0 {rng.uniform(6, 28):.6g} {10 ** rng.uniform(-2, 0):.6g}\n")
    return "".join(lines) + "case as-built\n\n"


def read(text):
    """(circuit, parts, [case]) for each circuit; a case has its name, closed, pulled, conducting, faults."""
    circuits = []
    for words in (line.split() for line in text.splitlines() if line.strip()):
        if words[0] == "circuit":
            circuits.append((words[1], [], []))
        elif words[0] == "case":
            circuits[-1][2].append({"name": words[1], "closed": [], "pulled": [], "conducting": [], "faults": []})
        elif words[0] == "fault":
            circuits[-1][2][-1]["faults"].append(words[1:])
        elif words[0] in ("closed", "pulled", "conducting"):
            circuits[-1][2][-1][words[0]] = words[1:]
        else:
            circuits[-1][1].append(words)
    return circuits


def elements(parts, case):
    """Resistors and sources (part, from, to, ohm, volt): volt drives out of `from`."""
    faults = lambda kind, name: [fault for fault in case["faults"] if fault[:2] == [kind, name]]
    found = []
    for kind, name, *rest in parts:
        is_open = bool(faults("open", name) or faults("blown", name))
        more = sum(float(fault[2]) for fault in faults("added", name))
        welded = bool(faults("welded", name))
        if kind == "relay":
            at = dict(zip(("85", "86", "30", "87", "87a"), rest))
            for _, _, one, other in faults("swapped", name):
                at[one], at[other] = at[other], at[one]
            coil, contact = float(rest[5]), float(rest[8])
            pairs = [(at["85"], at["86"], coil + more, not is_open)]
            pulled = name in case["pulled"]
            pairs.append((at["30"], at["87"], contact, pulled or welded))
            pairs.append((at["30"], at["87a"], contact, not pulled and not welded))
            if faults("shorted", name):
                pairs.append((at["85"], at["86"], SHORT_OHM, True))
            found += [(name, one, other, ohm, 0.0) for one, other, ohm, on in pairs if on and "-" not in (one, other)]
            continue
        one, other = rest[0], rest[1]
        ohm, volt, on = float(rest[-1]) + more, 0.0, not is_open
        if kind == "source":
            volt = float(rest[2])
        if kind == "switch":
            on = on and (welded or name in case["closed"])
        if kind == "diode":
            volt = float(rest[2])
            on = on and name in case["conducting"]
        if on:
            found.append((name, one, other, ohm, volt))
        if faults("shorted", name):
            found.append((name, one, other, SHORT_OHM, 0.0))
    return found


def grounded(found):
    reached, grew = {"0"}, True
    while grew:
        grew = False
        for _, one, other, _, _ in found:
            if (one in reached) != (other in reached):
                reached |= {one, other}
                grew = True
    return reached


def solve(title, found, reached, sources, folder):
    spice = lambda node: "0" if node == "0" else "n_" + node
    lines = [title, LEAST_OPTIONS]
    kept = [element for element in found if element[1] in reached]
    names = []
    for at, (part, one, other, ohm, volt) in enumerate(kept):
        if volt == 0.0:
            lines.append(f"R{at} {spice(one)} {spice(other)} {ohm!r}")
            continue
        lines.append(f"V{at} {spice(one)} inner{at} {volt!r}")
        lines.append(f"R{at} inner{at} {spice(other)} {ohm!r}")
        if part in sources:
            names.append((part, f"i(v{at})"))
    nodes = sorted({node for element in kept for node in element[1:3]} - {"0"})
    lines += [".control", "set numdgt=16", "op"]
    lines += [f"print v({spice(node)})" for node in nodes]
    lines += [f"print {current}" for _, current in names]
    lines += ["quit", ".endc", ".end", ""]
    if not nodes:
        return []
    path = folder / f"{title}.cir"
    path.write_text("\n".join(lines))
    out = subprocess.run(["ngspice", "-b", str(path)], capture_output=True, text=True).stdout
    value = dict(re.findall(r"^(\S+\(\S+\)) = (\S+)$", out, re.MULTILINE))
    rows = [(node, value[f"v({spice(node)})".lower()]) for node in nodes]
    # A source's own current counts into its plus for ngspice.
    return rows + [("@" + part, repr(-float(value[current]))) for part, current in names]


def main():
    folder = Path(sys.argv[1] if len(sys.argv) > 1 else tempfile.mkdtemp())
    folder.mkdir(parents=True, exist_ok=True)
    text = HAND.lstrip() + nitrous() + "".join(mesh(number) for number in range(1, 20))
    (HERE / "circuits.txt").write_text(text)
    rows = []
    for circuit, parts, cases in read(text):
        joins = lambda part: part[2:7] if part[0] == "relay" else part[2:4]
        every = sorted({node for part in parts for node in joins(part)} - {"-", "0"})
        sources = {part[1] for part in parts if part[0] == "source"}
        for case in cases:
            found = elements(parts, case)
            reached = grounded(found)
            solved = solve(f"{circuit}_{case['name']}", found, reached, sources, folder)
            solved += [(node, "floating") for node in every if node not in reached]
            rows += [f"{circuit},{case['name']},{node},{value}" for node, value in solved]
    (HERE / "vectors.csv").write_text("\n".join(rows) + "\n")
    print(len(rows), "rows,", len(set(row.rsplit(",", 2)[0] for row in rows)), "cases,", folder)


if __name__ == "__main__":
    main()
