//! What is being typed at the keypad.

use crate::player::fact::Live;

/// No figure that a person types has more characters.
const MOST: usize = 14;

/// What is being typed.
#[derive(Clone, Debug, Default)]
pub(super) struct Draft {
    pub typed: String,
    pub unit: String,
    pub instrument: String,
    pub choice: String,
    pub fault: String,
    /// The value was asked about: it lies outside what can be.
    pub doubt: bool,
    /// What was asked about, where the instrument itself gave it.
    pub given: Option<Given>,
}

/// A value as an instrument gave it, held as it stood while the person is asked about it.
#[derive(Clone, Debug)]
pub(super) struct Given {
    pub typed: String,
    pub live: Live,
}

impl Draft {
    /// One key: a digit, a decimal mark, `-` to change the sign, `<` to rub out.
    pub fn press(&mut self, key: &str) {
        self.fault.clear();
        self.undoubt();
        press(&mut self.typed, key);
    }

    /// Nothing is asked about any more.
    pub fn undoubt(&mut self) {
        self.doubt = false;
        self.given = None;
    }

    /// The answer as it is handed on: the figure with its unit, the choice, or the text.
    pub fn answer(&self) -> String {
        if !self.choice.is_empty() {
            return self.choice.clone();
        }
        let typed = self.typed.trim();
        if self.unit.is_empty() || typed.is_empty() {
            typed.to_owned()
        } else {
            format!("{typed} {}", self.unit)
        }
    }
}

/// Changes a figure by one key.
pub(super) fn press(typed: &mut String, key: &str) {
    match key {
        "<" => {
            typed.pop();
        }
        "-" => match typed.strip_prefix('-') {
            Some(rest) => *typed = rest.to_owned(),
            None => typed.insert(0, '-'),
        },
        "." | "," if typed.contains(['.', ',']) => {}
        _ if typed.chars().count() >= MOST => {}
        digit => typed.push_str(digit),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn typed(keys: &str) -> String {
        let mut typed = String::new();
        keys.chars().for_each(|key| press(&mut typed, &key.to_string()));
        typed
    }

    #[test]
    fn keys_make_a_figure() {
        assert_eq!(typed("35.5"), "35.5");
        assert_eq!(typed("3,6"), "3,6");
        assert_eq!(typed("3.6.1"), "3.61");
        assert_eq!(typed("12<<7"), "7");
        assert_eq!(typed("<"), "");
        assert_eq!(typed("5-"), "-5");
        assert_eq!(typed("5--"), "5");
        assert_eq!(typed("123456789012345678").len(), MOST);
    }

    #[test]
    fn a_key_lets_go_of_what_was_asked_about() {
        let live = Live {
            identity: "Sample Works,DM-4".to_owned(),
            asked: "MEAS?".to_owned(),
            reply: "99".to_owned(),
        };
        let mut draft = Draft {
            doubt: true,
            given: Some(Given {
                typed: "99 V".to_owned(),
                live,
            }),
            ..Draft::default()
        };
        draft.press("1");
        assert!(!draft.doubt && draft.given.is_none());
    }

    #[test]
    fn an_answer_carries_its_unit() {
        let mut draft = Draft {
            unit: "psi".to_owned(),
            ..Draft::default()
        };
        assert_eq!(draft.answer(), "");
        draft.press("7");
        assert_eq!(draft.answer(), "7 psi");
        draft.choice = "yes".to_owned();
        assert_eq!(draft.answer(), "yes");
    }
}
