//! Layouts: the parts that carry petrol or nitrous oxide, and what is joined to what.

use super::drawing::{Member, Pointed, View};
use super::drawn::drawn;
use super::model::{Condition, Reference, Text};
use crate::diagnostic::Place;
use std::collections::{BTreeMap, BTreeSet};

/// The parts of one side with their nodes, and the views in which they are drawn.
#[derive(Clone, Debug)]
pub struct Layout {
    pub id: String,
    pub title: String,
    pub revision: u32,
    pub parts: Vec<Fitting>,
    pub views: BTreeMap<String, View>,
    pub place: Place,
}

/// A part of a layout.
#[derive(Clone, Debug)]
pub struct Fitting {
    pub name: String,
    pub kind: FittingKind,
    /// The node at each end.
    pub joins: Vec<(&'static str, String)>,
    pub label: Option<Text>,
    /// A value that stands beside it, such as a jet's bore.
    pub shows: Option<Reference>,
    /// Fitted for a test alone: it is there only in a view that seats it.
    pub test: bool,
    pub when: Condition,
    pub place: Place,
}

impl Layout {
    /// The part of this name.
    #[must_use]
    pub fn part(&self, name: &str) -> Option<&Fitting> {
        self.parts.iter().find(|part| part.name == name)
    }

    /// Every node, once.
    #[must_use]
    pub fn nodes(&self) -> Vec<&str> {
        let mut nodes = Vec::new();
        for (_, node) in self.parts.iter().flat_map(|part| &part.joins) {
            if !nodes.contains(&node.as_str()) {
                nodes.push(node);
            }
        }
        nodes
    }
}

impl Fitting {
    /// The part as far as it matters what is drawn.
    #[must_use]
    pub fn member(&self) -> Member<'_> {
        Member {
            name: &self.name,
            nodes: self.joins.iter().map(|(_, node)| node.as_str()).collect(),
            is_line: self.kind.is_line(),
        }
    }
}

/// What a part of a layout is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FittingKind {
    Tank,
    Bottle,
    Pump,
    Check,
    Filter,
    Rail,
    Regulator,
    /// A tap with flares, with a quick connector's ends, or between two ends of a hose.
    FlareTap,
    QuickTap,
    HoseTap,
    PressureSwitch,
    Gauge,
    Plug,
    Valve,
    Solenoid,
    Jet,
    /// A relief disc, which bursts before its vessel does; whole, it lets nothing through.
    Disc,
    Nozzle,
    /// A port of the engine's intake.
    Intake,
    /// An end that leads into the open air.
    Vent,
    Can,
    Line,
    /// A hose or a tube that clamps hold at both ends.
    Hose,
    Tube,
}

impl FittingKind {
    /// By its word.
    pub const ALL: [(&'static str, Self); 24] = [
        ("tank", Self::Tank),
        ("bottle", Self::Bottle),
        ("pump", Self::Pump),
        ("check", Self::Check),
        ("filter", Self::Filter),
        ("rail", Self::Rail),
        ("regulator", Self::Regulator),
        ("flare_tap", Self::FlareTap),
        ("quick_tap", Self::QuickTap),
        ("hose_tap", Self::HoseTap),
        ("pressure_switch", Self::PressureSwitch),
        ("gauge", Self::Gauge),
        ("plug", Self::Plug),
        ("valve", Self::Valve),
        ("solenoid", Self::Solenoid),
        ("jet", Self::Jet),
        ("disc", Self::Disc),
        ("nozzle", Self::Nozzle),
        ("intake", Self::Intake),
        ("vent", Self::Vent),
        ("can", Self::Can),
        ("line", Self::Line),
        ("hose", Self::Hose),
        ("tube", Self::Tube),
    ];

    /// The word that it is written with.
    #[must_use]
    pub fn word(self) -> &'static str {
        let found = Self::ALL.iter().find(|(_, kind)| *kind == self);
        found.map_or("", |(word, _)| word)
    }

    /// The ends that it always has, then those that may be left out, in the order of its pins.
    #[must_use]
    pub fn ends(self) -> (&'static [&'static str], &'static [&'static str]) {
        match self {
            Self::Tank => (&["to"], &["back"]),
            Self::Bottle => (&["to"], &[]),
            Self::Regulator => (&["from", "to"], &["reference"]),
            Self::FlareTap | Self::QuickTap | Self::HoseTap => (&["from", "to", "branch"], &["spare"]),
            Self::PressureSwitch | Self::Gauge | Self::Plug => (&["from"], &[]),
            Self::Nozzle | Self::Intake | Self::Vent | Self::Can => (&["from"], &[]),
            _ => (&["from", "to"], &[]),
        }
    }

    /// Whether it is drawn as a line between two nodes.
    #[must_use]
    pub fn is_line(self) -> bool {
        matches!(self, Self::Line | Self::Hose | Self::Tube)
    }

    /// Whether clamps hold its ends.
    #[must_use]
    pub fn is_clamped(self) -> bool {
        matches!(self, Self::Hose | Self::Tube)
    }

    /// Whether it can be open or shut.
    #[must_use]
    pub fn opens(self) -> bool {
        matches!(self, Self::Valve | Self::Solenoid)
    }

    /// Whether a figure has room beside it.
    #[must_use]
    pub fn has_room(self) -> bool {
        !matches!(self, Self::FlareTap | Self::QuickTap | Self::HoseTap | Self::Tank)
    }
}

/// What a step's diagram shows of a layout.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Setup {
    pub layout: String,
    /// The view; without one the whole layout is drawn, less what is fitted for tests.
    pub view: Option<String>,
    /// Valves that are open; all others are shut.
    pub open: Vec<String>,
    /// Parts that are taken off.
    pub out: Vec<String>,
    /// The parts that pressure comes from; not said, nothing is told to be under pressure.
    pub pressure: Option<Vec<String>>,
    /// What the numbers stand for, from 1.
    pub points: Vec<Pointed>,
}

impl Setup {
    /// The seats of the view, if one is named.
    #[must_use]
    pub fn seats<'a>(&self, layout: &'a Layout) -> Option<&'a View> {
        layout.views.get(self.view.as_ref()?)
    }

    /// The parts that are there: those that apply, and of those for tests the ones that the view draws.
    #[must_use]
    pub fn there<'a>(&self, layout: &'a Layout, holds: &dyn Fn(&Condition) -> bool) -> Vec<&'a Fitting> {
        let drawn = self.names(layout, holds);
        let applying = layout.parts.iter().filter(|part| holds(&part.when));
        applying
            .filter(|part| !part.test || drawn.contains(part.name.as_str()))
            .collect()
    }

    /// The parts that are drawn.
    #[must_use]
    pub fn parts<'a>(&self, layout: &'a Layout, holds: &dyn Fn(&Condition) -> bool) -> Vec<&'a Fitting> {
        let drawn = self.names(layout, holds);
        let mut parts = self.there(layout, holds);
        parts.retain(|part| drawn.contains(part.name.as_str()));
        parts
    }

    fn names<'a>(&self, layout: &'a Layout, holds: &dyn Fn(&Condition) -> bool) -> BTreeSet<&'a str> {
        let seats = self.seats(layout);
        let applying = layout.parts.iter().filter(|part| holds(&part.when));
        let members: Vec<Member> = applying
            .filter(|part| seats.is_some() || !part.test)
            .map(Fitting::member)
            .collect();
        drawn(&members, seats, &|name| layout.part(name).is_some())
    }

    /// What the numbers point at on this car, each with its place in [`Self::points`].
    pub fn points_on<'a>(
        &'a self,
        layout: &'a Layout,
        holds: &dyn Fn(&Condition) -> bool,
    ) -> impl Iterator<Item = (usize, &'a Pointed)> {
        let drawn = self.names(layout, holds);
        let points = self.points.iter().enumerate();
        points.filter(move |(_, pointed)| drawn.contains(pointed.name()))
    }

    /// All that is shown of the layout, by the keys of the step.
    pub(super) fn said(&self) -> Vec<(&'static str, String)> {
        let mut said: Vec<(&str, String)> = Vec::new();
        said.extend(self.view.iter().map(|view| ("view", view.clone())));
        let lists = [("open", &self.open), ("out", &self.out)];
        let told = lists.iter().filter(|(_, names)| !names.is_empty());
        said.extend(told.map(|(key, names)| (*key, names.join(","))));
        said.extend(self.pressure.iter().map(|from| ("pressure", from.join(","))));
        let points = self.points.iter();
        said.extend(points.map(|pointed| (pointed.key(), pointed.name().to_owned())));
        said
    }
}
