//! All motion is short, and there is none where the tablet is told so.

use crate::contrast::slint_sources;

const TOKENS: &str = include_str!("../../ui/tokens.slint");

/// The durations of the tokens with motion and without, in milliseconds, by their names.
fn durations() -> Vec<(String, u32, u32)> {
    let lines = TOKENS
        .lines()
        .filter_map(|line| line.trim().strip_prefix("out property <duration> "));
    let read = |text: &str| text.trim().trim_end_matches("ms").parse().expect("milliseconds");
    lines
        .filter_map(|line| {
            let (name, value) = line.trim_end_matches(';').split_once(": ")?;
            let (still, moving) = value.strip_prefix("root.still ? ")?.split_once(" : ")?;
            Some((name.to_owned(), read(moving), read(still)))
        })
        .collect()
}

#[test]
fn every_motion_takes_its_time_from_the_tokens() {
    let durations = durations();
    assert!(!durations.is_empty());
    for (name, moving, still) in &durations {
        assert!(*moving < 200 && *still == 0, "{name}: {moving} ms, {still} ms");
    }
    let mut motions = 0;
    for (path, text) in slint_sources() {
        // What is animated stands between `animate` and the end of its braces.
        for part in text.split("animate ").skip(1) {
            let body = part.split('}').next().unwrap_or_default();
            let Some((_, time)) = body.split_once("duration:") else {
                continue;
            };
            motions += 1;
            let time = time.split(';').next().unwrap_or_default().trim();
            let known = durations
                .iter()
                .any(|(name, ..)| time.ends_with(&format!("Tokens.{name}")));
            assert!(known, "{path}: a motion takes {time}");
        }
        // The time of a key is asked for too, to tell a scanner from a hand; nothing moves by it.
        let text = text.replace("Keys.caught(event.text, animation-tick()", "");
        assert!(
            !text.contains("transitions") && !text.contains("animation-tick"),
            "{path}"
        );
    }
    assert!(motions > 0);
}
