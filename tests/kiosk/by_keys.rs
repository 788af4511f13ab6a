//! A whole job by the keys of a keyboard: Tab and Shift+Tab go to a control, Space and Enter work it, Escape leaves.
//! No finger touches the screen, and no control is worked as a screen reader does.

use crate::focus::under_the_keys;
use crate::hand::Hand;
use crate::live::{content, register};
use crate::workshop::{INES, TOMASZ, Workshop};
use slint::platform::{Key, WindowEvent};
use slint::{ComponentHandle, SharedString};
use witnessmark::kiosk::{
    self, CardPage, FieldKind, Frame, JobsPage, KeypadPage, Place, RecordPage, StepNext, StepPage,
};

/// No page has more controls than this.
const MOST: usize = 80;
/// The short job has fewer pages than this.
const MOST_PAGES: usize = 200;

/// Someone without a finger to spare.
struct Keyed {
    hand: Hand,
    /// How many controls were gone to, so that the ways to them and to work them take turns.
    pressed: usize,
    deviated: bool,
    marked: usize,
    /// The value of the first reading was looked for in the list of who read what.
    looked: bool,
}

impl Keyed {
    fn back_tab(&self) {
        let (shift, tab) = (SharedString::from(Key::Shift), SharedString::from(Key::Backtab));
        let send = |event| self.hand.easel.app.window().dispatch_event(event);
        send(WindowEvent::KeyPressed { text: shift.clone() });
        send(WindowEvent::KeyPressed { text: tab.clone() });
        send(WindowEvent::KeyReleased { text: tab });
        send(WindowEvent::KeyReleased { text: shift });
    }

    /// Goes to the control that is called this, forwards and backwards by turns, and works it with Space or Enter.
    fn press(&mut self, label: &str) {
        self.pressed += 1;
        let called = self.hand.called(label);
        for _ in 0..MOST {
            if under_the_keys(&self.hand).as_deref() == Some(called.as_str()) {
                self.hand
                    .key(if self.pressed.is_multiple_of(2) { " " } else { "\n" });
                return self.hand.wait();
            }
            match self.pressed % 3 {
                0 => self.back_tab(),
                _ => self.hand.tab(),
            }
        }
        panic!(
            "the keys never come to “{called}” at {:?}; there are: {:#?}",
            self.hand.place(),
            self.hand.labels()
        );
    }

    /// Types into the field that has the keys, and ends it.
    fn write(&self, text: &str) {
        self.hand.keys(text);
        self.hand.key("\n");
        self.hand.wait();
    }

    fn figure(&mut self, digits: &str) {
        for digit in digits.chars() {
            let key = if digit == '.' {
                "Decimal mark".to_owned()
            } else {
                digit.to_string()
            };
            self.press(&key);
        }
    }

    fn card(&mut self) {
        let app = self.hand.easel.app.clone_strong();
        let page = app.global::<CardPage>();
        if !page.get_asking() {
            let accepts = page.get_can_accept();
            return self.press(if accepts {
                "Accept the card"
            } else {
                "Next question"
            });
        }
        let field = page.get_field();
        match (field.kind, field.id.as_str()) {
            (FieldKind::Text, "car.name") => return self.write("1999 Larkfield Pell 1.8"),
            (FieldKind::Text, _) => return self.write("Ada Brandt"),
            (FieldKind::Quantity, "fuel.trip") => self.figure("30"),
            (FieldKind::Quantity, _) => self.figure("33"),
            (_, _) => self.press("Yes"),
        }
        self.press("Next");
    }

    fn step(&mut self) {
        let app = self.hand.easel.app.clone_strong();
        let page = app.global::<StepPage>();
        match page.get_next() {
            StepNext::Read => {
                let label = page.get_next_text();
                self.press(&label);
            }
            StepNext::ReadYesNo => {
                self.look_who_read();
                self.press("Yes");
            }
            StepNext::Mark => {
                self.marked += 1;
                let by_stripe = self.marked.is_multiple_of(2);
                self.press(if by_stripe {
                    "Draw the stripe across: done"
                } else {
                    "Mark done"
                });
            }
        }
    }

    /// Who read the trip pressure stands beside it, and when is one key away.
    fn look_who_read(&mut self) {
        let plate = "Why it is done, what right and wrong look like, and who read what";
        let row = self
            .hand
            .labels()
            .into_iter()
            .find(|label| label.starts_with("Trip pressure: 30.5 psi"));
        assert!(row.expect("the reading stands").ends_with("Read by Ines Varga"));
        self.press(plate);
        let told = |hand: &Hand| {
            hand.labels()
                .into_iter()
                .any(|label| label.starts_with("Ines Varga, 20") && label.contains("Entry "))
        };
        assert!(told(&self.hand), "{:#?}", self.hand.labels());
        self.press(plate);
        assert!(!told(&self.hand));
        self.looked = true;
    }

    fn keypad(&mut self) {
        let app = self.hand.easel.app.clone_strong();
        let page = app.global::<KeypadPage>();
        match page.get_id().as_str() {
            "bottle.open.note" => return self.write("nothing"),
            "cut-out.trip.trip" if !self.deviated => self.figure("33"),
            "cut-out.trip.trip" => self.figure("30.5"),
            _ => self.figure("3.4"),
        }
        self.press("Enter the reading");
    }

    fn deviation(&mut self) {
        assert!(!self.deviated, "one deviation is meant");
        self.deviated = true;
        self.press("Measure again. The first value stays on the record.");
        self.write("slipped");
    }

    fn supervisor(&mut self) {
        self.press(&format!("{}. Supervisor", TOMASZ.1));
        self.write(TOMASZ.2);
    }

    /// Does what the page asks for; whether the job is closed.
    fn page(&mut self) -> bool {
        match self.hand.place() {
            Place::Card => self.card(),
            Place::Before if self.hand.sees("All of this is so. Begin") => {
                self.press("All of this is so. Begin")
            }
            Place::Before => self.press("All of this is so. Show the hazards"),
            Place::Hazards => self.press("I have read it and will work so"),
            Place::Step => self.step(),
            Place::Keypad => self.keypad(),
            Place::Deviation => self.deviation(),
            Place::Witness => self.press("Called, nobody could come. The work may go on; the record says so"),
            Place::Hold => {
                self.press("Release it. Supervisor: sign with your passphrase");
                self.supervisor();
            }
            Place::CloseOut => self.press("All of this is so. Close the procedure"),
            Place::Closing if self.hand.sees("Sign the work off") => {
                self.press("Sign the work off");
                self.write(INES.2);
            }
            Place::Closing if self.hand.sees("Release the job") => {
                self.press("Release the job");
                self.supervisor();
            }
            Place::Closing => return true,
            other => panic!("the job led to {other:?}"),
        }
        false
    }
}

#[test]
fn a_whole_job_is_done_by_keys_alone() {
    // No meter answers there, so that the reading is typed.
    let (_shop, session) = Workshop::with("by-keys", content, |today| {
        register("serial:/dev/ttyS99?baud=9600", today)
    });
    let hand = Hand::new(1280, 800);
    kiosk::join(&hand.easel.app, session);
    hand.wait();
    let mut keyed = Keyed {
        hand,
        pressed: 0,
        deviated: false,
        marked: 0,
        looked: false,
    };
    keyed.press(&format!("{}. Apprentice", INES.1));
    keyed.write(INES.2);
    assert_eq!(keyed.hand.place(), Place::Jobs);
    keyed.press("Start a new job");
    keyed.press("Start: Fit and prove a fuel-pressure cut-out");
    let app = keyed.hand.easel.app.clone_strong();
    let closed = (0..MOST_PAGES).any(|_| {
        let frame = app.global::<Frame>();
        assert!(!frame.get_refused(), "{}", frame.get_refusal_text());
        keyed.page()
    });
    assert!(closed && keyed.deviated && keyed.looked && keyed.marked > 3);
    keyed.hand.key(&SharedString::from(Key::Escape));
    keyed.hand.wait();
    assert_eq!(keyed.hand.place(), Place::Jobs);
    keyed.press("Closed 1");
    assert_eq!(app.global::<JobsPage>().get_closed_count(), 1);
    keyed.press("Its record");
    keyed.press("Verify it now");
    assert!(app.global::<RecordPage>().get_whole());
}
