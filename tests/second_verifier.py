"""second_verifier.py FOLDER [ROOT-FINGERPRINT]: verifies a job's folder by src/record/FORMAT.md, with Python
3.11 and ssh-keygen alone. Exit code 0: whole; 1: not, with the claim that fails; 2: not tried."""
import base64, datetime, hashlib, json, pathlib, re, shutil, subprocess, sys, tempfile, traceback, types
HASH, ID, ROLE = "[0-9a-f]{64}", "[a-z0-9._-]{1,64}", '"(apprentice|fitter|supervisor|author)"'
WORKERS, NEVER, GONE, place = "apprentice fitter supervisor", "9999-12-31T23:59:59Z", ("", "", "", []), [""]
TIME = r'"(19[7-9]|[2-9]\d)\d+-\d\d-\d\dT\d\d:\d\d:[0-5]\d(\.\d{1,9})?(Z|(?!-00:00)[+-]([01]\d|2[0-3]):[0-5]\d)"'
FORMS = {"v": "1", "n": r"\d{1,16}", "prev": f'"{HASH}"', "at": TIME, "valid_from": TIME, "valid_until": TIME,
         "by": f'"{ID}"', "id": f'"{ID}"', "person": f'"(?!tablet-){ID}"', "tablet": f'"(?=tablet-){ID}"',
         "kind": '"[a-z0-9-]{1,32}"', "job": '"[A-Za-z0-9][A-Za-z0-9._-]{0,63}"', "entries": r"\d+",
         "covers": r"\[(\d+(, \d+)*)?\]", "roster_lines": r"\d+", "roles": rf"\[{ROLE}(, {ROLE})*\]",
         "key": '"ssh-ed25519 AAAAC3NzaC1lZDI1NTE5AAAAI[A-Za-z0-9+/]{43}"'}  # As JSON, so that true is no 1.
KINDS = {"root": "person roles key"}, {"join": "person roles key valid_from", "tablet": "tablet key valid_from",
         "retire": "id", "rotate": "id key", "roles": "person roles"}  # The roster's first line and the others.
SIGNS = {"job-record": "all", "practice-record": "all", "shop-ledger": "tablet", "shop-roster": "supervisor",
         "content-approval": "supervisor"}
WRITES = {"opening resume closing": "tablet", "language": f"tablet {WORKERS}", "plan work-out resolution": "",
          "concession release send-back job-release": "supervisor", "card begin acknowledgement reading done "
          "note photograph deviation measure-again rework witness close-out answer sign-off": WORKERS}
def digest(data): return hashlib.sha256(data).hexdigest()
def utc(text): return f"{datetime.datetime.fromisoformat(text).astimezone(datetime.UTC):%Y%m%d%H%M%SZ}"
def then(had, at): return [one for one in had if one[1] <= at <= one[2]]  # The last of them has the roles.
def once(pairs):
    assert len(dict(pairs)) == len(pairs)
    return dict(pairs)
def parse(text):  # A JSON object and nothing around it, in which numbers are finite and characters whole.
    value = json.loads(text, object_pairs_hook=once)
    assert text[0] + text[-1] == "{}" and json.dumps(value, allow_nan=False, ensure_ascii=False).encode()
    return value

def read(path, purpose, people):  # The lines of any chain, each signed by who could; a root signs itself.
    place[0], (*raws, torn), role = path.name, path.read_bytes().split(b"\n"), SIGNS[purpose]
    assert raws and not torn and max(map(len, raws)) <= 1 << 20
    before = types.SimpleNamespace(n=-1, hash="0" * 64, latest="")
    for number, raw in enumerate(raws, 1):
        place[0], outer = f"{path.name} line {number}", parse(raw.decode())
        body = parse(outer["entry"])
        for key in {"v", "n", "prev", "at", "by", "kind", *body} & {*FORMS}:
            assert re.fullmatch(FORMS[key], json.dumps(body[key]), re.ASCII), key
        line = types.SimpleNamespace(**body)
        line.body, line.place, line.hash, line.at = body, place[0], digest(raw), utc(body["at"])
        line.latest, due = max(before.latest, line.at), before.n + 1
        assert len(outer) == 3 and min(outer["entry"]) >= " " and line.by == outer["signer"]
        assert line.n == due and line.prev == before.hash or purpose == "shop-ledger" and due < line.n < 1 << 53
        had = change(people, line) if purpose == "shop-roster" else people[line.by]
        both = [then(had, at) for at in {line.at, line.latest if role == "supervisor" else line.at}]
        keys = [{key for key, *_ in one if role in one[-1][3]} for one in both]
        keys = set.intersection(*keys, {had[-1][0]} if purpose == "shop-roster" else keys[0])
        tail = b"\0\0\0%c%b\0\0\0\0\0\0\0\6sha512" % (len(purpose), purpose.encode())
        heads = [b"SSHSIG\0\0\0\1\0\0\0\x33%b%b" % (base64.b64decode(key[12:]), tail) for key in keys]
        assert base64.b64decode(outer["sig"][30:-28])[:-87] in heads
        with tempfile.NamedTemporaryFile("w") as file:
            print(outer["sig"], end="", file=file, flush=True)
            ask = ["ssh-keygen", "-Y", "check-novalidate", "-n", purpose, "-s", file.name]
            assert subprocess.run(ask, input=outer["entry"].encode(), capture_output=True).returncode == 0
        yield (before := line)

def change(people, line):  # Somebody is new, leaves, or has another key or roles: (key, from, until, roles).
    at, kind, told = line.at, line.kind, {key: line.body[key] for key in KINDS[line.n > 0][line.kind].split()}
    who, taken = [*told.values()][0], [key for had in people.values() for key, *_ in had]
    begin, end = line.body.get("valid_from", line.body["at"]), line.body.get("valid_until", NEVER)
    born, signer = ("", utc(begin), utc(end), ["tablet"]), people.get(line.by)
    had = people.get(who, [born])
    later = [(told.get("key", key), max(at, begin), end, ["all", *told.get("roles", roles)])
             for key, begin, end, roles in had if kind == "roles" or kind != "retire" and key == had[-1][0]]
    people[who] = [(key, begin, min(end, at), roles) for key, begin, end, roles in had if key] + (later or [GONE])
    assert (had == [born]) == (kind in ("root", "join", "tablet")) and at <= born[1] and had[-1] != GONE
    assert "id" not in told or at not in {key: begin for key, begin, *_ in had[::-1]}.values()
    assert told.get("key") not in taken and ("key" not in told or later[-1][1] < later[-1][2])
    assert any("supervisor" in one[3] for had in people.values() for one in then(had, line.latest + "Z")[-1:])
    return signer if line.n else people[line.by]

def allowed_signers(people):  # The text: a row for each key and each stretch of the same purposes.
    rows = []
    for who, key, begin, end, roles in [(who, *a) for who in sorted(people) for a in people[who] if a[1] < a[2]]:
        head = f'{who} namespaces="{",".join(name for name, role in SIGNS.items() if role in roles)}"'
        begin = rows.pop()[2] if rows and rows[-1][:2] == (head, key) else begin
        rows.append((head, key, begin, f',valid-before="{end}"' if end < utc(NEVER) else ""))
    return "".join(f'{head},valid-after="{begin}"{end} {key}\n' for head, key, begin, end in rows)

def check_entry(line, lines, roles, practice):  # Who may say this, and about whose work.
    place[0], kind, past, covers = line.place, line.kind, lines[:line.n], line.body.get("covers", [])
    [may] = [writers for kinds, writers in WRITES.items() if kind in kinds.split()]
    if kind == "concession":
        covers = [line.deviation, past[line.deviation].body.get("concerns", line.deviation)]
    frame = ("begin", "close-out", "sign-off") if kind == "job-release" else ()
    own = line.by in [past[n].by for n in covers] + [one.by for one in past if one.kind in frame]
    judges = may == "supervisor" or kind == "witness" and line.attended is True
    may = may if not judges else WORKERS if practice else "supervisor"
    follows = not may or kind == "deviation" and "concerns" in line.body
    last = [one.by for one in past if one.kind != "resume"][-1:]
    assert ([line.by] == last if follows else roles & {*may.split()}) and all(n < line.n for n in covers)
    assert (practice or not own if judges else own or not covers or kind != "sign-off")
    assert (kind != "closing" or line.entries == len(lines) == line.n + 1) and (kind == "opening") == (line.n == 0)

def check_approval(path, opening, people):  # A supervisor approved just these files, and it stood then.
    pin, files = opening.approval, {file["path"]: file["sha256"] for file in opening.content}
    used = [f"{sha256}  {path}\n" for path, sha256 in files.items() if not path.startswith("register/")]
    used = digest("".join(sorted(used)).encode())
    upto = [*read(path, "content-approval", people)][:pin["lines"]]
    about = [line for line in upto if (line.authored, line.content) == (opening.authored, used)]
    assert [line.kind for line in about] == ["approve", "withdraw"] * (len(about) // 2) + ["approve"]
    named = [about[-1].n, about[-1].hash, used, upto[-1].hash, upto[-1].n + 1, about[-1].revision, len(files)]
    said = [*map(pin.get, ("n", "line", "content", "head", "lines")), opening.revision, len(opening.content)]
    assert json.dumps(named) == json.dumps(said) and not re.search(r"[\x00-\x1f\x7f-\x9f]", "".join(files))

def check_files(folder, lines):  # Each is what its name says, and what the entries name is there.
    stored, personal = HASH + r"\.[a-z0-9]{1,8}", folder / "personal.json"
    for path in [*folder.glob("content/*"), *folder.glob("attachments/*")]:
        assert re.fullmatch(stored, path.name) and path.name[:64] == digest(path.read_bytes()), path
    names = [f"content/{file['sha256']}.{file['path'].rsplit('.')[-1]}" for file in lines[0].content]
    shown = re.findall(f'"({stored})"(?!:)', json.dumps([line.body for line in lines]))
    assert all((folder / name).is_file() for name in names + [f"attachments/{name}" for name in shown])
    if personal.exists():
        said = parse(personal.read_text().strip())
        keys = [(one["group"], one["field"], one["salt"] + one["text"]) for one in said["answers"]]
        given = [(group, field, digest(text.encode())) for group, field, text in keys]
        asked = [one for line in lines if line.kind == "card" for one in line.answers if "commitment" in one]
        assert all((one["group"], one["field"], one["commitment"]) in given for one in asked)
        assert all(len(one) == 4 and re.fullmatch(HASH, one["salt"]) for one in said["answers"])
        assert len(said) == 2 and json.dumps(said["v"]) == "1"

def check(folder, root=None):
    people, approvals, ledger = {}, folder / "approvals.jsonl", folder / "ledger-extract.jsonl"
    roster = [*read(folder / "roster.jsonl", "shop-roster", people)]
    found = base64.b64encode(hashlib.sha256(base64.b64decode(roster[0].key[12:])).digest()).decode()[:43]
    assert root in (None, f"SHA256:{found}") and (folder / "allowed_signers").read_text() == allowed_signers(people)
    practice = parse(parse((folder / "record.jsonl").read_text().split("\n")[0])["entry"]).get("practice") is True
    lines = [*read(folder / "record.jsonl", "practice-record" if practice else "job-record", people)]
    for line in lines:
        check_entry(line, lines, {*then(people[line.by], line.at)[-1][3]}, practice)
    assert [lines[0].roster_lines, lines[0].roster_head] in [[line.n + 1, line.hash] for line in roster]
    assert {line.job for line in lines} == {lines[0].number}
    check_files(folder, lines)
    if not practice and (hasattr(lines[0], "approval") or approvals.exists()):  # Older records have neither.
        check_approval(approvals, lines[0], people)
    ends = [["closed", lines[0].job, None, lines[-1].hash, len(lines)]] * (lines[-1].kind == "closing")
    if ledger.exists() or ends and not practice:
        said = [[*map(line.body.get, ("kind", "job", "first_hash", "final_hash", "entries"))]
                for line in read(ledger, "shop-ledger", people)]
        assert said == [["opened", lines[0].job, lines[0].hash, None, None], *ends]
    return f"job {lines[0].job}, {len(lines)} entries{', practice' * practice}, the root is SHA256:{found}"

if __name__ == "__main__":
    if len(sys.argv) not in (2, 3) or not shutil.which("ssh-keygen") or not __debug__:
        sys.exit(print(__doc__, file=sys.stderr) or 2)
    try:
        print("WHOLE:", check(pathlib.Path(sys.argv[1]), *sys.argv[2:]))
    except Exception:
        sys.exit(print("NOT WHOLE:", place[0], traceback.format_exc(limit=-1)) or 1)
