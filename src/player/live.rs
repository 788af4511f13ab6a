//! A value that an instrument itself gave: its raw reply is read again, and who it says that it is, before it is
//! believed.

use super::fact::Live;
use super::refusal::Refusal;
use crate::calc::Value;
use crate::procedure::{Instrument, MeterLine};
use crate::quantity::{Quantity, Unit};
use crate::say;
use crate::scpi::{Identity, number};
use crate::words::Words;

/// Whether the instrument of the register said this value.
///
/// # Errors
/// It cannot have: it is another one, has no line, or was asked something else; or its reply is another value.
pub(super) fn confirm(
    said: &Live,
    instrument: Option<&Instrument>,
    value: &Value,
    label: &str,
    words: &Words,
) -> Result<(), Refusal> {
    let other = |why: String| Refusal::Reply {
        label: label.to_owned(),
        why,
    };
    let Some(instrument) = instrument else {
        let why = words.say("it is taken with no instrument, so none can have sent it");
        return Err(other(why.to_owned()));
    };
    let unfit = |why: String| Refusal::Instrument {
        instrument: instrument.name.clone(),
        why,
    };
    let no_line = || words.say("the register has no line to it, so it cannot have sent a value");
    let line = instrument
        .meter
        .as_ref()
        .ok_or_else(|| unfit(no_line().to_owned()))?;
    identified(said, instrument, words).map_err(unfit)?;
    let unit = unit_of(said, line, words).map_err(unfit)?;
    let sent = sent(said, unit, words).map_err(other)?;
    if *value == Value::Quantity(sent) {
        return Ok(());
    }
    Err(other(say!(
        words,
        "the meter replied “{reply}”, which is {value}, not what is claimed",
        reply = said.reply,
        value = sent
    )))
}

/// The meter that answered is the one of the register.
fn identified(said: &Live, instrument: &Instrument, words: &Words) -> Result<(), String> {
    let identity = Some(&said.identity).filter(|text| Live::may_say(text));
    match identity.and_then(|text| Identity::read(text).ok()) {
        Some(identity) if identity.is(&instrument.serial) => Ok(()),
        Some(identity) => Err(say!(
            words,
            "the meter on its line has the serial number {found}, the register says {expected}",
            found = identity.serial,
            expected = instrument.serial
        )),
        None => Err(say!(
            words,
            "the meter on its line did not say who it is, but “{found}”",
            found = said.identity.escape_default()
        )),
    }
}

/// The unit in which the register says that this question is answered.
fn unit_of(said: &Live, line: &MeterLine, words: &Words) -> Result<Unit, String> {
    let found = line.asks.iter().find(|(_, query)| query.as_str() == said.asked);
    let unknown = || {
        say!(
            words,
            "the register has no question “{asked}” to it",
            asked = said.asked.escape_default()
        )
    };
    found.map(|(unit, _)| *unit).ok_or_else(unknown)
}

fn sent(said: &Live, unit: Unit, words: &Words) -> Result<Quantity, String> {
    let reply = Some(&said.reply).filter(|text| Live::may_say(text));
    let value = reply.and_then(|reply| number(reply).ok());
    let no_value = || {
        say!(
            words,
            "the meter replied “{reply}”, which is no value",
            reply = said.reply.escape_default()
        )
    };
    value
        .and_then(|value| Quantity::new(value, unit).ok())
        .ok_or_else(no_value)
}
