//! What may conduct in a setting, and when.
use super::netlist::{Kind, Netlist, Part, Relay, Terminal};
use super::setting::{Condition, SHORT_OHM};

/// When a branch conducts: always, while the relay of this number is so, while the diode of this number does.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) enum When {
    Always,
    Pulled(usize),
    Released(usize),
    Conducting(usize),
}

/// Where the current of a branch is counted.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Role {
    Body,
    /// Across a shorted part, beside its body.
    Bridge,
    Contact,
}

/// A resistance between two nodes with a rise of `emf_v` from the first to the second.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) struct Branch {
    pub part: usize,
    pub role: Role,
    pub when: When,
    pub from: usize,
    pub to: usize,
    pub ohm: f64,
    pub emf_v: f64,
}

/// A coil, whose branch decides the relay; none where it is open or not wired.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) struct Coil {
    pub part: usize,
    pub branch: Option<usize>,
    pub relay: Relay,
    pub pulled_before: bool,
}

/// A diode's branch.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) struct Valve {
    pub part: usize,
    pub branch: usize,
}

/// All branches, with the coils and diodes among them.
#[derive(Clone, PartialEq, Debug, Default)]
pub(super) struct Layout {
    pub branches: Vec<Branch>,
    pub coils: Vec<Coil>,
    pub valves: Vec<Valve>,
    /// The parts that are voltmeters.
    pub meters: Vec<usize>,
}

impl Layout {
    pub fn of(netlist: &Netlist, conditions: &[Condition]) -> Layout {
        let mut layout = Layout::default();
        for (at, (part, condition)) in netlist.parts.iter().zip(conditions).enumerate() {
            layout.body(at, part, condition);
            match part.kind {
                Kind::Relay(relay) => layout.contacts(at, relay, condition),
                Kind::Meter(_) => layout.meters.push(at),
                _ => {}
            }
        }
        layout
    }

    /// Between the two ends of a part, or through a relay's coil; and the bridge beside it.
    fn body(&mut self, at: usize, part: &Part, condition: &Condition) {
        let [Some(from), Some(to), ..] = condition.joins else {
            return;
        };
        let branch = Branch {
            part: at,
            role: Role::Body,
            when: When::Always,
            from,
            to,
            ohm: part.kind.ohm() + condition.added_ohm,
            emf_v: 0.0,
        };
        if condition.bridged {
            let (role, ohm) = (Role::Bridge, SHORT_OHM);
            self.branches.push(Branch { role, ohm, ..branch });
        }
        let switched_off = matches!(part.kind, Kind::Switch(_)) && !condition.on && !condition.welded;
        if !condition.open && !switched_off {
            let branch = self.of_kind(part.kind, branch);
            self.branches.push(branch);
        }
    }

    /// A source drives from its second end, minus, to its first; a diode's drop stands against its current.
    fn of_kind(&mut self, kind: Kind, branch: Branch) -> Branch {
        match kind {
            Kind::Source(source) => Branch {
                emf_v: -source.emf_v,
                ..branch
            },
            Kind::Diode(diode) => {
                self.valves.push(Valve {
                    part: branch.part,
                    branch: self.branches.len(),
                });
                let when = When::Conducting(self.valves.len() - 1);
                let emf_v = -diode.forward_v;
                Branch {
                    when,
                    emf_v,
                    ..branch
                }
            }
            _ => branch,
        }
    }

    /// A welded contact keeps the armature from the resting one.
    fn contacts(&mut self, at: usize, relay: Relay, condition: &Condition) {
        let wired = condition.joins[0].is_some() && condition.joins[1].is_some();
        self.coils.push(Coil {
            part: at,
            branch: (wired && !condition.open).then(|| self.branches.len().saturating_sub(1)),
            relay,
            pulled_before: condition.on,
        });
        let number = self.coils.len() - 1;
        if condition.welded {
            self.contact(at, relay, condition, Terminal::T87, When::Always);
        } else {
            self.contact(at, relay, condition, Terminal::T87, When::Pulled(number));
            self.contact(at, relay, condition, Terminal::T87a, When::Released(number));
        }
    }

    fn contact(&mut self, at: usize, relay: Relay, condition: &Condition, to: Terminal, when: When) {
        let joins = condition.joins;
        if let (Some(from), Some(to)) = (joins[Terminal::T30 as usize], joins[to as usize]) {
            self.branches.push(Branch {
                part: at,
                role: Role::Contact,
                when,
                from,
                to,
                ohm: relay.contact_ohm,
                emf_v: 0.0,
            });
        }
    }
}
