"""What the job at the window left behind: held against the script, and verified three times over."""
import json, shutil, subprocess, sys
from script import HOUSE, acts

# What each act of the script becomes in the record.
KINDS = {"card": "card", "begin": "begin", "acknowledge": "acknowledgement", "read": "reading", "done": "done", "witness": "witness",
         "measure-again": "measure-again", "rework": "rework", "concede": "concession", "release": "release",
         "close-out": "close-out", "sign-off": "sign-off", "release-job": "job-release"}


def entries(job):
    for line in (job / "record.jsonl").read_text(encoding="utf-8").splitlines():
        yield json.loads(json.loads(line)["entry"])


def told_acts(program):
    """How many acts of the script the record of the job tells of."""
    try:
        return sum(one["kind"] in KINDS.values() for one in entries(program.job()))
    except (FileNotFoundError, StopIteration):
        return 0  # No job was begun yet.


def prove(program, walk):
    job, root = program.job(), program.root()
    done = walk.done()
    in_the_order_of_the_script(job, sum(count for act, count in done.items() if act in KINDS))
    said = verified(program.binary, "verify", job, "--root", root)
    if done["release-job"]:
        said += verified(program.binary, "verify", job / "certificate.pdf", "--root", root)
    stock = verified("sh", HOUSE / "tests/verify_record.sh", job, root)
    second = verified(shutil.which("python3"), HOUSE / "tests/second_verifier.py", job, root)
    print("\n".join(line for said in (said, stock, second) for line in said.splitlines() if "hole" in line or "WHOLE" in line))


def verified(*command):
    done = subprocess.run([str(part) for part in command], stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True)
    if done.returncode:
        sys.exit(f"not whole, says {' '.join(map(str, command))}:\n{done.stdout}")
    return done.stdout


def in_the_order_of_the_script(job, count):
    """Every act stands in the record by the person who did it, in its place, and nothing else that a person did."""
    due = [(who, KINDS[act], given.get("step"), given.get("reading")) for who, act, given in acts() if act in KINDS][:count]
    stand = [(one["by"], one["kind"], one.get("step"), one.get("name")) for one in entries(job) if one["kind"] in KINDS.values()]
    for at, (wanted, found) in enumerate(zip(due, stand)):
        if wanted != found:
            sys.exit(f"act {at} of the script is {wanted}, in the record stands {found}")
    if len(due) != len(stand):
        sys.exit(f"{len(due)} acts of the script were done, in the record stand {len(stand)}")
