//! Times: RFC 3339 with an offset in entries, `YYYYMMDDHHMMSSZ` in allowed signers.

use chrono::{DateTime, FixedOffset, NaiveDateTime, SecondsFormat, SubsecRound, Utc};

/// A text that is not a time in the form asked for.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("`{found}` is not a time: {expected} is expected")]
pub struct NotAnInstant {
    /// The text as found, cut to a readable length.
    pub found: String,
    /// The form, with an example.
    pub expected: &'static str,
}

const ENTRY_FORM: &str = "RFC 3339 with an offset, such as 2026-03-14T09:26:53+01:00,";
const SIGNERS_FORM: &str = "UTC as YYYYMMDDHHMMSSZ, such as 20260314082653Z,";

/// Reads the `at` of an entry, in whole seconds: parts of a second are let by and count nowhere.
///
/// Narrower than RFC 3339 where readers differ: a capital `T`, a known offset or a capital `Z`, no leap
/// second (which stock tools cannot take as a verify time), and a year from 1970 to 9999 in UTC.
///
/// # Errors
/// The text is not of that form, or names no moment.
pub fn parse_at(text: &str) -> Result<DateTime<FixedOffset>, NotAnInstant> {
    let fault = || NotAnInstant {
        found: text.chars().take(48).collect(),
        expected: ENTRY_FORM,
    };
    let bytes = text.as_bytes();
    let shaped = matches!(bytes.len(), 20..=35) && bytes[10] == b'T' && &bytes[17..19] != b"60";
    if !shaped || !text.is_ascii() || text.ends_with("-00:00") || text.contains('z') {
        return Err(fault());
    }
    let at = DateTime::parse_from_rfc3339(text)
        .map_err(|_| fault())?
        .trunc_subsecs(0);
    if stock_tools_can_say(at.with_timezone(&Utc)) {
        Ok(at)
    } else {
        Err(fault())
    }
}

/// Writes the `at` of an entry: whole seconds, with the offset.
pub fn format_at(at: &DateTime<FixedOffset>) -> String {
    at.to_rfc3339_opts(SecondsFormat::Secs, false)
}

/// Writes a moment as `allowed_signers` and `ssh-keygen -O verify-time=` take it. Parts of a second are cut.
pub fn format_utc(at: &DateTime<Utc>) -> String {
    at.format("%Y%m%d%H%M%SZ").to_string()
}

/// Reads a validity date of `allowed_signers`.
///
/// # Errors
/// The text is not 14 digits and a `Z`, or names no moment.
pub fn parse_utc(text: &str) -> Result<DateTime<Utc>, NotAnInstant> {
    let fault = || NotAnInstant {
        found: text.chars().take(48).collect(),
        expected: SIGNERS_FORM,
    };
    let digits = text.strip_suffix('Z').ok_or_else(fault)?;
    if digits.len() != 14 || !digits.bytes().all(|byte| byte.is_ascii_digit()) || digits.ends_with("60") {
        return Err(fault());
    }
    let at = NaiveDateTime::parse_from_str(digits, "%Y%m%d%H%M%S")
        .map_err(|_| fault())?
        .and_utc();
    if stock_tools_can_say(at) {
        Ok(at)
    } else {
        Err(fault())
    }
}

/// Whether the moment fits four digits of year and a count of seconds that is not negative.
fn stock_tools_can_say(at: DateTime<Utc>) -> bool {
    use chrono::Datelike;
    (1970..=9999).contains(&at.year())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The first row is an example of RFC 3339, section 5.8 (from memory); the others follow from its rules.
    #[test]
    fn entry_times_become_utc() {
        for (text, utc) in [
            ("1985-04-12T23:20:50.52Z", "19850412232050Z"),
            ("2026-03-14T09:26:53+01:00", "20260314082653Z"),
            ("2026-01-01T00:30:00+05:45", "20251231184500Z"),
            ("2024-02-29T23:59:59-11:00", "20240301105959Z"),
        ] {
            let at = parse_at(text).expect(text);
            assert_eq!(format_utc(&at.with_timezone(&Utc)), utc, "{text}");
        }
    }

    #[test]
    fn what_is_written_is_read_again() {
        let at = parse_at("2026-03-14T09:26:53+01:00").expect("a time");
        assert_eq!(format_at(&at), "2026-03-14T09:26:53+01:00");
        let utc = at.with_timezone(&Utc);
        assert_eq!(parse_utc(&format_utc(&utc)), Ok(utc));
    }

    #[test]
    fn entry_times_that_readers_read_differently_are_refused() {
        for bad in [
            "",
            "2026-03-14",
            "2026-03-14T09:26:53",
            "2026-03-14 09:26:53+01:00",
            "2026-03-14t09:26:53+01:00",
            "2026-03-14T09:26:53z",
            "2026-03-14T09:26:53-00:00",
            "1990-12-31T23:59:60Z",
            "2026-02-29T09:26:53+01:00",
            "2026-03-14T09:26:53+0100",
            "1969-12-31T23:59:59Z",
            "1970-01-01T00:30:00+01:00",
            "9999-12-31T23:59:59-01:00",
            "2026-03-14T09:26:53+01:00 ",
            "２０２６-03-14T09:26:53Z",
        ] {
            assert!(parse_at(bad).is_err(), "{bad:?}");
        }
    }

    #[test]
    fn validity_dates_have_one_form() {
        for bad in [
            "",
            "20260314",
            "202603140826",
            "20260314082653",
            "20260314082660Z",
            "20260230082653Z",
            "20260314082653z",
            "+0260314082653Z",
        ] {
            assert!(parse_utc(bad).is_err(), "{bad:?}");
        }
    }
}
