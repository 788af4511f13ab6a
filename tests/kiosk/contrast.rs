//! Text stands out from its ground at 7 to 1 or more, in both themes (WCAG 2.1, success criterion 1.4.6;
//! the formulas of relative luminance and contrast ratio are those of its glossary, from memory).

use std::collections::BTreeMap;

const TOKENS: &str = include_str!("../../ui/tokens.slint");

/// Which ink stands on which ground.
const PAIRS: [(&str, &str); 17] = [
    ("ink", "ground"),
    ("ink", "sheet"),
    ("ink", "sunk"),
    ("ink-soft", "ground"),
    ("ink-soft", "sheet"),
    ("ink-soft", "sunk"),
    ("sheet", "ink"),
    ("on-mark", "mark"),
    ("on-mark-wash", "mark-wash"),
    ("ink", "mark-wash"),
    ("ink-soft", "mark-wash"),
    ("on-danger", "danger"),
    ("on-warning", "warning"),
    ("on-caution", "caution"),
    ("on-notice", "notice"),
    ("on-hazard-sheet", "hazard-sheet"),
    ("mark", "sheet"),
];

/// Frames, marks and drawings that say something stand out from their ground at 3 to 1 (WCAG 2.1, 1.4.11, from
/// memory). The hazard's own colours are those of the standard and stand beside black or white words.
const PARTS: [(&str, &str); 11] = [
    ("rule", "ground"),
    ("rule", "sheet"),
    ("ink", "ground"),
    ("ink", "sheet"),
    ("ink-soft", "ground"),
    ("mark", "ground"),
    ("mark", "sheet"),
    ("mark", "sunk"),
    ("mark", "mark-wash"),
    ("on-mark", "mark"),
    ("danger", "hazard-sheet"),
];

type Rgb = [u8; 3];

/// The colours by name: by day and by night.
fn colours() -> BTreeMap<&'static str, (Rgb, Rgb)> {
    let lines = TOKENS
        .lines()
        .filter_map(|line| line.trim().strip_prefix("out property <color> "));
    lines
        .filter_map(|line| {
            let (name, value) = line.split_once(':')?;
            let found: Vec<Rgb> = value.split('#').skip(1).filter_map(hex).collect();
            match found.as_slice() {
                [both] => Some((name, (*both, *both))),
                [night, day] => Some((name, (*day, *night))),
                _ => None,
            }
        })
        .collect()
}

fn hex(text: &str) -> Option<Rgb> {
    let digits = text.get(..6)?;
    let part = |at: usize| u8::from_str_radix(digits.get(at..at + 2)?, 16).ok();
    Some([part(0)?, part(2)?, part(4)?])
}

fn luminance(colour: Rgb) -> f64 {
    let channel = |value: u8| {
        let share = f64::from(value) / 255.0;
        if share <= 0.03928 {
            share / 12.92
        } else {
            ((share + 0.055) / 1.055).powf(2.4)
        }
    };
    0.2126 * channel(colour[0]) + 0.7152 * channel(colour[1]) + 0.0722 * channel(colour[2])
}

fn contrast(one: Rgb, other: Rgb) -> f64 {
    let (one, other) = (luminance(one), luminance(other));
    (one.max(other) + 0.05) / (one.min(other) + 0.05)
}

#[test]
fn black_on_white_is_21_to_1() {
    assert!((contrast([0; 3], [255; 3]) - 21.0).abs() < 1e-9);
}

/// The pairs that do not reach this contrast by day or by night.
fn poor(pairs: &[(&str, &str)], least: f64) -> Vec<String> {
    let colours = colours();
    let mut poor = Vec::new();
    for (ink, ground) in pairs {
        let (ink_day, ink_night) = colours[ink];
        let (ground_day, ground_night) = colours[ground];
        for (theme, ratio) in [
            ("day", contrast(ink_day, ground_day)),
            ("night", contrast(ink_night, ground_night)),
        ] {
            if ratio < least {
                poor.push(format!("{ink} on {ground} by {theme}: {ratio:.2}"));
            }
        }
    }
    poor
}

#[test]
fn every_ink_stands_out_seven_to_one_by_day_and_night() {
    let poor = poor(&PAIRS, 7.0);
    assert!(poor.is_empty(), "{poor:#?}");
}

#[test]
fn every_part_that_says_something_stands_out_three_to_one() {
    let poor = poor(&PARTS, 3.0);
    assert!(poor.is_empty(), "{poor:#?}");
}

/// A hue in degrees and how much of it there is.
fn hue(colour: Rgb) -> (f64, f64) {
    let [r, g, b] = colour.map(|value| f64::from(value) / 255.0);
    let (max, min) = (r.max(g).max(b), r.min(g).min(b));
    let span = max - min;
    let sixth = if span == 0.0 {
        0.0
    } else if max == r {
        ((g - b) / span).rem_euclid(6.0)
    } else if max == g {
        (b - r) / span + 2.0
    } else {
        (r - g) / span + 4.0
    };
    (60.0 * sixth, span)
}

#[test]
fn no_other_colour_comes_near_a_hazard_colour() {
    let colours = colours();
    let hazards: Vec<f64> = ["danger", "warning", "caution", "notice"]
        .iter()
        .map(|name| hue(colours[name].0).0)
        .collect();
    for (name, (day, night)) in &colours {
        if name.contains("danger")
            || name.contains("warning")
            || name.contains("caution")
            || name.contains("notice")
        {
            continue;
        }
        for (hue, chroma) in [hue(*day), hue(*night)] {
            let near = hazards
                .iter()
                .any(|hazard| (hue - hazard).abs().min(360.0 - (hue - hazard).abs()) < 25.0);
            assert!(chroma < 0.12 || !near, "{name} looks like a hazard colour");
        }
    }
}

/// The text of every source of the screen by its path.
pub fn slint_sources() -> Vec<(String, String)> {
    let ui = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("ui");
    let folders = [
        ui.clone(),
        ui.join("pages"),
        ui.join("components"),
        ui.join("adapters"),
    ];
    let entries = folders
        .into_iter()
        .flat_map(|folder| std::fs::read_dir(folder).expect("the folder is there").flatten());
    entries
        .map(|entry| entry.path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "slint"))
        .map(|path| {
            let text = std::fs::read_to_string(&path).expect("it can be read");
            (path.display().to_string(), text)
        })
        .collect()
}

#[test]
fn only_the_tokens_name_colours_and_sizes_of_text() {
    let mut found = Vec::new();
    for (path, text) in slint_sources() {
        if path.ends_with("tokens.slint") {
            continue;
        }
        for (number, line) in text.lines().enumerate() {
            let colour = line.split('#').skip(1).any(|rest| hex(rest).is_some());
            let sized = line
                .trim()
                .strip_prefix("font-size:")
                .is_some_and(|rest| rest.contains("px"));
            if colour || sized {
                found.push(format!("{path}:{}: {line}", number + 1));
            }
        }
    }
    assert!(found.is_empty(), "{found:#?}");
}
