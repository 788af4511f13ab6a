//! Witnessmark plays authored installation procedures at the car, judges every
//! reading, stops at hold points, and keeps a record that a stranger can check.
//!
//! Data flows right, imports point left:
//!
//! ```text
//! content -> procedure -> player -> record -> audit -> page -> report
//! table -> calc -> circuit ^
//! ```
//!
//! | room | purpose | may import |
//! | --- | --- | --- |
//! | [`diagnostic`] | a finding about authored content, with its code frame | - |
//! | [`photo`] | a photograph made upright, smaller and bare of everything but pixels | - |
//! | [`quantity`] | a number with a unit known at run time: parse, convert, print | `words` |
//! | [`scpi`] | what the program and a meter say to each other, as text | - |
//! | [`seal`] | lines, chain, SSHSIG, allowed_signers: bytes in, bytes out | - |
//! | [`words`] | the program's words and the catalogues of other languages: a text in, its translation out | - |
//! | [`table`] | typed rows of wire, fuse, clamp, hose, fitting tables | `quantity` |
//! | [`calc`] | engineering calculators, one file each, and their registry | `quantity`, `table`, `words` |
//! | [`circuit`] | netlist, switch positions, faults to node voltages and branch currents | `quantity`, `table`, `calc`, `words` |
//! | [`content`] | YAML text to a tree in which every scalar knows its line and column | `diagnostic` |
//! | [`procedure`] | that tree to checked procedures; bands that judge a reading | `content`, `diagnostic`, `words`, `quantity`, `scpi`, `table`, `calc`, `circuit` |
//! | [`player`] | the state machine: what was decided, what may be done now | `procedure`, `words`, `calc`, `quantity`, `scpi` |
//! | [`people`] | roster, roles, keys' validity | `seal` |
//! | [`record`] | facts to entries and back; `FORMAT.md` is the spec | `seal`, `people`, `quantity`, `words`, `player` (only facts, and the values and ids in them, of `calc` and `procedure`) |
//! | [`audit`] | verifying: mathematics, roles, completeness, bands recomputed | `record`, `seal`, `people`, `player`, `procedure`, `words`, `table`, `calc`, `circuit`, `quantity` |
//! | [`page`] | what a screen or sheet shows, without drawing it | `audit` and what it imports |
//! | `report` | page model to PDF bytes | `page`, `record`, `words`, `quantity` |
//! | [`disk`] | folders, logs, keys: the only room with files | pure rooms |
//! | [`meter`] | SCPI meters on the network or a serial line: the only room with lines to instruments | pure rooms |
//! | [`camera`] | pictures of a camera at the tablet: the only room with a line to one | pure rooms |
//! | [`session`] | clock, keys, and the one loop: event, player, record, sync, then the new state | pure, `disk`, `meter`, `camera` |
//! | `kiosk` | the Slint screen, one file per adapter | `session` and above |
//! | [`cli`] | subcommands and exit codes | `kiosk`, `session` and above |
#![deny(unsafe_code)]
#![cfg_attr(not(feature = "kiosk"), forbid(unsafe_code))]

// Tests inside and outside include one driver of the short job, which names the crate as outsiders do.
#[cfg(test)]
extern crate self as witnessmark;

pub mod audit;
pub mod calc;
pub mod camera;
pub mod circuit;
pub mod cli;
pub mod content;
pub mod diagnostic;
pub mod disk;
#[cfg(feature = "kiosk")]
pub mod kiosk;
pub mod meter;
pub mod page;
pub mod people;
pub mod photo;
pub mod player;
pub mod procedure;
pub mod quantity;
pub mod record;
#[cfg(feature = "certificate")]
pub mod report;
pub mod scpi;
pub mod seal;
pub mod session;
pub mod table;
pub mod words;
