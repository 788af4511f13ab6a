//! Who a meter says that it is.

use super::ReplyError;

/// The four fields of the reply to `*IDN?` (IEEE 488.2).
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Identity {
    /// The reply as it came.
    pub raw: String,
    pub maker: String,
    pub model: String,
    /// `0` where the meter has none.
    pub serial: String,
    /// `0` where the meter has none.
    pub firmware: String,
}

impl Identity {
    /// Reads the reply.
    ///
    /// # Errors
    /// It has not exactly four fields with commas between them, or no maker or model.
    pub fn read(reply: &str) -> Result<Self, ReplyError> {
        let fields: Vec<&str> = reply.split(',').map(str::trim).collect();
        match fields[..] {
            [maker, model, serial, firmware] if !maker.is_empty() && !model.is_empty() => Ok(Self {
                raw: reply.to_owned(),
                maker: maker.to_owned(),
                model: model.to_owned(),
                serial: serial.to_owned(),
                firmware: firmware.to_owned(),
            }),
            _ => Err(ReplyError::Identity {
                found: reply.to_owned(),
            }),
        }
    }

    /// Whether the meter is the one with this serial number, as the register writes it.
    #[must_use]
    pub fn is(&self, serial: &str) -> bool {
        self.serial.eq_ignore_ascii_case(serial.trim())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn four_fields_make_an_identity() {
        let identity = Identity::read("Sample Works, DM-4, VM-0093 ,1.02").unwrap();
        assert_eq!(identity.maker, "Sample Works");
        assert_eq!(identity.model, "DM-4");
        assert!(identity.is("vm-0093"));
        assert!(!identity.is("VM-0094"));
        for reply in ["", "DM-4", "a,b,c", "a,b,c,d,e", ",DM-4,1,1", "+1.2E+01"] {
            assert!(Identity::read(reply).is_err(), "{reply}");
        }
    }
}
