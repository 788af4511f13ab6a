"""The demonstration's script, with the words that stand on the screen for its ids, from the content itself."""
import json, math, re
from pathlib import Path
import yaml

HOUSE = Path(__file__).resolve().parents[2]
# The one written in C takes a tenth of the time, where the bindings have it.
LOADER = getattr(yaml, "CBaseLoader", yaml.BaseLoader)
NAMES = {"ohm": "Ω", "mm2": "mm²", "mohm": "mΩ", "Mohm": "MΩ"}


def document(path):
    # Everything stays the text that the author wrote: `yes` is an answer here and no truth.
    return yaml.load(path.read_text(encoding="utf-8"), Loader=LOADER)


# Where two work on one step: from this reading to the end of its step somebody else is at the tablet.
TAKEN_OVER = {("make-safe.fuse-mark", "tap_fuse"): "olena.marsh", ("make-safe.fuse-mark", None): "olena.marsh"}


def acts():
    """Each act as (who, what, its particulars): what the demonstration does, but for who takes over."""
    lines = (HOUSE / "src/cli/demo/script.jsonl").read_text(encoding="utf-8").splitlines()
    for line in map(json.loads, filter(None, lines)):
        act = line["do"]
        name, given = next(iter(act.items())) if isinstance(act, dict) else (act, {})
        by_others = TAKEN_OVER.get((given.get("step"), given.get("reading")))
        yield by_others or line.get("by"), name, given


class Words:
    """What the content calls its fields, steps, readings and choices."""

    def __init__(self):
        card = document(HOUSE / "content/jobs/wet-nitrous.yaml")["card"]
        self.fields = {field["label"]: (f"{group['group']}.{field['id']}", field) for group in card for field in group["ask"]}
        self.steps, self.readings, self.titles = {}, {}, {}
        for path in sorted((HOUSE / "content/procedures").glob("*.yaml")):
            self.procedure(document(path))
        register = document(HOUSE / "src/cli/demo/instruments.yaml")
        self.instruments = {row["id"]: row["name"] for row in register["register"]}

    def procedure(self, tree):
        self.titles[tree["procedure"]] = tree["title"]
        for step in tree.get("steps", []):
            self.steps[f"{tree['procedure']}.{step['id']}"] = step
            for name, reading in step.get("read", {}).items():
                self.readings[f"{tree['procedure']}.{step['id']}.{name}"] = reading


def pattern(text):
    """What the screen may say for an author's text, in which figures stand for the places."""
    parts = re.split(r"\{[^}]*\}", " ".join(text.split()))
    return re.compile(".*".join(map(re.escape, parts)))


def figure(text):
    """A quantity as its number and its unit's symbol."""
    number, _, unit = text.partition(" ")
    if unit == "AWG":
        # There is no plate for a gauge: it is entered as its area (ASTM B258, from memory).
        diameter = 0.127 * 92 ** ((36 - int(number)) / 39)
        return f"{math.pi / 4 * diameter ** 2:.5g}", "mm²"
    return number, NAMES.get(unit, unit)
