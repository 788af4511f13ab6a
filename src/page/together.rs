//! Figures as they are read: a figure and its unit in one line, since the space between them (ISO 80000-1) must not
//! end one, and no long rows of noughts.

use crate::quantity::Unit;

/// A space at which no line ends.
const JOINS: char = '\u{A0}';
/// What may stand right behind a unit.
const MARKS: [char; 10] = ['.', ',', ';', ':', '?', '!', ')', '”', '“', '…'];

/// The text with every figure joined to the unit behind it. Nothing else changes, and what is joined stays as it is.
///
/// ```
/// use witnessmark::page::together::together;
/// assert_eq!(together("at most 2.1 Ω, then wait"), "at most 2.1\u{A0}Ω, then wait");
/// ```
#[must_use]
pub fn together(text: &str) -> String {
    let mut joined = String::with_capacity(text.len() + 8);
    let mut rest = text;
    while let Some(at) = rest.find(' ') {
        let behind = &rest[at + 1..];
        joined.push_str(&rest[..at]);
        let figure = joined.chars().next_back().is_some_and(char::is_numeric);
        joined.push(if figure && begins_with_unit(behind) {
            JOINS
        } else {
            ' '
        });
        rest = behind;
    }
    joined.push_str(rest);
    joined
}

/// The text with every figure below 0.0001 as a number between 1 and 10 and a power of ten, all its digits kept:
/// nobody counts seven noughts aloud.
#[must_use]
pub fn without_noughts(text: &str) -> String {
    let words = text.split(' ').map(|word| {
        let (figure, mark) = word.split_at(word.trim_end_matches(MARKS).len());
        let digits = figure.strip_prefix("0.0000");
        let digits = digits.filter(|digits| digits.bytes().all(|byte| byte.is_ascii_digit()));
        let said = digits.and_then(powered).map(|figure| figure + mark);
        said.unwrap_or_else(|| word.to_owned())
    });
    words.collect::<Vec<_>>().join(" ")
}

/// `0.00001896` out of the digits behind its first four noughts; nothing where all of them are noughts.
fn powered(digits: &str) -> Option<String> {
    let noughts = digits.len() - digits.trim_start_matches('0').len();
    let (first, rest) = digits[noughts..].split_at_checked(1)?;
    let raised = (5 + noughts).to_string();
    let raised = raised
        .chars()
        .filter_map(|digit| RAISED.chars().nth(digit.to_digit(10)? as usize));
    let point = if rest.is_empty() { "" } else { "." };
    Some(format!("{first}{point}{rest}·10⁻{}", raised.collect::<String>()))
}

/// The digits of a power.
const RAISED: &str = "⁰¹²³⁴⁵⁶⁷⁸⁹";

/// A name and what it has: `Trip pressure: 35 psi`, and behind a question the answer alone.
#[must_use]
pub fn named(name: &str, value: &str) -> String {
    match name.ends_with('?') {
        true => format!("{name} {value}"),
        false => format!("{name}: {value}"),
    }
}

/// Whether the first word is the symbol of a unit; a unit that is written out is a word like others.
fn begins_with_unit(text: &str) -> bool {
    let word = text.split([' ', '\n', '–']).next().unwrap_or_default();
    let word = word.trim_end_matches(MARKS);
    Unit::find(word).is_some_and(|unit| unit.symbol() == word)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_small_figure_is_said_with_a_power_of_ten() {
        let rows = [
            ("leak 0.00001896 Pa·m³/s.", "leak 1.896·10⁻⁵ Pa·m³/s."),
            ("0.00003. 0.00000000012 m", "3·10⁻⁵. 1.2·10⁻¹⁰ m"),
            (
                "0.0001896 bar, 0.05 bar, 10.00001 V",
                "0.0001896 bar, 0.05 bar, 10.00001 V",
            ),
            ("0.00000 A, 0.0000a", "0.00000 A, 0.0000a"),
        ];
        for (text, expected) in rows {
            assert_eq!(without_noughts(text), expected);
        }
    }

    #[test]
    fn an_answer_stands_behind_its_question() {
        assert_eq!(named("Trip pressure", "35 psi"), "Trip pressure: 35 psi");
        assert_eq!(named("Is it dry?", "yes"), "Is it dry? yes");
    }

    #[test]
    fn a_figure_stays_with_its_unit_and_nothing_else_changes() {
        let rows = [
            ("2.1 Ω", "2.1~Ω"),
            ("at least 11 V, at most 14.8 V.", "at least 11~V, at most 14.8~V."),
            ("33 psi to 37 psi (±0.5 psi)", "33~psi to 37~psi (±0.5~psi)"),
            (
                "0.75 mm² wire, 10 % more, 25 °C; 12 km/h",
                "0.75~mm² wire, 10~% more, 25~°C; 12~km/h",
            ),
            (
                "Höchstens 2,1 Ω, mindestens 0,4 bar?",
                "Höchstens 2,1~Ω, mindestens 0,4~bar?",
            ),
            // A line that ends stays; so does what is joined already, and what is no unit's symbol.
            ("3 bar\n4 bar", "3~bar\n4~bar"),
            ("3~bar", "3~bar"),
            (
                "3 bars, 2 minutes, step 4 of 20",
                "3 bars, 2 minutes, step 4 of 20",
            ),
            ("two bar, no V at pin A", "two bar, no V at pin A"),
            ("ends in 4 ", "ends in 4 "),
            ("", ""),
        ];
        for (text, expected) in rows {
            let text = text.replace('~', "\u{A0}");
            assert_eq!(together(&text).replace(JOINS, "~"), expected);
        }
    }
}
