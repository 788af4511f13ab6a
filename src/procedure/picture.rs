//! The drawing language's colours, by day and by night.

/// A colour of the drawings.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Colour {
    /// As it stands in the file, `#rrggbb` in lower case.
    pub day: &'static str,
    /// What the night theme shows instead.
    pub night: &'static str,
}

const fn colour(day: &'static str, night: &'static str) -> Colour {
    Colour { day, night }
}

/// Every colour that a drawing may use: sheet, ink, steel, dark steel, rubber, brass, light, sealant, lead, the
/// part that is worked on, and the three of hazard marks, which stay as they are.
pub const COLOURS: [Colour; 13] = [
    colour("#ffffff", "#18211f"),
    colour("#1a1a1a", "#f1f4ef"),
    colour("#c9ced4", "#4b5753"),
    colour("#8d959e", "#6d7a77"),
    colour("#4a4a4a", "#2c3634"),
    colour("#d9cfae", "#6a603c"),
    colour("#eef0f2", "#222d2a"),
    colour("#6f6a5a", "#8f8874"),
    colour("#8a8a8a", "#9aa5a1"),
    colour("#9fd6cb", "#1d7466"),
    colour("#ffd91a", "#ffd91a"),
    colour("#a4131b", "#a4131b"),
    colour("#00498f", "#00498f"),
];

/// The drawing in the colours of the night theme. Every colour is turned once, so none is turned back.
#[must_use]
pub fn by_night(svg: &str) -> String {
    let mut night = String::with_capacity(svg.len());
    let mut rest = svg;
    while let Some(at) = rest.find('#') {
        let (before, from) = rest.split_at(at);
        night.push_str(before);
        let turned = COLOURS.iter().find(|known| from.starts_with(known.day));
        let (text, length) = turned.map_or(("#", 1), |known| (known.night, known.day.len()));
        night.push_str(text);
        rest = &from[length..];
    }
    night.push_str(rest);
    night
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_colour_is_turned_once() {
        let svg = "<path fill=\"#ffffff\" stroke=\"#1a1a1a\"/><!-- # é #12 -->";
        let night = "<path fill=\"#18211f\" stroke=\"#f1f4ef\"/><!-- # é #12 -->";
        assert_eq!(by_night(svg), night);
    }
}
