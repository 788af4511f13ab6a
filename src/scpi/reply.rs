//! What a meter answers.

/// SCPI's infinity: the value lies outside what the range can show (SCPI-1999, volume 1; from memory).
const INFINITY: f64 = 9.9e37;
/// SCPI's not-a-number: there is no value (SCPI-1999, volume 1; from memory).
const NO_NUMBER: f64 = 9.91e37;

/// Why a reply is no reading.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ReplyError {
    /// The input is above or below what the meter can show.
    #[error("the meter shows an overload (`{found}`): its range or its leads do not fit what is measured")]
    Overload { found: String },
    /// The meter has no value.
    #[error("the meter has no value (`{found}`)")]
    NoValue { found: String },
    /// Not a decimal number.
    #[error("the meter answered `{found}`, expected one number such as +1.26E+01")]
    NotANumber { found: String },
    /// Not four fields.
    #[error("the meter answered `{found}` to `*IDN?`, expected maker, model, serial number and firmware")]
    Identity { found: String },
    /// The meter's queue names a trouble.
    #[error("the meter reports {code}: {says}")]
    Trouble { code: i32, says: String },
    /// Not a code and a text.
    #[error("the meter answered `{found}` to `SYST:ERR?`, expected a code and a text in quotes")]
    NotATrouble { found: String },
}

/// The number in a reply: NR1, NR2 or NR3 of IEEE 488.2, and nothing beside it.
///
/// # Errors
/// Overload, no value, or something that is no number.
pub fn number(reply: &str) -> Result<f64, ReplyError> {
    let found = || reply.escape_default().to_string();
    let value: f64 = Some(reply)
        .filter(|reply| is_decimal(reply.as_bytes()))
        .and_then(|reply| reply.parse().ok())
        .ok_or_else(|| ReplyError::NotANumber { found: found() })?;
    // Meters print these constants with more or fewer digits.
    let is = |constant: f64| (value.abs() / constant - 1.0).abs() < 1e-4;
    if is(NO_NUMBER) {
        return Err(ReplyError::NoValue { found: found() });
    }
    if is(INFINITY) || !value.is_finite() {
        return Err(ReplyError::Overload { found: found() });
    }
    Ok(value)
}

/// A sign, digits with at most one point among or around them, and an exponent if there is one.
fn is_decimal(text: &[u8]) -> bool {
    let sign = |text: &[u8]| usize::from(matches!(text.first(), Some(b'+' | b'-')));
    let end = text.iter().position(|byte| matches!(byte, b'E' | b'e'));
    let (mantissa, exponent) = text.split_at(end.unwrap_or(text.len()));
    let mantissa = &mantissa[sign(mantissa)..];
    let digits = mantissa.iter().filter(|byte| byte.is_ascii_digit()).count();
    let points = mantissa.iter().filter(|&&byte| byte == b'.').count();
    let whole = |text: &[u8]| !text.is_empty() && text.iter().all(u8::is_ascii_digit);
    let powered = exponent.is_empty() || whole(&exponent[1 + sign(&exponent[1..])..]);
    digits > 0 && points <= 1 && digits + points == mantissa.len() && powered
}

/// The oldest trouble in the meter's queue, from its reply to `SYST:ERR?`.
///
/// # Errors
/// The trouble itself; or the reply is none.
pub fn trouble(reply: &str) -> Result<(), ReplyError> {
    let not_one = || ReplyError::NotATrouble {
        found: reply.escape_default().to_string(),
    };
    let (code, says) = reply.split_once(',').ok_or_else(not_one)?;
    let code: i32 = code.trim().parse().map_err(|_| not_one())?;
    if code == 0 {
        return Ok(());
    }
    Err(ReplyError::Trouble {
        code,
        says: says.trim().trim_matches('"').to_owned(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_of_all_three_forms() {
        for (reply, value) in [
            ("12", 12.0),
            ("+12", 12.0),
            ("-0.5", -0.5),
            (".5", 0.5),
            ("5.", 5.0),
            ("+1.26031000E+01", 12.6031),
            ("4.7e-3", 0.0047),
            ("0", 0.0),
        ] {
            assert_eq!(number(reply), Ok(value), "{reply}");
        }
    }

    #[test]
    fn overload_and_no_value_are_no_readings() {
        for reply in ["9.9E37", "+9.90000000E+37", "-9.90000000E+37", "1E999"] {
            assert!(
                matches!(number(reply), Err(ReplyError::Overload { .. })),
                "{reply}"
            );
        }
        assert!(matches!(number("9.91E37"), Err(ReplyError::NoValue { .. })));
    }

    #[test]
    fn whatever_else_is_refused() {
        for reply in [
            "", " 12", "12 V", "1,2", "1.2.3", "+", "-", ".", "E5", "1E", "1E+", "1E5.5", "nan", "inf",
            "0x10", "1_0", "--1",
        ] {
            assert!(
                matches!(number(reply), Err(ReplyError::NotANumber { .. })),
                "{reply}"
            );
        }
    }

    #[test]
    fn a_queue_is_empty_or_names_its_trouble() {
        assert_eq!(trouble("0,\"No error\""), Ok(()));
        assert_eq!(trouble("+0,\"No error\""), Ok(()));
        assert_eq!(
            trouble("-113,\"Undefined header\"").unwrap_err().to_string(),
            "the meter reports -113: Undefined header"
        );
        assert!(matches!(trouble("fine"), Err(ReplyError::NotATrouble { .. })));
    }
}
