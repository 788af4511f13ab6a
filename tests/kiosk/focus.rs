//! Every page by keys alone: Tab reaches every control once around, in the order in which the page is read, and
//! each that is reached says what it is. Targets lie far enough apart for a finger.

use crate::hand::{CONTROLS, Hand};
use crate::targets::on_every_page_of;
use i_slint_backend_testing::AccessibleRole;
use slint::ComponentHandle;
use slint::private_unstable_api::re_exports as inner;
use std::cell::RefCell;

/// No page has more controls than this.
const MOST: usize = 120;
/// The least gap between two targets, in pixels (Tokens.gap-tiny).
const GAP: f32 = 6.5;

/// A part of the window, in its pixels.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Area {
    left: f32,
    top: f32,
    right: f32,
    foot: f32,
}

impl Area {
    fn of(item: &inner::ItemRc) -> Area {
        let place = item.geometry();
        let at = item.map_to_window(place.origin);
        Area {
            left: at.x,
            top: at.y,
            right: at.x + place.size.width,
            foot: at.y + place.size.height,
        }
    }

    fn within(self, other: Area) -> Area {
        Area {
            left: self.left.max(other.left),
            top: self.top.max(other.top),
            right: self.right.min(other.right),
            foot: self.foot.min(other.foot),
        }
    }

    fn empty(self) -> bool {
        self.right - self.left < 1.0 || self.foot - self.top < 1.0
    }

    /// How far the two lie apart; below zero where they overlap.
    fn apart(self, other: Area) -> f32 {
        let across = (other.left - self.right).max(self.left - other.right);
        let down = (other.top - self.foot).max(self.top - other.foot);
        across.max(down)
    }
}

/// A control as a screen reader finds it.
#[derive(Clone, Debug)]
struct Control {
    label: String,
    role: AccessibleRole,
    enabled: bool,
    /// What of it is in sight.
    seen: Area,
}

/// Walks the items of the window: the controls, and which of them the focus is in.
struct Controls {
    all: Vec<Control>,
    focus: Option<inner::ItemRc>,
    focused: Option<usize>,
}

impl Controls {
    fn at(hand: &Hand) -> Controls {
        let window = inner::WindowInner::from_pub(hand.easel.app.window());
        let mut controls = Controls {
            all: Vec::new(),
            focus: window.focus_item.borrow().upgrade(),
            focused: None,
        };
        let root = inner::ItemRc::new_root(window.component());
        let whole = Area::of(&root);
        controls.below(&root, whole, None);
        controls
    }

    fn below(&mut self, item: &inner::ItemRc, sight: Area, inside: Option<usize>) {
        let sight = match item.downcast::<inner::Flickable>() {
            Some(_) => sight.within(Area::of(item)),
            None => sight,
        };
        let role = item.accessible_role();
        let control = role == AccessibleRole::TextInput
            || CONTROLS.contains(&role) && (role != AccessibleRole::ListItem || takes_keys(item));
        let inside = if control && inside.is_none() {
            let text = |which| item.accessible_string_property(which).unwrap_or_default();
            self.all.push(Control {
                label: text(inner::AccessibleStringProperty::Label).to_string(),
                role,
                enabled: text(inner::AccessibleStringProperty::Enabled) != "false",
                seen: Area::of(item).within(sight),
            });
            Some(self.all.len() - 1)
        } else {
            inside
        };
        if self.focus.as_ref() == Some(item) {
            self.focused = inside;
        }
        let mut child = item.first_child();
        while let Some(item) = child {
            self.below(&item, sight, inside);
            child = item.next_sibling();
        }
    }
}

/// Whether the focus is in the page itself: neither in the head, nor at the window, nor nowhere.
fn focus_in_page(hand: &Hand) -> bool {
    let window = inner::WindowInner::from_pub(hand.easel.app.window());
    let focus = window.focus_item.borrow().upgrade();
    let root = inner::ItemRc::new_root(window.component());
    let page = found(&root, &|item| item.accessible_role() == AccessibleRole::Main);
    let page = page.expect("the window has a page");
    focus.is_some_and(|focus| found(&page, &|item| *item == focus).is_some())
}

/// The first item that is so, from this one down.
fn found(item: &inner::ItemRc, so: &dyn Fn(&inner::ItemRc) -> bool) -> Option<inner::ItemRc> {
    if so(item) {
        return Some(item.clone());
    }
    let mut child = item.first_child();
    while let Some(item) = child {
        if let Some(found) = found(&item, so) {
            return Some(found);
        }
        child = item.next_sibling();
    }
    None
}

/// Whether an item of a list is a control of its own: the keys stop at it.
fn takes_keys(item: &inner::ItemRc) -> bool {
    let mut child = item.first_child();
    while let Some(item) = child {
        if item.downcast::<inner::FocusScope>().is_some() {
            return true;
        }
        child = item.next_sibling();
    }
    false
}

/// What the control is called that the keys would work.
pub fn under_the_keys(hand: &Hand) -> Option<String> {
    let controls = Controls::at(hand);
    Some(controls.all[controls.focused?].label.clone())
}

/// Keys of the tablet's own keyboard leave the focus with the field; a keyboard does not need them.
fn typed_otherwise(label: &str) -> bool {
    let keys = ["Key ", "Capital letter", "Rub out", "Signs", "Letters", "Space"];
    keys.iter().any(|key| label.starts_with(key))
}

/// What Tab reaches, one after the other, until it comes round.
fn tabbed(hand: &Hand) -> Vec<Control> {
    let mut reached: Vec<Control> = Vec::new();
    for _ in 0..MOST {
        hand.tab();
        let controls = Controls::at(hand);
        let Some(place) = controls.focused else { continue };
        let control = controls.all[place].clone();
        let known = |one: &Control| one.label == control.label && one.seen == control.seen;
        if reached.first().is_some_and(known) {
            break;
        }
        reached.push(control);
    }
    reached
}

/// Whether the second is read after the first: columns from left to right, each from top to foot.
fn read_after(first: &Control, second: &Control) -> bool {
    !(second.seen.foot <= first.seen.top && second.seen.right <= first.seen.left)
}

#[test]
fn the_keys_begin_on_the_page_that_came_by_touch() {
    let hand = Hand::new(1280, 800);
    let without = RefCell::new(Vec::new());
    on_every_page_of(&hand, &|name: &str, hand: &Hand| {
        // Controls come to be when they are looked at, and take the focus then.
        hand.wait();
        if !focus_in_page(hand) {
            without.borrow_mut().push(name.to_owned());
        }
    });
    let without = without.into_inner();
    assert!(without.is_empty(), "the keys begin nowhere on {without:?}");
}

#[test]
fn tab_reaches_every_control_in_the_order_of_reading() {
    let hand = Hand::new(1280, 800);
    let faults = RefCell::new(Vec::new());
    on_every_page_of(&hand, &|name: &str, hand: &Hand| {
        let mut faults = faults.borrow_mut();
        let reached = tabbed(hand);
        for control in &reached {
            if control.label.trim().is_empty() {
                faults.push(format!(
                    "{name}: the focus is on a {:?} without a name",
                    control.role
                ));
            }
        }
        for control in Controls::at(hand).all {
            let skipped = !control.enabled || control.seen.empty() || typed_otherwise(&control.label);
            if !skipped && !reached.iter().any(|one| one.label == control.label) {
                faults.push(format!("{name}: Tab never reaches “{}”", control.label));
            }
        }
        // Once around the order begins anew at the top, so one step back is no fault.
        let back = reached.windows(2).filter(|pair| !read_after(&pair[0], &pair[1]));
        let back: Vec<_> = back.map(|pair| (&pair[0].label, &pair[1].label)).collect();
        if back.len() > 1 {
            faults.push(format!("{name}: not in the order of reading: {back:?}"));
        }
    });
    let faults = faults.into_inner();
    assert!(faults.is_empty(), "{faults:#?}");
}

#[test]
fn no_two_targets_lie_too_close() {
    let mut hand = Hand::new(1280, 800);
    for (width, height, scale) in [(1280, 800, 1.0), (1024, 600, 0.75), (1920, 1200, 1.5)] {
        hand.resize(width, height);
        let faults = RefCell::new(Vec::new());
        on_every_page_of(&hand, &|name: &str, hand: &Hand| {
            // A sheet lies over the page; the head alone is beside it.
            if name == "signing" {
                return;
            }
            let all = Controls::at(hand).all;
            let seen: Vec<_> = all.iter().filter(|control| !control.seen.empty()).collect();
            for (place, one) in seen.iter().enumerate() {
                for other in &seen[place + 1..] {
                    let apart = one.seen.apart(other.seen);
                    if apart < GAP * scale {
                        faults.borrow_mut().push(format!(
                            "{name} at {width} x {height}: “{}” and “{}” are {apart} apart",
                            one.label, other.label
                        ));
                    }
                }
            }
        });
        let faults = faults.into_inner();
        assert!(faults.is_empty(), "{} {faults:#?}", faults.len());
    }
}
