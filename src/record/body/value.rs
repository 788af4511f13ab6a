//! A value: a quantity with its unit and its value in SI, a text, or yes and no.

use super::form::{Form, Unfit, pair};
use crate::calc;
use crate::quantity::{Quantity, Unit};
use serde::{Deserialize, Serialize};

/// The share by which `si` may differ from what this program works out from `value` and `unit`.
///
/// The sizes of wire gauges are powers, whose last digit differs between machines.
const SI_TOLERANCE: f64 = 1e-12;

/// `{"value", "unit", "si"}`.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Amount {
    value: f64,
    unit: String,
    si: f64,
}

/// `{"value", "unit", "si"}`, `{"text"}` or `{"flag"}`.
#[derive(Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Value {
    #[serde(skip_serializing_if = "Option::is_none")]
    value: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    unit: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    si: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    text: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    flag: Option<bool>,
}

pair! {
    /// A value with its name. A list of these keeps an order that objects do not promise.
    Named { name: String as String, is: Value as calc::Value }
}

impl Form<Quantity> for Amount {
    fn form(part: &Quantity) -> Self {
        Self {
            value: part.value(),
            unit: part.unit().symbol().to_owned(),
            si: part.si(),
        }
    }

    fn part(self) -> Result<Quantity, Unfit> {
        let unit = Unit::find(&self.unit).filter(|unit| unit.symbol() == self.unit);
        let unit = unit.ok_or_else(|| Unfit(format!("`{}` is not the symbol of a unit", self.unit)))?;
        let quantity = Quantity::new(self.value, unit).map_err(|error| Unfit(error.to_string()))?;
        let (si, found) = (quantity.si(), self.si);
        if (si - found).abs() > si.abs().max(found.abs()) * SI_TOLERANCE {
            return Err(Unfit(format!("{quantity} is {si} in SI, but `si` says {found}")));
        }
        Ok(quantity)
    }
}

impl Form<calc::Value> for Value {
    fn form(part: &calc::Value) -> Self {
        match part {
            calc::Value::Quantity(quantity) => {
                let Amount { value, unit, si } = Amount::form(quantity);
                Self {
                    value: Some(value),
                    unit: Some(unit),
                    si: Some(si),
                    ..Self::default()
                }
            }
            calc::Value::Text(text) => Self {
                text: Some(text.clone()),
                ..Self::default()
            },
            calc::Value::Flag(flag) => Self {
                flag: Some(*flag),
                ..Self::default()
            },
        }
    }

    fn part(self) -> Result<calc::Value, Unfit> {
        match self {
            Self {
                value: Some(value),
                unit: Some(unit),
                si: Some(si),
                text: None,
                flag: None,
            } => Ok(calc::Value::Quantity(Amount { value, unit, si }.part()?)),
            Self {
                value: None,
                unit: None,
                si: None,
                text: Some(text),
                flag: None,
            } => Ok(calc::Value::Text(text)),
            Self {
                value: None,
                unit: None,
                si: None,
                text: None,
                flag: Some(flag),
            } => Ok(calc::Value::Flag(flag)),
            _ => Err(Unfit(
                "a value is value, unit and si together, or text alone, or flag alone".into(),
            )),
        }
    }
}
