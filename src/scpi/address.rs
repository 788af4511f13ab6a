//! Where a meter is reached.

use std::fmt;
use std::str::FromStr;

/// The port on which meters listen for SCPI as plain text (common practice, no source).
const PORT: u16 = 5025;
/// What a serial line runs at when the address does not say (common practice, no source).
const BAUD: u32 = 9_600;
/// What a serial line may run at, in bits a second.
const BAUDS: std::ops::RangeInclusive<u32> = 300..=921_600;
/// Where serial lines stand: a device of another kind can be named by nobody.
const LINES: [&str; 4] = [
    "/dev/tty",
    "/dev/serial/by-id/",
    "/dev/serial/by-path/",
    "/dev/pts/",
];

/// A meter in the workshop's own network, or on a serial line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Address {
    /// `tcp://192.0.2.7:5025`
    Tcp { host: String, port: u16 },
    /// `serial:/dev/ttyUSB0?baud=9600`: eight data bits, no parity, one stop bit.
    Serial { path: String, baud: u32 },
}

/// Why a text is no address.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("found `{found}`, expected {expected}")]
pub struct AddressError {
    /// The whole text.
    pub found: String,
    /// What is allowed.
    pub expected: &'static str,
}

impl FromStr for Address {
    type Err = AddressError;

    fn from_str(text: &str) -> Result<Self, AddressError> {
        let wrong = |expected| AddressError {
            found: text.to_owned(),
            expected,
        };
        if let Some(rest) = text.strip_prefix("tcp://") {
            return tcp(rest).map_err(wrong);
        }
        if let Some(rest) = text.strip_prefix("serial:") {
            return serial(rest).map_err(wrong);
        }
        Err(wrong("`tcp://HOST:PORT` or `serial:/dev/ttyNAME?baud=RATE`"))
    }
}

fn tcp(rest: &str) -> Result<Address, &'static str> {
    let (host, port) = match rest.strip_prefix('[') {
        // An address of version 6 has colons of its own.
        Some(rest) => rest
            .split_once(']')
            .map(|(host, port)| (host, port.strip_prefix(':')))
            .ok_or("`]` after an address of version 6")?,
        None => rest
            .split_once(':')
            .map_or((rest, None), |(host, port)| (host, Some(port))),
    };
    let plain = |byte: u8| byte.is_ascii_alphanumeric() || matches!(byte, b'.' | b'-' | b':');
    if host.is_empty() || host.len() > 253 || !host.bytes().all(plain) {
        return Err("the name or number of a host, of A-Z a-z 0-9 . -");
    }
    let port = match port {
        None => PORT,
        Some(port) => match port.parse() {
            Ok(port) if port > 0 => port,
            _ => return Err("a port from 1 to 65535"),
        },
    };
    Ok(Address::Tcp {
        host: host.to_owned(),
        port,
    })
}

fn serial(rest: &str) -> Result<Address, &'static str> {
    let (path, baud) = match rest.split_once('?') {
        None => (rest, BAUD),
        Some((path, options)) => {
            let rate = options.strip_prefix("baud=").and_then(|rate| rate.parse().ok());
            match rate {
                Some(rate) if BAUDS.contains(&rate) => (path, rate),
                _ => return Err("`?baud=RATE` with a rate from 300 to 921600"),
            }
        }
    };
    let plain = |byte: u8| byte.is_ascii_alphanumeric() || matches!(byte, b'.' | b'_' | b'-' | b':' | b'/');
    let named = |path: &str| path.bytes().all(plain) && !path.split('/').any(|part| part == "..");
    let line = LINES
        .iter()
        .any(|line| path.len() > line.len() && path.starts_with(line));
    let port = path
        .strip_prefix("COM")
        .is_some_and(|n| n.parse::<u8>().is_ok_and(|n| n > 0));
    if path.len() > 200 || !(port || line && named(path)) {
        return Err("a serial line: `/dev/tty…`, `/dev/serial/by-id/…` or `COM3`");
    }
    Ok(Address::Serial {
        path: path.to_owned(),
        baud,
    })
}

impl fmt::Display for Address {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Tcp { host, port } if host.contains(':') => write!(f, "tcp://[{host}]:{port}"),
            Self::Tcp { host, port } => write!(f, "tcp://{host}:{port}"),
            Self::Serial { path, baud } => write!(f, "serial:{path}?baud={baud}"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_address_is_read_and_written_alike() {
        for (text, whole) in [
            ("tcp://192.0.2.7:5025", "tcp://192.0.2.7:5025"),
            ("tcp://bench-meter", "tcp://bench-meter:5025"),
            ("tcp://[2001:db8::7]:5555", "tcp://[2001:db8::7]:5555"),
            ("serial:/dev/ttyUSB0", "serial:/dev/ttyUSB0?baud=9600"),
            (
                "serial:/dev/serial/by-id/usb-x?baud=115200",
                "serial:/dev/serial/by-id/usb-x?baud=115200",
            ),
            ("serial:COM3?baud=19200", "serial:COM3?baud=19200"),
        ] {
            let address: Address = text.parse().unwrap();
            assert_eq!(address.to_string(), whole);
            assert_eq!(whole.parse::<Address>().unwrap(), address);
        }
    }

    #[test]
    fn whatever_else_is_refused_by_what_it_lacks() {
        for (text, expected) in [
            ("", "`tcp://"),
            ("http://192.0.2.7", "`tcp://"),
            ("tcp://", "name or number"),
            ("tcp://a b:5025", "name or number"),
            ("tcp://meter:0", "a port"),
            ("tcp://meter:65536", "a port"),
            ("tcp://[2001:db8::7", "version 6"),
            ("serial:/dev/sda", "a serial line"),
            ("serial:/dev/tty", "a serial line"),
            ("serial:/dev/tty/../sda", "a serial line"),
            ("serial:/etc/passwd", "a serial line"),
            ("serial:COM0", "a serial line"),
            ("serial:/dev/ttyUSB0?baud=12", "a rate"),
            ("serial:/dev/ttyUSB0?parity=even", "a rate"),
        ] {
            let error = text.parse::<Address>().unwrap_err();
            assert!(error.expected.contains(expected), "{text}: {error}");
            assert_eq!(error.found, text);
        }
    }
}
