//! Pure rooms and `disk`, from outside and against stock tools: one module a subject.
// Tests may touch files; the rooms they test may not.
#![allow(clippy::disallowed_methods)]

mod any_fact;
mod approvals;
mod approvals_stock;
mod audit_folder;
mod audit_lies;
mod audit_mathematics;
mod audit_meaning;
mod audit_shop;
mod author_readme;
mod bundle;
mod catalogue;
#[cfg(feature = "certificate")]
mod certificate;
#[cfg(feature = "certificate")]
mod certificate_sample;
mod circuit_bands;
mod circuit_job;
mod content_hostile;
mod content_samples;
mod diagram;
mod diagram_layout;
mod did_you_mean;
mod disk_folder;
mod disk_process;
mod doubt;
mod example;
mod four_eyes;
mod fuzz;
mod fuzz_alter;
mod guard_lies;
mod guarded;
mod house;
mod inbox;
mod language;
mod law_account;
mod listening;
mod live;
mod many_jobs;
mod meter;
mod own_circuit;
mod people_changes;
mod people_cli;
mod people_ledger;
mod people_roster;
mod photo;
mod played_job;
mod player_law;
mod record_facts;
mod record_format;
mod record_stock;
mod restore;
mod schemas;
mod scratch;
mod seal_hostile;
mod seal_published;
mod seal_stock;
mod second_job;
mod second_verifier;
mod shop;
#[allow(dead_code, reason = "the bench measures with the rest")]
mod shop_of_jobs;
mod signers_stock;
#[path = "../meter/simulated.rs"]
mod simulated;
mod small_job;
mod tamper;
mod two_deviations;
mod wiping;
mod worked_car;
#[path = "../cut_out/worker.rs"]
mod worker;
