#!/usr/bin/env python3
"""Verifies a job's folder: a second reading of src/record/FORMAT.md, in Python's standard library and ssh-keygen.

    second_verifier.py FOLDER [ROOT-FINGERPRINT]

Exit code 0: whole. 1: not whole, with the first fault. 2: it could not be tried. Roles and four eyes are checked; that
steps, bands and figures are right takes the content, and the program's own verifier."""
import base64, hashlib, json, math, re, shutil, struct, subprocess, sys, tempfile, time
from datetime import datetime
from pathlib import Path
from types import SimpleNamespace as Record

ID, HASH, STORED, NEVER = r"[a-z0-9._-]{1,64}", r"[0-9a-f]{64}", r"[0-9a-f]{64}\.[a-z0-9]{1,8}", math.inf
JOB, KEY = r"[A-Za-z0-9][\w.-]{0,63}", r"ssh-ed25519 AAAAC3NzaC1lZDI1NTE5AAAAI[A-Za-z0-9+/]{43}"
TIME = r"(\d{4}-\d\d-\d\dT\d\d:\d\d:[0-5]\d)(?:\.\d{1,9})?(Z|[+-](?:[01]\d|2[0-3]):[0-5]\d)"
BY_TABLET, BROUGHT = {"opening", "resume", "closing"}, {"plan", "work-out", "resolution"}
BY_SUPERVISOR, WORKS = {"concession", "release", "send-back", "job-release"}, {"apprentice", "fitter", "supervisor"}
BY_WORKER = set("card begin acknowledgement reading done deviation measure-again rework witness close-out answer note "
                "language sign-off".split())

def need(holds, what):
    if not holds:
        raise ValueError(what)

def is_a(form, text):
    return type(text) is str and re.fullmatch(form, text, re.ASCII) is not None

def seconds(text):
    """A time in whole seconds of UTC; parts of a second do not count."""
    need(is_a(TIME, text) and not text.endswith("-00:00"), f"{text} is no time")
    return int(datetime.fromisoformat("".join(re.fullmatch(TIME, text).groups()).replace("Z", "+00:00")).timestamp())

def utc(at):
    return time.strftime("%Y%m%d%H%M%SZ", time.gmtime(at))

def parse(text):
    """A JSON object and nothing around it, in which no key stands twice and every number is finite."""
    def once(pairs):
        need(len(dict(pairs)) == len(pairs), "a key stands twice")
        return dict(pairs)
    need(text[:1] + text[-1:] == "{}", "something stands before { or after }")
    value = json.loads(text, object_pairs_hook=once)
    return json.dumps(value, allow_nan=False, ensure_ascii=False).encode() and value  # No half of a surrogate pair.

def armour(key, namespace, signature):
    """What ssh-keygen writes for these bytes: no other spelling of the same is let through."""
    def parts(*texts):
        return b"".join(struct.pack(">I", len(text)) + text for text in texts)
    inner = parts(b"ssh-ed25519", key), namespace.encode(), b"", b"sha512", parts(b"ssh-ed25519", signature)
    text = base64.b64encode(b"SSHSIG\0\0\0\1" + parts(*inner)).decode()
    return "\n".join(["-----BEGIN SSH SIGNATURE-----", *re.findall(".{1,70}", text), "-----END SSH SIGNATURE-----", ""])

def read_lines(folder, name, namespace, extract=False):
    data, lines, due, prev = (folder / name).read_bytes(), [], 0, "0" * 64
    need(data.endswith(b"\n"), f"{name} has no whole line at its end")
    for raw in data[:-1].split(b"\n"):
        line, here = parse(raw.decode()), f"{name} line {len(lines) + 1}: "
        need(set(line) == {"entry", "signer", "sig"} and len(raw) <= 1_048_576, here + "keys or length")
        need(not re.search(r"[\x00-\x1f]", line["entry"]), here + "the entry holds control characters")
        body, blob = parse(line["entry"]), base64.b64decode("".join(line["sig"].split("\n")[1:-2]))
        number = body["n"]
        need(type(body["v"]) is type(number) is int and body["v"] == 1 and 0 <= number < 2**53, here + "v or n")
        need(is_a(HASH, body["prev"]) and is_a("[a-z0-9-]{1,32}", body["kind"]), here + "prev or kind")
        need(is_a(JOB, body.get("job", "0")), here + "job")
        need(is_a(ID, body["by"]) and body["by"] == line["signer"], here + "by is not the signer")
        need(line["sig"] == armour(blob[33:65], namespace, blob[-64:]), here + f"no plain signature for {namespace}")
        need(number == due or extract and number > due, here + f"its number is {number}, {due} was due")
        need(number > due or body["prev"] == prev, here + "prev is not the hash of the line before")
        due, prev = number + 1, hashlib.sha256(raw).hexdigest()
        lines.append(Record(body=body, at=seconds(body["at"]), n=number, by=body["by"], kind=body["kind"], hash=prev,
                            namespace=namespace, here=here, text=line["entry"], sig=line["sig"]))
    return lines

class Roster:
    """Who could sign for what, and when: a span for each key and each stretch of the same roles."""
    def __init__(self, lines):
        self.spans, self.left, self.signed, latest = [], set(), [], 0
        need(lines[0].kind == "root", "the roster begins with no root")
        self.apply(lines[0].body, lines[0])
        for line in lines:
            latest = max(latest, line.at)
            self.signed.append((line, self.signers()))
            need("supervisor" in self.roles(line.by, latest), line.here + f"{line.by} is no supervisor")
            if line.n > 0:
                self.apply(line.body, line)
            stay = (span for span in self.spans if span.begin <= line.at + 1 and span.end > line.at)
            need(any("supervisor" in span.roles for span in stay), line.here + "no supervisor is left")

    def apply(self, body, line):
        who = body[{"tablet": "tablet", "retire": "id", "rotate": "id"}.get(line.kind, "person")]
        key, roles, spans = body.get("key"), body.get("roles", []), [span for span in self.spans if span.who == who]
        need(is_a(ID, who) and (line.kind == "root") == (line.n == 0), line.here + "an id or a root out of its place")
        need(bool(roles) == (line.kind in ("root", "join", "roles")), line.here + "roles")
        need(set(roles) <= {*WORKS, "author"} and len(set(roles)) == len(roles), line.here + "roles")
        new = is_a(KEY, key) and all(span.key != key for span in self.spans)
        need(new or line.kind in ("retire", "roles"), line.here + "no key, or one that was given before")
        if line.kind in ("root", "join", "tablet"):
            begin = line.at if line.kind == "root" else seconds(body["valid_from"])
            end = seconds(body["valid_until"]) if "valid_until" in body else NEVER
            need(not spans and line.at <= begin < end, line.here + "the id was given before, or the dates are wrong")
            need(who.startswith("tablet-") == (line.kind == "tablet"), line.here + "the id is of another sort")
        else:
            need(line.kind in ("retire", "rotate", "roles") and spans and who not in self.left, line.here + "not here")
            last = spans[-1]
            begin, end, key, roles = max(last.begin, line.at), last.end, key or last.key, roles or last.roles
            for span in spans:
                span.end = min(span.end, line.at)
        self.left |= {who} if line.kind == "retire" else set()
        self.spans += [Record(who=who, key=key, begin=begin, end=end, roles=set(roles))] * (line.kind != "retire")

    def roles(self, who, at):
        own = (span.roles for span in self.spans[::-1] if span.who == who and span.begin <= at <= span.end)
        return next(own, set())

    def signers(self):
        """The text of allowed_signers, in which neighbours for the same purposes are one line."""
        rows = []
        for span in sorted((span for span in self.spans if span.begin < span.end), key=lambda span: span.who):
            own = ",shop-roster,content-approval" * ("supervisor" in span.roles)
            own = ",shop-ledger" if span.who.startswith("tablet-") else own
            row = [f'{span.who} namespaces="job-record,practice-record{own}"', span.key, span.begin, span.end]
            if rows and rows[-1][:2] == row[:2]:
                rows[-1][3] = row[3]
            else:
                rows.append(row)
        until = [f',valid-before="{utc(end)}"' if end < NEVER else "" for *_, end in rows]
        return "".join(f'{who},valid-after="{utc(at)}"{end} {key}\n' for (who, key, at, _), end in zip(rows, until))

def check_entry(line, lines, roster, practice):
    """Who may say this, and about whose work."""
    body, roles, tablet = line.body, roster.roles(line.by, line.at), line.by.startswith("tablet-")
    about = body["covers"] if "covers" in body else []
    if line.kind == "concession":
        about = [body["deviation"], lines[body["deviation"]].body.get("concerns", body["deviation"])]
    need(all(type(n) is int and 0 <= n < line.n for n in about), line.here + "it covers what does not stand before it")
    judges, own = line.kind in BY_SUPERVISOR or body.get("attended") is True, line.by in {lines[n].by for n in about}
    need(line.kind in BY_TABLET | BROUGHT | BY_SUPERVISOR | BY_WORKER, line.here + f"{line.kind} is no kind")
    if line.kind in BROUGHT or line.kind == "deviation" and "concerns" in body:
        need(line.by == lines[line.n - 1].by, line.here + "it follows from the line before, by someone else")
    else:
        may = tablet if line.kind in BY_TABLET else roles & ({"supervisor"} if judges and not practice else WORKS)
        need(may or tablet and line.kind == "language", line.here + f"{line.by} may not write a {line.kind}")
    if line.kind == "job-release":
        own |= line.by in {past.by for past in lines[:line.n] if past.kind in ("begin", "close-out", "sign-off")}
    need(practice or not (judges and own), line.here + f"{line.by} judges their own work")
    need(line.kind != "sign-off" or own or not about, line.here + f"{line.by} signs off what others did")
    need(body["job"] == lines[0].body["number"], line.here + "another job")
    need((line.kind == "opening") == (line.n == 0), line.here + "an opening stands first, and nowhere else")
    need(line.kind != "closing" or body["entries"] == len(lines) == line.n + 1, line.here + "a closing stands last")

def check_files(folder, lines):
    for path in [*folder.glob("content/*"), *folder.glob("attachments/*")]:
        named = is_a(STORED, path.name) and path.name[:64] == hashlib.sha256(path.read_bytes()).hexdigest()
        need(named, f"{path} is not what its name says")
    pinned = [f"content/{file['sha256']}.{file['path'].rsplit('.')[-1]}" for file in lines[0].body["content"]]
    for name in pinned + [f"attachments/{name}" for line in lines for name in re.findall(f'"({STORED})"', line.text)]:
        need((folder / name).is_file(), f"{name} is missing")

def check_ledger(folder, lines, job, practice):
    """Gives the ledger's lines about this record; an open job's may stand in the shop's own ledger alone."""
    closed = lines[-1].kind == "closing"
    if (practice or not closed) and not (folder / "ledger-extract.jsonl").exists():
        return []
    extract = read_lines(folder, "ledger-extract.jsonl", "shop-ledger", extract=True)
    said = [tuple(map(line.body.get, ("kind", "job", "first_hash", "final_hash", "entries"))) for line in extract]
    ends = [("closed", job, None, lines[-1].hash, len(lines))] * closed
    need(said == [("opened", job, lines[0].hash, None, None), *ends], "the ledger knows another record")
    return extract

def check_approval(folder, opening, roster):
    """Gives the lines of the shop's approvals, by one of which these files may be used; an old record names none."""
    if "approval" not in opening:
        return need(not (folder / "approvals.jsonl").exists(), "entry 0 names no approval of its content") or []
    pin, standing, latest, then = opening["approval"], {}, 0, {}
    chain = read_lines(folder, "approvals.jsonl", "content-approval")
    for line in chain:
        latest, what = max(latest, line.at), (line.body["authored"], line.body["content"])
        both = roster.roles(line.by, line.at) & roster.roles(line.by, latest)
        need("supervisor" in both, line.here + f"{line.by} is no supervisor")
        need(line.kind == ("withdraw" if what in standing else "approve"), line.here + "given twice, or none to withdraw")
        standing = {**standing, what: line} if line.kind == "approve" else {k: v for k, v in standing.items() if k != what}
        then = standing if (line.n, line.hash) == (pin["lines"] - 1, pin["head"]) else then
    files = [file for file in opening["content"] if not file["path"].startswith("register/")]
    paths = {file["path"] for file in files}
    need(len(paths) == len(files) and not re.search(r"[\x00-\x1f\x7f-\x9f]", "".join(paths)), "a path that is no path")
    text = "".join(sorted(f"{file['sha256']}  {file['path']}\n" for file in files)).encode()
    used = hashlib.sha256(text).hexdigest()
    given = then.get((opening["authored"], used), Record(n=-1, hash="", body={}))
    named = (given.n, given.hash, used, given.body.get("revision"))
    need(named == (pin["n"], pin["line"], pin["content"], opening["revision"]), "the content was not approved then")
    return chain

def verify(line, signers, place):
    """Asks ssh-keygen whether these signers signed this line for its purpose, at its time."""
    (place / "sig").write_text(line.sig)
    (place / "signers").write_text(signers)
    who = ["-f", "signers", "-I", line.by, "-n", line.namespace, "-s", "sig", "-O", f"verify-time={utc(line.at)}"]
    asked = subprocess.run(["ssh-keygen", "-Y", "verify", *who], cwd=place, input=line.text.encode(),
                           capture_output=True)
    need(asked.returncode == 0, line.here + f"{line.by} did not sign this for {line.namespace}, or could not then")

def check(folder, root):
    first = parse(parse((folder / "record.jsonl").read_bytes().split(b"\n")[0].decode())["entry"])
    practice, roster = first.get("practice") is True, Roster(read_lines(folder, "roster.jsonl", "shop-roster"))
    lines = read_lines(folder, "record.jsonl", "practice-record" if practice else "job-record")
    for line in lines:
        check_entry(line, lines, roster, practice)
    pinned, key = roster.signed[first["roster_lines"] - 1][0], roster.signed[0][0].body["key"].split()[1]
    need(pinned.hash == first["roster_head"], "the roster is not the pinned one")
    need((folder / "allowed_signers").read_text() == roster.signers(), "allowed_signers and roster differ")
    check_files(folder, lines)
    extract = check_ledger(folder, lines, first["job"], practice)
    approvals = [] if practice else check_approval(folder, first, roster)
    with tempfile.TemporaryDirectory() as place:
        for line, signers in roster.signed + [(line, roster.signers()) for line in lines + extract + approvals]:
            verify(line, signers, Path(place))
    found = "SHA256:" + base64.b64encode(hashlib.sha256(base64.b64decode(key)).digest()).decode().rstrip("=")
    need(root in (None, found), f"the shop's root is {found}")
    return f"job {first['job']}, {len(lines)} entries, {lines[0].namespace}, the shop's root is {found}"

if __name__ == "__main__":
    if len(sys.argv) not in (2, 3) or not Path(sys.argv[1]).is_dir() or not shutil.which("ssh-keygen"):
        sys.exit(print(__doc__, file=sys.stderr) or 2)
    try:
        print("WHOLE:", check(Path(sys.argv[1]), sys.argv[2] if len(sys.argv) == 3 else None))
    except (ValueError, KeyError, TypeError, AttributeError, IndexError, OSError, RecursionError) as fault:
        sys.exit(print(f"NOT WHOLE: {fault}") or 1)
