#!/usr/bin/env python3
"""Verifies a job's folder: a second reading of src/record/FORMAT.md, in Python's standard library and ssh-keygen.

    second_verifier.py FOLDER [ROOT-FINGERPRINT]

Exit code 0: whole. 1: not whole, with the first fault. 2: it could not be tried. Roles and four eyes are checked; that
steps, bands and figures are right takes the content, and the program's own verifier. The lines are read, and the
roster applied, in `second_lines.py`."""
import base64, hashlib, json, re, shutil, sys
from pathlib import Path
from second_lines import HASH, ROLES, Roster, digest, is_a, need, parse, read_lines

STORED, WORKERS = HASH + r"\.[a-z0-9]{1,8}", ROLES - {"author"}
WRITERS = {"tablet": "opening resume closing", "anyone": "language", "as before": "plan work-out resolution",
           "supervisor": "concession release send-back job-release",
           "worker": "card begin acknowledgement reading done deviation measure-again rework witness close-out answer "
                     "note sign-off"}
MAY = {"tablet": {"tablet"}, "anyone": WORKERS | {"tablet"}, "worker": WORKERS, "supervisor": {"supervisor"}}
WRITER = {kind: writer for writer, kinds in WRITERS.items() for kind in kinds.split()}

def same(one, other):
    """Whether both are the same JSON, where true is no 1 and 1.0 neither."""
    return json.dumps(one) == json.dumps(other)

def check_entry(line, lines, roster, practice):
    """Who may say this, and about whose work."""
    body, here, writer, roles = line.body, line.here, WRITER.get(line.kind), roster.roles(line.by, line.at)
    about = body.get("covers", [])
    if line.kind == "concession":
        about = [body["deviation"], lines[body["deviation"]].body.get("concerns", body["deviation"])]
    need(all(type(n) is int and 0 <= n < line.n for n in about), here + "it covers what does not stand before it")
    own = line.by in {lines[n].by for n in about}
    if line.kind == "job-release":
        own |= line.by in {past.by for past in lines[:line.n] if past.kind in ("begin", "close-out", "sign-off")}
    judges = writer == "supervisor" or line.kind == "witness" and body["attended"] is True
    need(writer, here + f"{line.kind} is no kind")
    if writer == "as before" or line.kind == "deviation" and "concerns" in body:
        need(line.by == lines[line.n - 1].by, here + "it follows from the line before, by someone else")
    else:
        may = MAY[writer if not judges else "worker" if practice else "supervisor"]
        need(roles & may, here + f"{line.by} may not write a {line.kind}")
    need(practice or not (judges and own), here + f"{line.by} judges their own work")
    need(line.kind != "sign-off" or own or not about, here + f"{line.by} signs off what others did")
    need(body["job"] == lines[0].body["number"], here + "another job")
    need((line.kind == "opening") == (line.n == 0), here + "an opening stands first, and nowhere else")
    need(line.kind != "closing" or line.n == len(lines) - 1, here + "a closing stands last")
    need(line.kind != "closing" or same(body["entries"], len(lines)), here + "a closing counts the lines")

def check_files(folder, lines):
    """The files by their hashes, those that the entries name among them, and the customer's answers where they are."""
    for path in [*folder.glob("content/*"), *folder.glob("attachments/*")]:
        named = is_a(STORED, path.name) and path.name[:64] == digest(path.read_bytes())
        need(named, f"{path} is not what its name says")
    pinned = [f"content/{file['sha256']}.{file['path'].rsplit('.')[-1]}" for file in lines[0].body["content"]]
    shown = [name for line in lines for name in re.findall(f'"({STORED})"(?!:)', json.dumps(line.body))]
    for name in pinned + [f"attachments/{name}" for name in shown]:
        need((folder / name).is_file(), f"{name} is missing")
    if (folder / "personal.json").exists():
        personal = parse((folder / "personal.json").read_text().strip())
        need(set(personal) == {"v", "answers"} and same(personal["v"], 1), "personal.json is of another form")
        answers = personal["answers"]
        whole = all(set(one) == {"group", "field", "salt", "text"} and is_a(HASH, one["salt"]) for one in answers)
        need(whole, "personal.json has an answer of another form")
        given = [(one["group"], one["field"], digest((one["salt"] + one["text"]).encode())) for one in answers]
        for card in (line for line in lines if line.kind == "card"):
            for one in (one for one in card.body["answers"] if "commitment" in one):
                opened = (one["group"], one["field"], one["commitment"]) in given
                need(opened, card.here + f"nothing in personal.json opens {one['group']}.{one['field']}")

def check_ledger(folder, lines, roster, practice):
    """The ledger's lines about this record; an open job's may stand in the shop's own ledger alone."""
    job, closed = lines[0].body["job"], lines[-1].kind == "closing"
    if (folder / "ledger-extract.jsonl").exists() or closed and not practice:
        extract = read_lines(folder, "ledger-extract.jsonl", "shop-ledger", roster.signers, extract=True)
        said = [[*map(line.body.get, ("kind", "job", "first_hash", "final_hash", "entries"))] for line in extract]
        ends = [["closed", job, None, lines[-1].hash, len(lines)]] if closed else []
        need(same(said, [["opened", job, lines[0].hash, None, None], *ends]), "the ledger knows another record")

def check_approval(folder, opening, roster):
    """A supervisor approved just these files, and none had withdrawn that when the job was opened."""
    if "approval" not in opening:  # So were records before there were any approvals.
        return need(not (folder / "approvals.jsonl").exists(), "entry 0 names no approval of its content")
    pin, standing, then = opening["approval"], {}, {}
    for line in read_lines(folder, "approvals.jsonl", "content-approval", roster.supervisors):
        what = line.body["authored"], line.body["content"]
        need(line.kind == ("withdraw" if standing.get(what) else "approve"), line.here + "given twice, or not at all")
        standing = {**standing, what: line if line.kind == "approve" else None}
        then = standing if same([line.n + 1, line.hash], [pin["lines"], pin["head"]]) else then
    files = [file for file in opening["content"] if not file["path"].startswith("register/")]
    paths = {file["path"] for file in files}
    need(len(paths) == len(files) and not re.search(r"[\x00-\x1f\x7f-\x9f]", "".join(paths)), "a path that is no path")
    used = digest("".join(sorted(f"{file['sha256']}  {file['path']}\n" for file in files)).encode())
    given = then.get((opening["authored"], used))
    named = given and [given.n, given.hash, used, given.body["revision"]]
    need(same(named, [pin["n"], pin["line"], pin["content"], opening["revision"]]), "the content was not approved then")

def check(folder, root):
    """Gives what the folder is, if all of it holds."""
    first = parse(parse((folder / "record.jsonl").read_bytes().split(b"\n")[0].decode())["entry"])
    practice, roster = first.get("practice") is True, Roster(folder)
    need((folder / "allowed_signers").read_text() == roster.signers(), "allowed_signers and roster differ")
    key = base64.b64decode(roster.lines[0].body["key"].split()[1])
    found = "SHA256:" + base64.b64encode(hashlib.sha256(key).digest()).decode().rstrip("=")
    need(root in (None, found), f"the shop's root is {found}")
    lines = read_lines(folder, "record.jsonl", "practice-record" if practice else "job-record", roster.signers)
    for line in lines:
        check_entry(line, lines, roster, practice)
    pinned = any(same([line.n + 1, line.hash], [first["roster_lines"], first["roster_head"]]) for line in roster.lines)
    need(pinned, "the roster is not the pinned one")
    check_files(folder, lines)
    check_ledger(folder, lines, roster, practice)
    if not practice:
        check_approval(folder, first, roster)
    return f"job {first['job']}, {len(lines)} entries{', practice' * practice}, the shop's root is {found}"

if __name__ == "__main__":
    if len(sys.argv) not in (2, 3) or not Path(sys.argv[1]).is_dir() or not shutil.which("ssh-keygen"):
        sys.exit(print(__doc__, file=sys.stderr) or 2)
    try:
        print("WHOLE:", check(Path(sys.argv[1]), sys.argv[2] if len(sys.argv) == 3 else None))
    except (ValueError, LookupError, TypeError, AttributeError, ArithmeticError, OSError, RecursionError) as fault:
        sys.exit(print(f"NOT WHOLE: {fault}") or 1)
