//! An axis with ticks at 1, 2 or 5 times a power of ten, or at named places.

/// How values lie along an axis.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Scale {
    Even,
    /// By powers of ten.
    Powers,
    /// Places with names and no numbers between them.
    Places,
}

/// A place of an axis with what stands beside it.
#[derive(Clone, Debug, PartialEq)]
pub struct Tick {
    pub at: f64,
    pub text: String,
}

/// An axis; its numbers are in `unit`.
#[derive(Clone, Debug, PartialEq)]
pub struct Axis {
    pub label: String,
    /// Empty where there is none.
    pub unit: &'static str,
    pub scale: Scale,
    pub from: f64,
    pub to: f64,
    pub ticks: Vec<Tick>,
}

/// About how many steps an even axis is given.
const STEPS: f64 = 6.0;

impl Axis {
    /// An even axis that holds both ends and begins and stops at a tick.
    pub(super) fn even(label: &str, unit: &'static str, low: f64, high: f64) -> Self {
        let size = low.abs().max(high.abs());
        let apart = high - low > size * 1e-9 && high - low > 1e-9;
        let width = if apart {
            high - low
        } else {
            (size * 1e-3).max(1e-3)
        };
        let step = step(width / STEPS);
        let (first, last) = ((low / step + 1e-9).floor(), (high / step - 1e-9).ceil());
        let last = last.max(first + 1.0);
        let count = (last - first).min(40.0) as usize;
        let at = |number: usize| (first + number as f64) * step;
        let ticks = (0..=count).map(|number| Tick {
            at: at(number),
            text: spelled(at(number), step),
        });
        Self {
            label: label.to_owned(),
            unit,
            scale: Scale::Even,
            from: first * step,
            to: last * step,
            ticks: ticks.collect(),
        }
    }

    /// An axis of powers that holds both ends, which are above zero, with ticks at 1, 2 and 5.
    pub(super) fn powers(label: &str, unit: &'static str, low: f64, high: f64) -> Self {
        let (low, high) = (low.max(1e-12), high.max(low.max(1e-12) * 2.0));
        let decades = (high / low).log10();
        let marks: &[f64] = if decades < 2.2 { &[1.0, 2.0, 5.0] } else { &[1.0] };
        let first = low.log10().floor() as i32;
        let last = high.log10().ceil() as i32;
        let all: Vec<f64> = (first..=last)
            .flat_map(|power| marks.iter().map(move |mark| mark * 10f64.powi(power)))
            .collect();
        let from = all
            .iter()
            .rev()
            .find(|at| **at <= low * (1.0 + 1e-9))
            .copied()
            .unwrap_or(low);
        let to = all
            .iter()
            .find(|at| **at >= high * (1.0 - 1e-9))
            .copied()
            .unwrap_or(high);
        let inside = all.into_iter().filter(|at| (from..=to).contains(at));
        // Where there are many decades every other one is numbered.
        let each = if decades > 5.0 { 2 } else { 1 };
        let ticks = inside.step_by(each).map(|at| Tick {
            at,
            text: spelled(at, at),
        });
        Self {
            label: label.to_owned(),
            unit,
            scale: Scale::Powers,
            from,
            to,
            ticks: ticks.collect(),
        }
    }

    /// An axis of named places.
    pub(super) fn places(label: &str, from: f64, to: f64, ticks: Vec<Tick>) -> Self {
        Self {
            label: label.to_owned(),
            unit: "",
            scale: Scale::Places,
            from,
            to,
            ticks,
        }
    }

    /// Label and unit, as they stand at the axis.
    #[must_use]
    pub fn title(&self) -> String {
        match (self.label.is_empty(), self.unit.is_empty()) {
            (true, _) => self.unit.to_owned(),
            (false, true) => self.label.clone(),
            (false, false) => format!("{}, {}", self.label, self.unit),
        }
    }

    /// Where a value stands: 0 at the start, 1 at the end.
    #[must_use]
    pub fn place(&self, value: f64) -> f64 {
        match self.scale {
            Scale::Powers => {
                let at = (value.max(f64::MIN_POSITIVE) / self.from).ln();
                at / (self.to / self.from).ln()
            }
            Scale::Even | Scale::Places => (value - self.from) / (self.to - self.from),
        }
    }

    /// Whether the value stands on the axis.
    #[must_use]
    pub fn holds(&self, value: f64) -> bool {
        let slack = 1e-9;
        value.is_finite() && (-slack..=1.0 + slack).contains(&self.place(value))
    }

    /// The nearest value on the axis.
    pub(super) fn within(&self, value: f64) -> f64 {
        value.clamp(self.from, self.to)
    }

    pub(super) fn sound(&self) -> bool {
        let ordered = self.from.is_finite() && self.to.is_finite() && self.from < self.to;
        ordered
            && (self.scale != Scale::Powers || self.from > 0.0)
            && self.ticks.iter().all(|tick| self.holds(tick.at))
    }
}

/// The next of 1, 2 or 5 times a power of ten.
fn step(rough: f64) -> f64 {
    let magnitude = 10f64.powf(rough.log10().floor());
    let steps = [1.0, 2.0, 5.0, 10.0].into_iter().map(|times| times * magnitude);
    steps
        .into_iter()
        .find(|step| *step >= rough * (1.0 - 1e-9))
        .unwrap_or(magnitude * 10.0)
}

/// A tick's number with the decimals that its step needs.
fn spelled(at: f64, step: f64) -> String {
    let decimals = (-(step.abs().log10() + 1e-9).floor()).clamp(0.0, 12.0) as usize;
    let number = format!("{at:.decimals$}");
    if number.trim_start_matches(['-', '0', '.']).is_empty() {
        return "0".to_owned();
    }
    number
}
