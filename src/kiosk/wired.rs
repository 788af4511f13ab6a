//! The desk as callbacks hold it: one touch at a time, and a look at what goes on beside the screen.

use super::desk::{Desk, Done};
use slint::{Timer, TimerMode};
use std::cell::RefCell;
use std::rc::Rc;
use std::time::Duration;

/// How often the desk looks whether what goes on beside the screen is done.
const LOOK: Duration = Duration::from_millis(8);
/// How often the clock on the screen is looked at.
const TICK: Duration = Duration::from_secs(1);
/// How often a meter that answers for itself is looked at, while its reading is on the keypad.
const METER: Duration = Duration::from_millis(100);
/// How often the battery and the clock's truth are looked at.
const GLANCE: Duration = Duration::from_secs(30);
/// How often the screen asks whether a photograph was found or decoded, while a page of them is open.
const PRINTS: Duration = Duration::from_millis(60);
/// Whoever leaves the tablet is signed off after this time.
const IDLE: Duration = Duration::from_secs(15 * 60);

/// The desk as callbacks hold it.
#[derive(Clone)]
pub(super) struct Wired {
    desk: Rc<RefCell<Desk>>,
    look: Rc<Timer>,
    idle: Rc<Timer>,
    clock: Rc<Timer>,
    meter: Rc<Timer>,
    around: Rc<Timer>,
    prints: Rc<Timer>,
}

impl Wired {
    pub fn new(desk: Desk) -> Self {
        Self {
            desk: Rc::new(RefCell::new(desk)),
            look: Rc::default(),
            idle: Rc::default(),
            clock: Rc::default(),
            meter: Rc::default(),
            around: Rc::default(),
            prints: Rc::default(),
        }
    }

    /// Keeps right what changes on the screen by itself.
    pub fn wind(&self) {
        self.every(&self.clock, TICK, Desk::tick);
        self.every(&self.around, GLANCE, Desk::look_around);
    }

    fn every(&self, timer: &Timer, time: Duration, look: fn(&mut Desk)) {
        let desk = Rc::downgrade(&self.desk);
        timer.start(TimerMode::Repeated, time, move || {
            let desk = desk.upgrade();
            if let Some(mut desk) = desk.as_ref().and_then(|desk| desk.try_borrow_mut().ok()) {
                look(&mut desk);
            }
        });
    }

    /// A callback that carries out a touch.
    pub fn on(&self, touch: fn(&mut Desk) -> Done) -> impl Fn() + 'static {
        let wired = self.clone();
        move || wired.run(touch)
    }

    /// A callback that carries out a touch with what was touched.
    pub fn on_with<T: 'static>(
        &self,
        touch: impl Fn(&mut Desk, T) -> Done + 'static,
    ) -> impl Fn(T) + 'static {
        let wired = self.clone();
        move |what| wired.run(|desk| touch(desk, what))
    }

    /// Carries out a touch, and tells the person where it was refused. A touch while the one before is
    /// still being written is left out: the screen shows that it waits.
    pub fn run(&self, touch: impl FnOnce(&mut Desk) -> Done) {
        let Ok(mut desk) = self.desk.try_borrow_mut() else {
            return;
        };
        if desk.shop.busy() {
            return;
        }
        let done = touch(&mut desk);
        desk.answer_for(done);
        self.watch(&desk);
    }

    /// Whether nothing is being done, here or beside the screen.
    pub fn free(&self) -> bool {
        self.desk.try_borrow().is_ok_and(|desk| !desk.shop.busy())
    }

    /// Looks again soon while something goes on beside the screen.
    fn watch(&self, desk: &Desk) {
        self.stir();
        self.listen(desk);
        self.wait_for_prints(desk);
        if !desk.shop.busy() {
            self.look.stop();
            return;
        }
        let wired = self.clone();
        self.look.start(TimerMode::SingleShot, LOOK, move || wired.look());
    }

    /// Looks at the meter while there is one. That is no sign of a person, so it stirs nothing.
    fn listen(&self, desk: &Desk) {
        if desk.listening.is_none() {
            return self.meter.stop();
        }
        let desk = Rc::downgrade(&self.desk);
        self.meter.start(TimerMode::Repeated, METER, move || {
            let desk = desk.upgrade();
            if let Some(mut desk) = desk.as_ref().and_then(|desk| desk.try_borrow_mut().ok()) {
                // Without a window there is nobody to show it to.
                let _ = desk.look_at_meter();
            }
        });
    }

    /// Asks again and again for photographs while a page of them is open.
    fn wait_for_prints(&self, desk: &Desk) {
        if desk.album.is_none() {
            return self.prints.stop();
        }
        if !self.prints.running() {
            let wired = self.clone();
            self.prints
                .start(TimerMode::Repeated, PRINTS, move || wired.take_prints());
        }
    }

    /// Nobody touched anything, so the time until the sign-off goes on.
    fn take_prints(&self) {
        if let Ok(mut desk) = self.desk.try_borrow_mut()
            && !desk.shop.busy()
        {
            let done = desk.take_prints();
            desk.answer_for(done);
            self.wait_for_prints(&desk);
        }
    }

    fn look(&self) {
        let Ok(mut desk) = self.desk.try_borrow_mut() else {
            return;
        };
        let done = desk.take_back();
        desk.answer_for(done);
        self.watch(&desk);
    }

    /// Somebody is there: the time until they are signed off begins anew.
    fn stir(&self) {
        let wired = self.clone();
        self.idle
            .start(TimerMode::SingleShot, IDLE, move || wired.run(Desk::sign_off));
    }
}
