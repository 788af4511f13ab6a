//! Reads a quantity as a person types it.
use super::{Dimension, Quantity, QuantityError, Unit};

/// The longest text that is read as a quantity, in characters.
const LONGEST: usize = 64;

pub(super) fn parse(text: &str, default: Option<Unit>) -> Result<Quantity, QuantityError> {
    let expected = default.map(Unit::dimension);
    let length = text.chars().count();
    if length > LONGEST {
        return Err(QuantityError::TooLong { length });
    }
    let text = plain(text);
    if text.is_empty() {
        return Err(QuantityError::Empty { expected });
    }
    match gauge(&text, default) {
        Some(quantity) => quantity,
        None => number_then_unit(&text, default),
    }
}

/// The text with one kind of space, one kind of minus, and nothing around it. Arabic and Persian digits and marks
/// become the ones that the rest of the reader knows; their decimal mark, the momayyez, is never one of thousands,
/// and so stands as the point.
fn plain(text: &str) -> String {
    let digit = |c: char, nought: char| char::from_digit(c as u32 - nought as u32, 10).unwrap_or(c);
    let one = |c: char| match c {
        '\u{2212}' => '-',
        '\u{66B}' => '.',
        '\u{66C}' => ',',
        '\u{660}'..='\u{669}' => digit(c, '\u{660}'),
        '\u{6F0}'..='\u{6F9}' => digit(c, '\u{6F0}'),
        c if c.is_whitespace() => ' ',
        c => c,
    };
    text.chars().map(one).collect::<String>().trim().to_string()
}

/// `AWG 12`, and the sizes above 1, which are written in noughts: `00 AWG`, `2/0 AWG`. Where a wire size is asked
/// for, the noughts need no unit behind them: a bare `00` is no 0, which is a thinner wire.
fn gauge(text: &str, default: Option<Unit>) -> Option<Result<Quantity, QuantityError>> {
    let upper = text.to_ascii_uppercase();
    let marked = upper
        .strip_prefix("AWG")
        .or_else(|| upper.strip_suffix("AWG"))
        .map(str::trim);
    let bare = || {
        let asked = default.is_some_and(Unit::is_gauge);
        Some(upper.as_str()).filter(|size| asked && noughts(size).is_some())
    };
    let size = marked.or_else(bare)?;
    let unit = Unit::find("AWG")?;
    let plain = || number(size).and_then(|(digits, rest)| rest.is_empty().then(|| value_of(&digits).ok())?);
    Some(match noughts(size) {
        Some(count @ 1..=4) => Quantity::new(1.0 - f64::from(count), unit),
        Some(_) => Err(QuantityError::NoSuchGauge {
            found: size.to_string(),
        }),
        None => plain()
            .ok_or_else(|| QuantityError::NotANumber {
                found: text.to_string(),
                expected: Some(Dimension::Area),
            })
            .and_then(|value| Quantity::new(value, unit)),
    })
}

/// How many noughts name the size: 2 for `00` and `2/0`; none where it is a plain number.
fn noughts(size: &str) -> Option<u8> {
    match size.strip_suffix("/0") {
        Some(count) => count.trim().parse().ok(),
        None => (size.len() >= 2 && size.chars().all(|c| c == '0')).then(|| size.len().min(255) as u8),
    }
}

fn number_then_unit(text: &str, default: Option<Unit>) -> Result<Quantity, QuantityError> {
    let expected = default.map(Unit::dimension);
    let not_a_number = || QuantityError::NotANumber {
        found: text.to_string(),
        expected,
    };
    let (digits, rest) = number(text).ok_or_else(not_a_number)?;
    let value = value_of(&digits)?;
    let rest = rest.trim();
    let unit = match (rest.is_empty(), default) {
        (true, Some(unit)) => Some(unit),
        (true, None) => Unit::find("1"),
        (false, _) => Unit::find(rest),
    };
    let unknown = || QuantityError::UnknownUnit {
        found: rest.to_string(),
        expected,
    };
    Quantity::new(value, unit.ok_or_else(unknown)?)
}

/// The number at the start of the text, as written, and what follows it.
fn number(text: &str) -> Option<(String, &str)> {
    let bytes = text.as_bytes();
    let mut end = usize::from(matches!(bytes.first(), Some(b'+' | b'-')));
    let start = end;
    while end < bytes.len() && (is_digit_or_mark(bytes[end]) || begins_group(bytes, start, end)) {
        end += 1;
    }
    if !bytes[start..end].iter().any(u8::is_ascii_digit) {
        return None;
    }
    end += exponent_length(&bytes[end..]);
    Some((text[..end].to_string(), &text[end..]))
}

fn is_digit_or_mark(byte: u8) -> bool {
    byte.is_ascii_digit() || byte == b'.' || byte == b','
}

/// Whether the space at `at` stands between groups of thousands: three digits follow it, and no fourth.
fn begins_group(bytes: &[u8], start: usize, at: usize) -> bool {
    let digits = |bytes: &[u8]| bytes.iter().take_while(|b| b.is_ascii_digit()).count();
    let before = bytes[start..at]
        .iter()
        .rev()
        .take_while(|b| b.is_ascii_digit())
        .count();
    let fraction = bytes[start..at].iter().any(|b| matches!(b, b'.' | b','));
    bytes[at] == b' ' && !fraction && (1..=3).contains(&before) && digits(&bytes[at + 1..]) == 3
}

/// The length of an exponent: an e counts only with a digit behind it.
fn exponent_length(bytes: &[u8]) -> usize {
    if !matches!(bytes.first(), Some(b'e' | b'E')) {
        return 0;
    }
    let sign = usize::from(matches!(bytes.get(1), Some(b'+' | b'-')));
    let digits = bytes[1 + sign..]
        .iter()
        .take_while(|b| b.is_ascii_digit())
        .count();
    if digits == 0 { 0 } else { 1 + sign + digits }
}

/// The value of a number as written, its decimal mark being the last of its marks.
fn value_of(written: &str) -> Result<f64, QuantityError> {
    let (mantissa, exponent) = match written.find(['e', 'E']) {
        Some(at) => written.split_at(at),
        None => (written, ""),
    };
    let decimal = decimal_mantissa(mantissa, written)?;
    let value: f64 = format!("{decimal}{exponent}")
        .parse()
        .map_err(|_| not_a_number(written))?;
    if value.is_finite() {
        Ok(value)
    } else {
        Err(QuantityError::NotFinite {
            found: written.to_string(),
        })
    }
}

fn not_a_number(found: &str) -> QuantityError {
    QuantityError::NotANumber {
        found: found.to_string(),
        expected: None,
    }
}

/// The mantissa with a point for its decimal mark and no marks between its thousands.
fn decimal_mantissa(mantissa: &str, written: &str) -> Result<String, QuantityError> {
    let spaced = mantissa.contains(' ');
    let mantissa = mantissa.replace(' ', "");
    let commas = mantissa.matches(',').count();
    let points = mantissa.matches('.').count();
    match (commas, points) {
        (1, 0) if !spaced && may_be_thousands(&mantissa) => Err(ambiguous(&mantissa, written)),
        (0 | 1, 0) | (0, 1) => fraction(&mantissa.replace(',', "."), written),
        (1, _) if mantissa.rfind(',') > mantissa.rfind('.') => grouped(&mantissa, '.', ',', written),
        (_, 1) if mantissa.rfind('.') > mantissa.rfind(',') => grouped(&mantissa, ',', '.', written),
        (_, 0) => grouped(&mantissa, ',', '.', written),
        (0, _) => grouped(&mantissa, '.', ',', written),
        _ => Err(not_a_number(written)),
    }
}

/// `1,000` but not `0,125`, since no number of thousands begins with a nought.
fn may_be_thousands(mantissa: &str) -> bool {
    let unsigned = mantissa.trim_start_matches(['+', '-']);
    unsigned.split_once(',').is_some_and(|(whole, rest)| {
        (1..=3).contains(&whole.len()) && !whole.starts_with('0') && rest.len() == 3
    })
}

fn ambiguous(mantissa: &str, written: &str) -> QuantityError {
    QuantityError::Ambiguous {
        found: written.to_string(),
        decimal: mantissa.replace(',', "."),
        thousands: mantissa.replace(',', ""),
    }
}

/// A fraction needs a digit behind its mark: `12,` is a number half typed.
fn fraction(mantissa: &str, written: &str) -> Result<String, QuantityError> {
    if mantissa.ends_with('.') {
        Err(not_a_number(written))
    } else {
        Ok(mantissa.to_string())
    }
}

/// Joins groups of thousands; every group behind the first has exactly three digits.
fn grouped(mantissa: &str, group: char, decimal: char, written: &str) -> Result<String, QuantityError> {
    let (whole, rest) = mantissa
        .split_once(decimal)
        .map_or((mantissa, None), |(w, r)| (w, Some(r)));
    let mut groups = whole.trim_start_matches(['+', '-']).split(group);
    let first = groups.next().unwrap_or_default();
    let well_formed = (1..=3).contains(&first.len()) && groups.all(|digits| digits.len() == 3);
    if !well_formed {
        return Err(not_a_number(written));
    }
    let whole = whole.replace(group, "");
    let joined = rest.map_or(whole.clone(), |rest| format!("{whole}.{rest}"));
    fraction(&joined, written)
}

/// A unit's spelling in one form: ASCII powers, micro and ohm, `deg` for the degree sign, and a single
/// space for every separator.
pub(super) fn normal_symbol(symbol: &str) -> String {
    let mut normal = String::new();
    for c in symbol.trim().chars() {
        match c {
            '²' => normal.push('2'),
            '³' => normal.push('3'),
            'µ' | 'μ' => normal.push('u'),
            'Ω' | '\u{2126}' => normal.push_str("ohm"),
            '°' | 'º' | '˚' => normal.push_str("deg"),
            '℃' => normal.push_str("degC"),
            '℉' => normal.push_str("degF"),
            '^' | '(' | ')' => {}
            '·' | '⋅' | '×' | '*' | '.' | '-' | '_' => normal.push(' '),
            c if c.is_whitespace() => normal.push(' '),
            c => normal.push(c),
        }
    }
    normal.split_whitespace().collect::<Vec<_>>().join(" ")
}
