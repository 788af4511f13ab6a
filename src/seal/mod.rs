//! Lines, chain, SSHSIG and allowed signers: bytes in, bytes out.
