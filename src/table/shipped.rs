//! The shipped tables, for tests of pure rooms: the program itself reads them through `content`.
use std::collections::BTreeMap;

use super::Tables;

const FILES: &[&str] = &[
    include_str!("../../content/tables/wire.yaml"),
    include_str!("../../content/tables/ampacity.yaml"),
    include_str!("../../content/tables/bundle.yaml"),
    include_str!("../../content/tables/fuse.yaml"),
    include_str!("../../content/tables/fuse-time.yaml"),
    include_str!("../../content/tables/fuse-derating.yaml"),
    include_str!("../../content/tables/clamp.yaml"),
    include_str!("../../content/tables/hose-class.yaml"),
    include_str!("../../content/tables/tube-derating.yaml"),
    include_str!("../../content/tables/flare.yaml"),
    include_str!("../../content/tables/pipe-thread.yaml"),
    include_str!("../../content/tables/filling.yaml"),
];

impl Tables {
    /// Reads the plain shape that the shipped files keep: `table: NAME`, then one row a line in braces,
    /// every cell in double quotes.
    pub(crate) fn shipped() -> Tables {
        let mut tables = Tables::default();
        let mut table = String::new();
        for line in FILES.iter().flat_map(|file| file.lines()) {
            let line = line.trim();
            if let Some(name) = line.strip_prefix("table: ") {
                table = name.to_string();
            } else if let Some(row) = line.strip_prefix("- {").and_then(|rest| rest.strip_suffix('}')) {
                tables
                    .push(&table, &cells(row))
                    .unwrap_or_else(|error| panic!("{line}: {error}"));
            }
        }
        tables
    }
}

fn cells(row: &str) -> BTreeMap<String, String> {
    let mut cells = BTreeMap::new();
    let mut rest = row;
    while let Some((key, after)) = rest.split_once(": \"") {
        let (text, after) = after
            .split_once('"')
            .unwrap_or_else(|| panic!("no closing quote in {row}"));
        let key = key.trim_matches([',', ' ']).to_string();
        assert!(
            cells.insert(key, text.to_string()).is_none(),
            "a column twice in {row}"
        );
        rest = after;
    }
    cells
}
