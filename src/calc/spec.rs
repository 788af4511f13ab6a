//! What a calculator says about itself. Range check, form, help, linter and certificate read it.
use crate::quantity::{Quantity, Unit};
use crate::say;
use crate::table::Mark;
use crate::words::Words;

/// The single truth about one calculator.
#[derive(Debug)]
pub struct Spec {
    /// Fixed for ever: content and records name it.
    pub id: &'static str,
    /// Rises whenever the same inputs would give another output.
    pub revision: u32,
    pub title: &'static str,
    /// The equation as text.
    pub equation: &'static str,
    pub inputs: &'static [InputSpec],
    pub outputs: &'static [OutputSpec],
    pub assumptions: &'static [&'static str],
    pub sources: &'static [Source],
    /// Inputs as typed, for help texts and for tests.
    pub example: &'static [(&'static str, &'static str)],
}

impl Spec {
    /// The input of this name.
    pub fn input(&self, name: &str) -> Option<&'static InputSpec> {
        self.inputs.iter().find(|input| input.name == name)
    }

    /// The output of this name.
    pub fn output(&self, name: &str) -> Option<&'static OutputSpec> {
        self.outputs.iter().find(|output| output.name == name)
    }

    /// The output's label; the name itself where an old record has one that is no more.
    pub fn output_label(&self, name: &str) -> String {
        self.output(name).map_or(name, |output| output.label).to_string()
    }

    /// The input's label; the name itself where an old record has one that is no more.
    pub fn input_label(&self, name: &str) -> String {
        self.input(name).map_or(name, |input| input.label).to_string()
    }
}

/// One input.
#[derive(Debug)]
pub struct InputSpec {
    pub name: &'static str,
    /// The short name that a person reads, in sentence case.
    pub label: &'static str,
    /// The letter that the equation uses.
    pub symbol: &'static str,
    pub about: &'static str,
    pub kind: InputKind,
    pub need: Need,
}

impl InputSpec {
    pub(super) const fn new(
        name: &'static str,
        label: &'static str,
        symbol: &'static str,
        about: &'static str,
        kind: InputKind,
        need: Need,
    ) -> InputSpec {
        InputSpec {
            name,
            label,
            symbol,
            about,
            kind,
            need,
        }
    }

    /// A quantity within a range.
    pub(super) const fn number(
        name: &'static str,
        label: &'static str,
        symbol: &'static str,
        about: &'static str,
        range: Range,
        need: Need,
    ) -> InputSpec {
        InputSpec::new(name, label, symbol, about, InputKind::Number(range), need)
    }

    /// One of some words.
    pub(super) const fn choice(
        name: &'static str,
        label: &'static str,
        about: &'static str,
        options: &'static [&'static str],
        need: Need,
    ) -> InputSpec {
        InputSpec::new(name, label, "", about, InputKind::Choice(options), need)
    }

    /// The value taken when nothing is given, as it would be typed.
    pub fn default(&self) -> Option<&'static str> {
        match self.need {
            Need::Default(text) => Some(text),
            Need::Required | Need::Optional => None,
        }
    }
}

/// Whether an input may be left out.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Need {
    Required,
    /// Left out means that it is not there; the calculator says what it then does.
    Optional,
    /// Left out means this value, which the outcome lists like a given one.
    Default(&'static str),
}

/// What may be given for an input.
#[derive(Clone, Copy, Debug)]
pub enum InputKind {
    /// A quantity in any unit of the dimension of `range.unit`, which a bare number takes.
    Number(Range),
    /// A quantity of either of two dimensions; a bare number takes the first one's unit.
    Either(Range, Range),
    /// A quantity, or one of some words.
    NumberOrChoice(Range, &'static [&'static str]),
    /// One of some words.
    Choice(&'static [&'static str]),
    /// Yes or no.
    Flag,
    /// Any quantity with its unit.
    AnyQuantity,
    /// The symbol of a unit.
    UnitSymbol,
}

impl InputKind {
    /// The ranges that a quantity may lie in: one per dimension, none where every quantity or none is good.
    pub fn ranges(&self) -> Vec<&Range> {
        match self {
            InputKind::Number(range) | InputKind::NumberOrChoice(range, _) => vec![range],
            InputKind::Either(first, second) => vec![first, second],
            InputKind::Choice(_) | InputKind::Flag | InputKind::AnyQuantity | InputKind::UnitSymbol => vec![],
        }
    }

    /// The legal words, empty where there are none.
    pub fn options(&self) -> &'static [&'static str] {
        match self {
            InputKind::Choice(options) | InputKind::NumberOrChoice(_, options) => options,
            InputKind::Flag => &["yes", "no"],
            _ => &[],
        }
    }
}

/// A closed range, and whose range it is. For the wire gauge the least comes first as the thinnest wire.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Range {
    pub unit: &'static str,
    pub min: f64,
    pub max: f64,
    /// Where the range comes from.
    pub range_from: &'static str,
}

impl Range {
    pub(super) const fn new(unit: &'static str, min: f64, max: f64, range_from: &'static str) -> Range {
        Range {
            unit,
            min,
            max,
            range_from,
        }
    }

    /// The unit that a bare number takes.
    ///
    /// # Panics
    /// Never for a shipped calculator: a test looks up the unit of every one.
    pub fn unit(&self) -> Unit {
        Unit::find(self.unit).unwrap_or_else(|| panic!("a calculator names no such unit as {}", self.unit))
    }

    /// Whether the quantity lies in the range, its ends included. In the unit of the range itself the
    /// comparison is exact; from another unit an end may be missed by rounding alone, which is forgiven.
    pub fn holds(&self, quantity: Quantity) -> bool {
        let unit = self.unit();
        if quantity.unit() == unit {
            let (low, high) = (self.min.min(self.max), self.min.max(self.max));
            return (low..=high).contains(&quantity.value());
        }
        let end = |value| Quantity::new(value, unit).map(Quantity::si);
        let (Ok(low), Ok(high)) = (end(self.min), end(self.max)) else {
            return false;
        };
        let slack = 1e-12 * low.abs().max(high.abs());
        (low - slack..=high + slack).contains(&quantity.si())
    }

    /// Both ends as they are told, e.g. `0 °C` and `60 °C`.
    pub fn ends(&self) -> (String, String) {
        let end = |value| Quantity::new(value, self.unit()).map_or(String::new(), |end| end.to_string());
        (end(self.min), end(self.max))
    }

    /// `from 0 °C to 60 °C`.
    pub fn in_words(&self) -> String {
        self.say(&Words::english())
    }

    /// The same in a language.
    pub fn say(&self, words: &Words) -> String {
        let (low, high) = self.ends();
        say!(words, "from {low} to {high}", low = low, high = high)
    }
}

/// One output.
#[derive(Debug)]
pub struct OutputSpec {
    pub name: &'static str,
    /// The short name that a person reads, in sentence case.
    pub label: &'static str,
    pub symbol: &'static str,
    pub about: &'static str,
    pub kind: OutputKind,
}

/// What an output is.
#[derive(Clone, Copy, Debug)]
pub enum OutputKind {
    /// A quantity, always in this unit.
    Quantity(&'static str),
    /// A quantity in the unit that an input names.
    InWantedUnit,
    /// Yes or no.
    Flag,
    /// One of these words and no other.
    Words(&'static [&'static str]),
    /// A text that a table or the figures make: to be read, never to be judged.
    Text,
}

impl OutputSpec {
    const fn of(
        name: &'static str,
        label: &'static str,
        symbol: &'static str,
        about: &'static str,
        kind: OutputKind,
    ) -> OutputSpec {
        OutputSpec {
            name,
            label,
            symbol,
            about,
            kind,
        }
    }

    /// A quantity, given in `unit`.
    pub(super) const fn new(
        name: &'static str,
        label: &'static str,
        symbol: &'static str,
        about: &'static str,
        unit: &'static str,
    ) -> OutputSpec {
        OutputSpec::of(name, label, symbol, about, OutputKind::Quantity(unit))
    }

    /// One of `words`.
    pub(super) const fn words(
        name: &'static str,
        label: &'static str,
        about: &'static str,
        words: &'static [&'static str],
    ) -> OutputSpec {
        OutputSpec::of(name, label, "", about, OutputKind::Words(words))
    }

    /// Yes or no.
    pub(super) const fn flag(name: &'static str, label: &'static str, about: &'static str) -> OutputSpec {
        OutputSpec::of(name, label, "", about, OutputKind::Flag)
    }

    /// A text to be read.
    pub(super) const fn text(name: &'static str, label: &'static str, about: &'static str) -> OutputSpec {
        OutputSpec::of(name, label, "", about, OutputKind::Text)
    }

    /// The unit it is given in; none for words, for yes or no, and where an input names the unit.
    pub fn unit(&self) -> Option<&'static str> {
        match self.kind {
            OutputKind::Quantity(unit) => Some(unit),
            _ => None,
        }
    }

    /// Every word that it may give, `yes` and `no` for a flag; empty where words are not its kind or not closed.
    pub fn legal_words(&self) -> &'static [&'static str] {
        match self.kind {
            OutputKind::Words(words) => words,
            OutputKind::Flag => &["yes", "no"],
            _ => &[],
        }
    }
}

/// Where a rule or a figure stands.
#[derive(Clone, Copy, Debug)]
pub struct Source {
    pub key: &'static str,
    /// Table, paragraph or page.
    pub locator: &'static str,
    pub mark: Mark,
}

impl Source {
    pub(super) const fn new(key: &'static str, locator: &'static str, mark: Mark) -> Source {
        Source { key, locator, mark }
    }
}
