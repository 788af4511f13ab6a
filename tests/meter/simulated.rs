//! A simulated meter on a network line: it answers questions by a script, one line after the other.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpListener;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex};
use std::thread;
use std::time::Duration;

/// What the simulated meter does with a question.
#[derive(Clone, Copy)]
#[allow(dead_code, reason = "the screen's tests need fewer")]
pub enum Answer {
    Line(&'static str),
    /// In pieces, as a slow serial line brings them.
    Pieces(&'static [&'static str]),
    Raw(&'static [u8]),
    Nothing,
    HangUp,
}

/// A script: the question that is expected, and what is answered. An unknown question is answered by nothing, as a
/// meter does.
pub type Script = &'static [(&'static str, Answer)];

/// Answers questions by the script until the line ends.
pub fn answer(script: &dyn Fn() -> Script, from: impl Read, mut to: impl Write) {
    for question in BufReader::new(from).lines() {
        let Ok(question) = question else { return };
        let found = script().iter().find(|(name, _)| question == *name);
        let said = match found.map_or(Answer::Nothing, |(_, answer)| *answer) {
            Answer::Line(text) => to.write_all(format!("{text}\r\n").as_bytes()),
            Answer::Raw(bytes) => to.write_all(bytes),
            Answer::Pieces(pieces) => pieces.iter().try_for_each(|piece| {
                thread::sleep(Duration::from_millis(20));
                to.write_all(piece.as_bytes()).and_then(|()| to.flush())
            }),
            Answer::Nothing => Ok(()),
            Answer::HangUp => return,
        };
        // Whoever asked is gone.
        if said.is_err() {
            return;
        }
    }
}

/// A meter at a network address, whose script can be changed while it is asked.
pub struct Simulated {
    /// `tcp://127.0.0.1:PORT`
    pub at: String,
    script: Arc<Mutex<Script>>,
    lines: Arc<AtomicUsize>,
}

impl Simulated {
    /// A meter with this script.
    pub fn new(script: Script) -> Simulated {
        let listener = TcpListener::bind("127.0.0.1:0").expect("a free port");
        let port = listener.local_addr().expect("an address").port();
        let simulated = Simulated {
            at: format!("tcp://127.0.0.1:{port}"),
            script: Arc::new(Mutex::new(script)),
            lines: Arc::default(),
        };
        let (script, lines) = (simulated.script.clone(), simulated.lines.clone());
        thread::spawn(move || {
            for stream in listener.incoming() {
                let stream = stream.expect("a line");
                lines.fetch_add(1, Ordering::SeqCst);
                let reader = stream.try_clone().expect("a line");
                answer(&|| *script.lock().expect("a script"), reader, stream);
                lines.fetch_sub(1, Ordering::SeqCst);
            }
        });
        simulated
    }

    /// From the next question on.
    #[allow(dead_code, reason = "not every test changes it")]
    pub fn says(&self, script: Script) {
        *self.script.lock().expect("a script") = script;
    }

    /// How many lines are open to it.
    #[allow(dead_code, reason = "not every test counts them")]
    pub fn lines(&self) -> usize {
        self.lines.load(Ordering::SeqCst)
    }
}
