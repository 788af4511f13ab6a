//! A hand at the tablet: it finds things by their accessible label and touches them where they are drawn.

use i_slint_backend_testing::{AccessibleRole, ElementHandle};
use slint::platform::{PointerEventButton, WindowEvent};
use slint::{ComponentHandle, LogicalPosition};
use std::time::Duration;
use witnessmark::kiosk::{Easel, Frame, Place};
use witnessmark::words::{Language, Words};

/// The plate that shows what lies below.
const MORE: &str = "Show more below";

/// The roles of what is touched; an item of a list is touched where one of them is chosen.
pub const CONTROLS: [AccessibleRole; 5] = [
    AccessibleRole::Button,
    AccessibleRole::RadioButton,
    AccessibleRole::Checkbox,
    AccessibleRole::Tab,
    AccessibleRole::ListItem,
];

/// Whether it can be touched or chosen.
pub fn is_control(element: &ElementHandle) -> bool {
    let acts = element.accessible_item_selectable() == Some(true)
        || element.accessible_role() != Some(AccessibleRole::ListItem);
    element
        .accessible_role()
        .is_some_and(|role| CONTROLS.contains(&role))
        && acts
}

pub struct Hand {
    pub easel: Easel,
    pub width: f32,
    pub height: f32,
}

impl Hand {
    pub fn new(width: u32, height: u32) -> Hand {
        let easel = Easel::new(width, height).expect("the screen is drawn in memory");
        let hand = Hand {
            easel,
            width: width as f32,
            height: height as f32,
        };
        hand.must_know_elements();
        hand
    }

    /// Without debug information every search comes back empty, and a test that finds nothing proves nothing.
    fn must_know_elements(&self) {
        let found = ElementHandle::find_by_accessible_label(&self.easel.app, "Back").count();
        assert!(
            found > 0,
            "the screen was compiled without SLINT_EMIT_DEBUG_INFO=1: no element can be found"
        );
    }

    /// The words of the language that the screen speaks.
    pub fn words(&self) -> Words {
        let tag = self.easel.app.global::<Frame>().get_language();
        Words::program(&Language::parse(&tag).expect("a language"))
    }

    /// What an English label is called in the language of the screen, as a whole or sentence by sentence.
    pub fn called(&self, label: &str) -> String {
        let words = self.words();
        let whole = words.say(label);
        if whole != label {
            return whole.to_owned();
        }
        for place in [
            "Key {}",
            "Unit {}",
            "Start: {}",
            "Again: {}",
            "Open {}",
            "Closed {}",
            "Practice {}",
            "Text of {} percent",
        ] {
            let (before, behind) = place.split_once("{}").expect("a place");
            let named = label
                .strip_prefix(before)
                .and_then(|rest| rest.strip_suffix(behind));
            if let Some(named) = named {
                return words.say(place).replace("{}", named);
            }
        }
        // A role stands with a small letter in the catalogue.
        let said = |part: &str| match words.say(part) {
            same if same == part => words.say(&part.to_lowercase()).to_owned(),
            said => said.to_owned(),
        };
        let said: Vec<String> = label.split(". ").map(said).collect();
        let known = said.iter().zip(label.split(". "));
        let known = known.map(|(said, part)| {
            if *said == part.to_lowercase() {
                part
            } else {
                said.as_str()
            }
        });
        known.collect::<Vec<_>>().join(". ")
    }

    pub fn resize(&mut self, width: u32, height: u32) {
        self.easel.resize(width, height);
        (self.width, self.height) = (width as f32, height as f32);
    }

    /// Waits until nothing goes on beside the screen any more.
    pub fn wait(&self) {
        for _ in 0..20_000 {
            self.easel.settle();
            if !self.easel.app.global::<Frame>().get_busy() {
                // Elements come to be when they are looked at; then a page refuses for a moment what may be
                // a second tap of the same finger.
                self.labels();
                self.easel.settle();
                return;
            }
            std::thread::sleep(Duration::from_millis(1));
        }
        panic!("what was begun beside the screen never came back");
    }

    /// Waits until something that goes on beside the screen has come about.
    pub fn until(&self, what: &str, come: impl Fn(&Hand) -> bool) {
        for _ in 0..4_000 {
            self.easel.settle();
            if come(self) {
                return;
            }
            std::thread::sleep(Duration::from_millis(5));
        }
        panic!("it never came about that {what}");
    }

    pub fn place(&self) -> Place {
        self.easel.app.global::<Frame>().get_place()
    }

    /// Every element with this label that has a size.
    pub fn all(&self, label: &str) -> Vec<ElementHandle> {
        let called = self.called(label);
        let mut found: Vec<_> = ElementHandle::find_by_accessible_label(&self.easel.app, &called).collect();
        if found.is_empty() && called.contains(|letter: char| letter.is_ascii_digit()) {
            // The space that joins a figure and its unit is a space here.
            let joined = move |element: &ElementHandle| {
                let label = element.accessible_label();
                label.is_some_and(|label| label.contains('\u{a0}') && label.replace('\u{a0}', " ") == called)
            };
            let root = i_slint_backend_testing::ElementQuery::from_root(&self.easel.app);
            found = root.match_predicate(joined).find_all();
        }
        found.retain(|element| element.size().width > 0.0 && element.computed_opacity() > 0.0);
        found
    }

    pub fn sees(&self, label: &str) -> bool {
        !self.all(label).is_empty()
    }

    /// The control with this label, or else whatever has it: the words on a plate carry its label too.
    pub fn find(&self, label: &str) -> ElementHandle {
        let all = self.all(label);
        let control = all.iter().find(|element| is_control(element));
        control.or(all.first()).cloned().unwrap_or_else(|| {
            let called = self.called(label);
            panic!("nothing is called “{called}”; there are: {:#?}", self.labels())
        })
    }

    /// What a screen reader could say on this page; the space that joins a figure and its unit is a space here.
    pub fn labels(&self) -> Vec<String> {
        let mut labels = Vec::new();
        let root = i_slint_backend_testing::ElementQuery::from_root(&self.easel.app);
        for element in root.find_all() {
            if let Some(label) = element.accessible_label().filter(|label| !label.is_empty()) {
                labels.push(label.replace('\u{a0}', " "));
            }
        }
        labels
    }

    fn centre(element: &ElementHandle) -> LogicalPosition {
        let (at, size) = (element.absolute_position(), element.size());
        LogicalPosition::new(at.x + size.width / 2.0, at.y + size.height / 2.0)
    }

    /// Goes down the page until what is called this is in sight.
    fn bring_up(&self, label: &str) {
        for _ in 0..100 {
            if self.sees(label) || !self.sees(MORE) {
                return;
            }
            let more = self.find(MORE);
            self.touch_at(Self::centre(&more));
        }
    }

    /// Touches the middle of what is called this; what has scrolled out of sight is worked as a screen reader does.
    pub fn touch(&self, label: &str) {
        self.bring_up(label);
        let element = self.find(label);
        assert_ne!(
            element.accessible_enabled(),
            Some(false),
            "“{label}” cannot be touched now"
        );
        let at = Self::centre(&element);
        if at.y > 0.0 && at.y < self.height && at.x > 0.0 && at.x < self.width {
            self.touch_at(at);
        } else {
            element.invoke_accessible_default_action();
        }
        self.wait();
    }

    /// Touches what may lie in the part of a page that moves, after the plate has brought it into sight.
    pub fn reach(&self, label: &str) {
        let foot = |element: &ElementHandle| element.absolute_position().y + element.size().height;
        for _ in 0..20 {
            let Some(more) = self.all(MORE).pop() else { break };
            if self.all(label).iter().any(|element| foot(element) <= foot(&more)) {
                break;
            }
            self.touch_at(Self::centre(&more));
        }
        self.touch(label);
    }

    pub fn touch_at(&self, at: LogicalPosition) {
        let button = PointerEventButton::Left;
        self.send(WindowEvent::PointerMoved { position: at });
        self.send(WindowEvent::PointerPressed { position: at, button });
        // A glove rests longer than a mouse; a Flickable holds a press back for a tenth of a second.
        self.easel.pass(Duration::from_millis(150));
        self.send(WindowEvent::PointerReleased { position: at, button });
        self.easel.settle();
    }

    /// Presses on what is called this and drags this share of its width to the right.
    pub fn drag_across(&self, label: &str, share: f32) {
        let element = self.find(label);
        let (at, size) = (element.absolute_position(), element.size());
        let button = PointerEventButton::Left;
        let point = |part: f32| LogicalPosition::new(at.x + size.width * part, at.y + size.height / 2.0);
        self.send(WindowEvent::PointerMoved {
            position: point(0.05),
        });
        self.send(WindowEvent::PointerPressed {
            position: point(0.05),
            button,
        });
        for step in 1..=10 {
            self.easel.pass(Duration::from_millis(16));
            self.send(WindowEvent::PointerMoved {
                position: point(0.05 + share * step as f32 / 10.0),
            });
        }
        self.send(WindowEvent::PointerReleased {
            position: point(0.05 + share),
            button,
        });
        self.easel.settle();
    }

    /// Presses at the first of these points, goes over all of them with a pause at each, and lets go at the last.
    pub fn gesture(&self, points: &[LogicalPosition], pause: Duration) {
        let button = PointerEventButton::Left;
        let (first, last) = (points[0], points[points.len() - 1]);
        self.send(WindowEvent::PointerMoved { position: first });
        self.send(WindowEvent::PointerPressed {
            position: first,
            button,
        });
        for position in &points[1..] {
            self.easel.pass(pause);
            self.send(WindowEvent::PointerMoved { position: *position });
        }
        self.easel.pass(pause);
        self.send(WindowEvent::PointerReleased {
            position: last,
            button,
        });
    }

    /// Sets several fingers or a palm down before any of them is lifted.
    pub fn palm(&self, points: &[LogicalPosition]) {
        let button = PointerEventButton::Left;
        for position in points {
            self.send(WindowEvent::PointerMoved { position: *position });
            self.send(WindowEvent::PointerPressed {
                position: *position,
                button,
            });
        }
        self.easel.pass(Duration::from_millis(120));
        for position in points {
            self.send(WindowEvent::PointerReleased {
                position: *position,
                button,
            });
        }
    }

    pub fn key(&self, text: &str) {
        self.send(WindowEvent::KeyPressed { text: text.into() });
        self.send(WindowEvent::KeyReleased { text: text.into() });
        self.easel.settle();
    }

    /// Moves the focus on by one; no time has to pass for it.
    pub fn tab(&self) {
        self.send(WindowEvent::KeyPressed { text: "\t".into() });
        self.send(WindowEvent::KeyReleased { text: "\t".into() });
    }

    /// Types on a keyboard.
    pub fn keys(&self, text: &str) {
        for letter in text.chars() {
            self.key(&letter.to_string());
        }
    }

    /// A scanner types a code, a key every five milliseconds, and Enter.
    pub fn scan(&self, code: &str) {
        for text in code.chars().map(String::from).chain(["\n".to_owned()]) {
            self.send(WindowEvent::KeyPressed {
                text: text.as_str().into(),
            });
            self.send(WindowEvent::KeyReleased { text: text.into() });
            self.easel.pass(Duration::from_millis(5));
        }
        self.wait();
    }

    /// Rests on what is called this, then slides to what came of it and is called `to`, and lets go there.
    pub fn hold_and_slide(&self, label: &str, to: &str) {
        let (button, from) = (PointerEventButton::Left, Self::centre(&self.find(label)));
        self.send(WindowEvent::PointerMoved { position: from });
        self.send(WindowEvent::PointerPressed {
            position: from,
            button,
        });
        for _ in 0..10 {
            self.easel.pass(Duration::from_millis(60));
        }
        let position = Self::centre(&self.find(to));
        self.send(WindowEvent::PointerMoved { position });
        self.easel.pass(Duration::from_millis(30));
        self.send(WindowEvent::PointerReleased { position, button });
        self.easel.settle();
    }

    /// Types on the tablet's own keys, which come back where a keyboard had sent them away.
    pub fn touch_keys(&self, text: &str) {
        if self.sees("Show the keys") {
            self.touch("Show the keys");
        }
        for letter in text.chars() {
            if letter == ' ' {
                self.touch("Space");
            } else if letter.is_uppercase() {
                self.touch("Capital letter");
                self.touch(&format!("Key {letter}"));
            } else {
                self.touch(&format!("Key {letter}"));
            }
        }
    }

    fn send(&self, event: WindowEvent) {
        self.easel.app.window().dispatch_event(event);
    }

    /// Keeps a picture of the page among the test's own files.
    pub fn keep_picture(&self, name: &str) {
        let dir = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("pages");
        std::fs::create_dir_all(&dir).expect("the folder can be made");
        let png = self.easel.png().expect("the page is drawn");
        std::fs::write(dir.join(format!("{name}.png")), png).expect("the picture can be written");
    }
}
