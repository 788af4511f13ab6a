//! What a screen reader is told of each page: every control is what it is, has a name, says how it stands, and
//! belongs to a group of its kind.

use crate::hand::Hand;
use crate::targets::on_every_page;
use i_slint_backend_testing::AccessibleRole as Role;
use slint::ComponentHandle;
use slint::private_unstable_api::re_exports as inner;
use slint::private_unstable_api::re_exports::AccessibleStringProperty as Property;
use std::cell::RefCell;
use std::collections::BTreeSet;

/// An element of the tree that a screen reader walks.
#[derive(Clone)]
struct Told {
    role: Role,
    item: inner::ItemRc,
}

impl Told {
    fn says(&self, property: Property) -> Option<String> {
        self.item
            .accessible_string_property(property)
            .map(|said| said.to_string())
    }

    fn is(&self, property: Property) -> bool {
        self.says(property).as_deref() == Some("true")
    }

    fn number(&self, property: Property) -> Option<f32> {
        self.says(property)?.parse().ok()
    }

    fn name(&self) -> String {
        self.says(Property::Label).unwrap_or_default().trim().to_owned()
    }

    /// What is missing of what belongs to its role.
    fn lacks(&self, around: &[Told]) -> Option<String> {
        let group = |role| around.iter().rev().find(|one| one.role == role);
        let lack = match self.role {
            Role::RadioButton if group(Role::RadioGroup).is_none_or(|it| it.name().is_empty()) => "a group",
            Role::Tab if group(Role::TabList).is_none_or(|it| it.name().is_empty()) => "a row of tabs",
            Role::ListItem if group(Role::List).is_none_or(|it| it.name().is_empty()) => "a list",
            Role::ListItem
                if self.number(Property::ItemIndex) >= group(Role::List)?.number(Property::ItemCount) =>
            {
                "a place in its list"
            }
            Role::RadioButton | Role::Checkbox if !self.is(Property::Checkable) => "a state",
            Role::RadioButton | Role::Checkbox if self.says(Property::Checked).is_none() => "a state",
            Role::Tab if self.says(Property::ItemSelected).is_none() => "a state",
            Role::TextInput if self.says(Property::Value).is_none() => "a value",
            Role::ProgressIndicator if self.number(Property::Value) > self.number(Property::ValueMaximum) => {
                "a value in its range"
            }
            Role::ProgressIndicator if self.number(Property::ValueMinimum).is_none() => "a range",
            // Text that is not there yet has no words; whatever else is told has a name.
            Role::Text => return None,
            _ if self.name().is_empty() => "a name",
            _ => return None,
        };
        Some(format!("a {:?} “{}” lacks {lack}", self.role, self.name()))
    }
}

/// Walks the items of a page with what is told around each.
struct Walk {
    around: Vec<Told>,
    all: Vec<Told>,
    faults: Vec<String>,
}

impl Walk {
    fn through(hand: &Hand) -> Walk {
        let window = inner::WindowInner::from_pub(hand.easel.app.window());
        // Items are walked as they stand; a page that was just shown has none before it is asked for them.
        window.ensure_tree_instantiated();
        let mut walk = Walk {
            around: Vec::new(),
            all: Vec::new(),
            faults: Vec::new(),
        };
        walk.below(&inner::ItemRc::new_root(window.component()), 0);
        walk
    }

    fn below(&mut self, item: &inner::ItemRc, depth: usize) {
        let role = item.accessible_role();
        let told = (role != Role::None).then(|| Told {
            role,
            item: item.clone(),
        });
        if let Some(told) = &told {
            self.faults.extend(told.lacks(&self.around));
            self.all.push(told.clone());
            self.around.push(told.clone());
        }
        if takes_keys(item) {
            self.must_be_told(item, depth == 1);
        }
        let mut child = item.first_child();
        while let Some(item) = child {
            self.below(&item, depth + 1);
            child = item.next_sibling();
        }
        if told.is_some() {
            self.around.pop();
        }
    }

    /// Where the keys are, a screen reader must have something to say; only the window itself is named by its title.
    fn must_be_told(&mut self, item: &inner::ItemRc, within_window: bool) {
        let silent = |told: &Told| told.role == Role::Main || told.role == Role::Banner;
        match self.around.last() {
            _ if within_window => {}
            Some(told) if !silent(told) => {}
            _ => {
                let at = item.map_to_window(item.geometry().origin);
                self.faults
                    .push(format!("the keys come to something without a role at {at:?}"));
            }
        }
    }
}

/// Whether Tab stops here.
fn takes_keys(item: &inner::ItemRc) -> bool {
    let scope = item.downcast::<inner::FocusScope>();
    let enabled = scope.map(|scope| scope.as_pin_ref().enabled());
    let field = item.downcast::<inner::TextInput>();
    enabled.or(field.map(|field| field.as_pin_ref().enabled())) == Some(true)
}

#[test]
fn every_control_is_told_with_role_name_and_state() {
    let hand = Hand::new(1280, 800);
    let (faults, seen) = (RefCell::new(Vec::new()), RefCell::new(BTreeSet::new()));
    on_every_page(&hand, |name, hand| {
        let walk = Walk::through(hand);
        let mut faults = faults.borrow_mut();
        faults.extend(walk.faults.iter().map(|fault| format!("{name}: {fault}")));
        for landmark in [Role::Main, Role::Banner] {
            let count = walk.all.iter().filter(|told| told.role == landmark).count();
            if count != 1 {
                faults.push(format!("{name}: there are {count} of {landmark:?}"));
            }
        }
        let roles = walk.all.iter().map(|told| format!("{:?}", told.role));
        seen.borrow_mut().extend(roles);
    });
    let faults = faults.into_inner();
    assert!(faults.is_empty(), "{} {faults:#?}", faults.len());
    let seen = seen.into_inner();
    for role in [
        "Button",
        "RadioButton",
        "RadioGroup",
        "Tab",
        "TabList",
        "ListItem",
        "List",
        "Checkbox",
        "TextInput",
        "ProgressIndicator",
        "Image",
        "Form",
        "Main",
        "Banner",
        "Groupbox",
        "Text",
    ] {
        assert!(seen.contains(role), "no page has a {role}: {seen:?}");
    }
}

#[test]
fn one_of_a_group_at_the_most_is_chosen() {
    let hand = Hand::new(1280, 800);
    let groups = RefCell::new(0);
    on_every_page(&hand, |name, hand| {
        let mut chosen: Vec<(String, usize)> = Vec::new();
        for told in Walk::through(hand).all {
            match told.role {
                Role::RadioGroup | Role::TabList => chosen.push((told.name(), 0)),
                Role::RadioButton | Role::Tab => {
                    let on = told.is(Property::Checked) || told.is(Property::ItemSelected);
                    chosen.last_mut().expect("a group comes before its own").1 += usize::from(on);
                }
                _ => {}
            }
        }
        *groups.borrow_mut() += chosen.len();
        let crowded: Vec<_> = chosen.iter().filter(|(_, count)| *count > 1).collect();
        assert!(crowded.is_empty(), "{name}: several are chosen in {crowded:?}");
    });
    assert!(groups.into_inner() > 10, "there are groups to look at");
}
