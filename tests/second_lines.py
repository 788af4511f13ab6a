"""Signed lines and who could sign them, as src/record/FORMAT.md says; ssh-keygen looks at the signatures."""
import base64, hashlib, json, re, subprocess, tempfile, textwrap
from datetime import datetime, timezone
from pathlib import Path
from types import SimpleNamespace as Record

ID, HASH, NEVER = r"[a-z0-9._-]{1,64}", r"[0-9a-f]{64}", "never"  # Which is later than all digits.
KEY, ROLES = r"ssh-ed25519 AAAAC3NzaC1lZDI1NTE5AAAAI[A-Za-z0-9+/]{43}", {"apprentice", "fitter", "supervisor", "author"}
TIME = r"(\d{4}-\d\d-\d\dT\d\d:\d\d:[0-5]\d)(?:\.\d{1,9})?(Z|(?!-00:00)[+-](?:[01]\d|2[0-3]):[0-5]\d)"
HEAD = {"v": "1", "n": r"\d{1,16}", "prev": f'"{HASH}"', "at": f'"{TIME}"', "by": f'"{ID}"',
        "kind": '"[a-z0-9-]{1,32}"', "job": r'"[A-Za-z0-9][\w.-]{0,63}"'}  # As JSON, so that true is no 1.
PURPOSES = {"supervisor": ",shop-roster,content-approval", "tablet": ",shop-ledger"}

def need(holds, what):
    if not holds:
        raise ValueError(what)

def is_a(form, text):
    return type(text) is str and re.fullmatch(form, text, re.ASCII) is not None

def digest(data):
    return hashlib.sha256(data).hexdigest()

def utc(text):
    """A time in whole seconds of UTC as ssh-keygen writes it, which is earlier or later as texts are."""
    need(is_a(TIME, text), f"{text} is no time")
    moment = datetime.fromisoformat("".join(re.fullmatch(TIME, text).groups()).replace("Z", "+00:00"))
    return moment.astimezone(timezone.utc).strftime("%Y%m%d%H%M%SZ")

def parse(text):
    """A JSON object and nothing around it, in which no key stands twice and every number is finite."""
    def once(pairs):
        need(len(dict(pairs)) == len(pairs), "a key stands twice")
        return dict(pairs)
    need(text[:1] + text[-1:] == "{}", "something stands before { or after }")
    value = json.loads(text, object_pairs_hook=once)
    return json.dumps(value, allow_nan=False, ensure_ascii=False).encode() and value  # No half of a surrogate pair.

def is_plain(sig, namespace):
    """Whether it is Ed25519 over SHA-512 in ssh-keygen's own spelling; what this leaves open, ssh-keygen looks at."""
    blob = base64.b64decode("".join(sig.split("\n")[1:-2]))
    rows = "\n".join(textwrap.wrap(base64.b64encode(blob).decode(), 70))
    spelt = f"-----BEGIN SSH SIGNATURE-----\n{rows}\n-----END SSH SIGNATURE-----\n"
    return sig == spelt and len(blob) == 170 + len(namespace) and blob[-93:-87] == b"sha512"

def verify(outer, namespace, signers, times, here):
    """Asks ssh-keygen whether `signers`, the text of an allowed_signers, let this be signed at each of these times."""
    need(is_plain(outer["sig"], namespace), here + "its signature is not written as ssh-keygen writes it")
    with tempfile.TemporaryDirectory() as place:
        Path(place, "sig").write_text(outer["sig"])
        Path(place, "signers").write_text(signers)
        ask = ["ssh-keygen", "-Y", "verify", "-f", "signers", "-s", "sig", "-I", outer["signer"], "-n", namespace]
        for at in times:
            said = subprocess.run([*ask, "-O", f"verify-time={at}"], cwd=place, input=outer["entry"].encode(),
                                  capture_output=True)
            need(said.returncode == 0, here + f"{outer['signer']} did not sign this for {namespace}, or could not then")

def read_lines(folder, name, namespace, signers, extract=False):
    """The lines of a file. `signers` gives the text of allowed_signers that counts for a line."""
    data, lines, due, prev, latest = (folder / name).read_bytes(), [], 0, "0" * 64, ""
    need(data.endswith(b"\n"), f"{name} has no whole line at its end")
    for raw in data[:-1].split(b"\n"):
        outer, here = parse(raw.decode()), f"{name} line {len(lines) + 1}: "
        need(set(outer) == {"entry", "signer", "sig"} and len(raw) <= 1_048_576, here + "keys or length")
        need(is_a(r"[^\x00-\x1f]*", outer["entry"]), here + "the entry holds control characters")
        body = parse(outer["entry"])
        for key, form in HEAD.items():
            need(is_a(form, json.dumps({"job": "0", **body}[key])), here + key)
        n, at, by = body["n"], utc(body["at"]), body["by"]
        need(by == outer["signer"], here + "by is not the signer")
        need(n == due or extract and due < n < 2**53, here + f"its number is {n}, {due} was due")
        need(n > due or body["prev"] == prev, here + "prev is not the hash of the line before")
        due, prev, latest = n + 1, digest(raw), max(latest, at)
        lines.append(Record(n=n, at=at, latest=latest, by=by, kind=body["kind"], body=body, hash=prev, here=here))
        times = {at, latest} if namespace in PURPOSES["supervisor"] else {at}
        verify(outer, namespace, signers(lines[-1]), times, here)
    return lines

class Roster:
    """People and tablets by their ids: keys with their first and last seconds, and from when which roles."""
    def __init__(self, folder):
        self.people = {}
        self.lines = read_lines(folder, "roster.jsonl", "shop-roster", self.take)

    def take(self, line):
        """Applies a line, and gives who could sign it by the lines before; a root signs itself."""
        need((line.kind == "root") == (line.n == 0), line.here + "a root stands first, and nowhere else")
        if line.n == 0:
            self.apply(line, line.body)
        signers, signer = self.supervisors(line), self.people[line.by]
        need(signer.left == NEVER, line.here + f"{line.by} has left")
        signers = "".join(row for row in signers.splitlines(keepends=True) if signer.keys[-1][0] in row)
        if line.n > 0:
            self.apply(line, line.body)
        return signers

    def apply(self, line, body):
        """What a line changes: somebody is new, leaves, or has other roles or another key from its time on."""
        kind, at, here = line.kind, line.at, line.here
        who = body[{"tablet": "tablet", "retire": "id", "rotate": "id"}.get(kind, "person")]
        if kind in ("root", "join", "tablet"):
            begin = utc(body.get("valid_from", body["at"]))
            end = utc(body["valid_until"]) if "valid_until" in body else NEVER
            need(is_a(ID, who) and who.startswith("tablet-") == (kind == "tablet"), here + f"{who} is no such id")
            need(who not in self.people and at <= begin, here + f"{who} was there before, or the key dates back")
            self.people[who] = Record(keys=[], roles=[(begin, {"tablet"})] if kind == "tablet" else [], left=NEVER)
        need(who in self.people and self.people[who].left == NEVER, here + f"{who} is not there")
        one = self.people[who]
        if kind in ("retire", "rotate"):
            need(all(since != at for _, since, _ in one.keys), here + "a key of theirs began in this second")
            begin, end = max(at, one.keys[-1][1]), one.keys[-1][2]
            one.keys = [(key, since, min(until, at)) for key, since, until in one.keys]
            one.left = at if kind == "retire" else NEVER
        elif kind != "tablet":
            roles, person = set(body["roles"]), not who.startswith("tablet-")
            need(kind in ("root", "join", "roles") and person, here + f"{kind} is no kind, or not for {who}")
            need(roles and roles <= ROLES and len(roles) == len(body["roles"]), here + "roles")
            one.roles.append((at if kind == "roles" else begin, roles))
        if kind in ("root", "join", "tablet", "rotate"):
            given = [key for other in self.people.values() for key, _, _ in other.keys]
            need(is_a(KEY, body["key"]) and body["key"] not in given and begin < end, here + "no new key, or no time for it")
            one.keys.append((body["key"], begin, end))
        stay = (self.roles(who, at + "+") for who, one in self.people.items() if one.keys[-1][2] > at)
        need(any("supervisor" in roles for roles in stay), here + "no supervisor is left")

    def roles(self, who, at):
        one = self.people.get(who, Record(roles=[], left=""))
        return next((roles for since, roles in one.roles[::-1] if since <= at <= one.left), set())

    def supervisors(self, line):
        """Who could sign a line that takes a supervisor, at its time and at the latest time before it."""
        both = self.roles(line.by, line.at) & self.roles(line.by, line.latest)
        need("supervisor" in both, line.here + f"{line.by} is no supervisor")
        return self.signers(line)

    def signers(self, _line=None):
        """The text of allowed_signers: a row for each key and each stretch of the same purposes."""
        rows = []
        for who, one in sorted(self.people.items()):
            for key, begin, end in one.keys:
                starts = sorted({begin, *(since for since, _ in one.roles if since > begin)})
                for since, until in zip(starts, [*starts[1:], NEVER]):
                    own = "".join(PURPOSES.get(role, "") for role in self.roles(who, since))
                    row = [f'{who} namespaces="job-record,practice-record{own}"', key, since, min(until, end)]
                    if rows and rows[-1][:2] == row[:2]:
                        row[2] = rows.pop()[2]
                    rows.append(row)
        ends = {until: f',valid-before="{until}"' for *_, until in rows} | {NEVER: ""}
        return "".join(f'{who},valid-after="{at}"{ends[until]} {key}\n' for who, key, at, until in rows if at < until)
