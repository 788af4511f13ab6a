"""Solves the standard job's own circuit with ngspice, in every switch state of its proof.

    apt-get install ngspice; pip install pyyaml    ngspice 39.3 computed the committed file
    python3 solenoid_system.py [FOLDER]            writes solenoid-system.csv here, the .cir files to FOLDER

Reads content/circuits/solenoid-system.yaml and the states in content/procedures/electrical-proof.yaml by its own
understanding of them, with the answers and readings of solenoid-system.json and these changes to it: both returns,
both suppressions, window and controller's output fitted or not. Every given stands in its middle.

solenoid-system.csv: a variant is named RETURN-SUPPRESSION-WINDOW-ECU.
  VARIANT,nodes,NODE...      then for each state   VARIANT,STATE,VOLT...   in that order; - where a node floats
A state has the name of its work-out in the content; without-SWITCH is the state `fire` with that switch open.
"""
import itertools
import json
import re
import sys
import tempfile
from pathlib import Path

import yaml

from generate import HERE, elements, grounded, solve

ROOT = HERE.parents[2]
COPPER_OHM_M = 1.7241e-8
SCALE = {"mΩ": 1e-3, "Ω": 1.0, "ohm": 1.0, "MΩ": 1e6, "V": 1.0, "A": 1.0, "m": 1.0, "mm²": 1e-6, "mm2": 1e-6}
# Both states of each, and the answers that make them.
AXES = [
    [("chassis", {"power.return": "chassis"}), ("wire", {"power.return": "wire"})],
    [("diode", {"power.suppression": "diode"}), ("resistor", {"power.suppression": "resistor"})],
    [("window", {"interlock.window": "yes"}), ("windowless", {"interlock.window": "no"})],
    [("ecu", {"interlock.ecu": "yes"}), ("eculess", {"interlock.ecu": "no"})],
]


def plain(path):
    """YAML 1.2 as the program reads it: yes and no are words."""
    loader = type("Loader", (yaml.SafeLoader,), {})
    loader.yaml_implicit_resolvers = {}
    return yaml.load((ROOT / path).read_text(), loader)


def quantity(text):
    """In SI; a gauge as its area."""
    value, unit = re.fullmatch(r"(-?[\d.]+)\s*(\S+)", text).groups()
    if unit == "AWG":
        return 3.141592653589793 / 4 * (0.005 * 0.0254 * 92 ** ((36 - float(value)) / 39)) ** 2
    return float(value) * SCALE[unit]


def amount(is_, card, readings):
    if isinstance(is_, dict):
        base = amount(is_["of"], card, readings)
        more = sum(sign * quantity(is_[key]) for key, sign in (("plus", 1), ("minus", -1)) if key in is_)
        return base * float(is_.get("times", 1)) + more
    if is_.startswith("card."):
        return quantity(card[is_.removeprefix("card.")])
    if is_.startswith("read."):
        return quantity(readings[is_.removeprefix("read.")])
    return quantity(is_)


def applies(entry, card):
    when = entry.get("when", {})
    return all(card.get(field.removeprefix("card.")) == answer for field, answer in when.items())


def netlist(circuit, card, readings):
    """The parts that apply, in the words of generate.py."""
    given = {name: amount(each["is"], card, readings) for name, each in circuit["given"].items() if applies(each, card)}
    figure = lambda text: repr(given[text] if text in given else quantity(text))
    node = lambda name: "0" if name == circuit["ground"] else name
    parts = []
    for part in circuit["parts"]:
        if not applies(part, card):
            continue
        kind, name = next(iter(part.items()))
        ends = [node(part[key]) for key in ("from", "to", "plus", "minus") if key in part]
        if kind == "source":
            parts.append([kind, name, *ends, figure(part["volts"]), figure(part["internal"])])
        elif kind == "fuse":
            parts.append([kind, name, *ends, figure(part["rating"]), figure(part["resistance"])])
        elif kind == "switch":
            parts.append([kind, name, *ends, figure(part["contact"])])
        elif kind == "diode":
            parts.append([kind, name, *ends, figure(part["drop"]), figure(part["slope"])])
        elif kind == "relay":
            pins = [node(part[pin]) if pin in part else "-" for pin in ("t85", "t86", "t30", "t87", "t87a")]
            figures = [figure(part[key]) for key in ("coil", "pull_in", "release", "contact")]
            parts.append([kind, name, *pins, *figures])
        elif "resistance" in part:
            parts.append(["load", name, *ends, figure(part["resistance"])])
        else:
            assert part["temperature"] == "20 °C", part
            ohm = COPPER_OHM_M * float(figure(part["length"])) / float(figure(part["gauge"]))
            parts.append(["load", name, *ends, repr(ohm)])
    return parts


def states():
    found = {}
    for step in plain("content/procedures/electrical-proof.yaml")["steps"]:
        for name, work_out in step.get("work_out", {}).items():
            if "circuit" in work_out:
                found[name] = {"closed": work_out["closed"], "out": work_out.get("out", [])}
    for switch in found["fire"]["closed"]:
        closed = [name for name in found["fire"]["closed"] if name != switch]
        found["without-" + switch] = {"closed": closed, "out": []}
    return found


def case(name, state, parts):
    """The relay is in, and the transistors in its coil's way conduct, when nothing in that way is open."""
    switches = [words[1] for words in parts if words[0] == "switch"]
    chain = [name for name in switches if name not in ("isolator", "purge-switch")]
    on = all(name in state["closed"] for name in chain)
    transistors = [words[1] for words in parts if words[0] == "diode" and words[1] != "suppression"]
    return {
        "name": name,
        "closed": [name for name in state["closed"] if name in switches],
        "pulled": ["relay"] if on else [],
        "conducting": transistors if on else [],
        "faults": [["open", part] for part in state["out"]],
    }


def main():
    folder = Path(sys.argv[1] if len(sys.argv) > 1 else tempfile.mkdtemp())
    folder.mkdir(parents=True, exist_ok=True)
    circuit = plain("content/circuits/solenoid-system.yaml")
    car = json.loads((HERE / "solenoid-system.json").read_text())
    rows = []
    for variant in itertools.product(*AXES):
        name = "-".join(word for word, _ in variant)
        card = car["card"] | {field: answer for _, answers in variant for field, answer in answers.items()}
        parts = netlist(circuit, card, car["read"])
        joins = lambda part: part[2:7] if part[0] == "relay" else part[2:4]
        nodes = sorted({node for part in parts for node in joins(part)} - {"-", "0"})
        rows.append(",".join([name, "nodes", *nodes]))
        for state_name, state in states().items():
            found = elements(parts, case(state_name, state, parts))
            volts = dict(solve(f"{name}_{state_name}", found, grounded(found), set(), folder))
            rows.append(",".join([name, state_name, *(volts.get(node, "-") for node in nodes)]))
    (HERE / "solenoid-system.csv").write_text("\n".join(rows) + "\n")
    print(len(rows), "rows,", folder)


if __name__ == "__main__":
    main()
