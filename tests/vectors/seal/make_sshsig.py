"""Makes sshsig.txt: SSHSIG signatures built by hand from OpenSSH's PROTOCOL.sshsig with another Ed25519.

Run: python3 make_sshsig.py > sshsig.txt   (cryptography 48.0.0 made the file that is kept)
The keys are TEST 1 to 3 of RFC 8032, section 7.1: published, so never used for anything but tests.
"""
import base64
import hashlib
import struct

import cryptography
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat

SEEDS = [
    "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60",
    "4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb",
    "c5aa8df43f9f837bedb7442f31dcb7b166d38535076f094b85ce3a2e0b4458f7",
]
NAMESPACES = ["job-record", "practice-record", "shop-ledger", "shop-roster", "content-approval"]
MESSAGES = [b"", b"abc", '{"shown":"3,6 bar – gut"}'.encode()]


def string(data):
    return struct.pack(">I", len(data)) + data


def armour(seed, namespace, message):
    key = Ed25519PrivateKey.from_private_bytes(bytes.fromhex(seed))
    public = key.public_key().public_bytes(Encoding.Raw, PublicFormat.Raw)
    rest = string(namespace.encode()) + string(b"") + string(b"sha512")
    signature = key.sign(b"SSHSIG" + rest + string(hashlib.sha512(message).digest()))
    blob = b"SSHSIG" + struct.pack(">I", 1) + string(string(b"ssh-ed25519") + string(public)) + rest
    blob += string(string(b"ssh-ed25519") + string(signature))
    text = base64.b64encode(blob).decode()
    rows = [text[i : i + 70] for i in range(0, len(text), 70)]
    return "|".join(["-----BEGIN SSH SIGNATURE-----", *rows, "-----END SSH SIGNATURE-----", ""])


print("# Made by make_sshsig.py with cryptography", cryptography.__version__)
print("# seed (hex), namespace, message (hex or - for none), armour with | for each line end")
for seed in SEEDS:
    for namespace in NAMESPACES:
        for message in MESSAGES:
            print(seed, namespace, message.hex() or "-", armour(seed, namespace, message))
