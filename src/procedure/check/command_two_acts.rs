//! A command orders one act. Looking at what the act does is no second one.

use super::{File, verbs};
use crate::diagnostic::{Report, quoted};
use crate::procedure::draft::Mark;

/// What stands before the thing that an order is about; it tells the verb `seal it` from the noun `seal`.
const ABOUT: [&str; 18] = [
    "a", "all", "an", "any", "both", "each", "every", "it", "its", "one", "that", "the", "their", "them",
    "these", "this", "two", "your",
];

/// `switch on the pump` is about the pump.
const PARTICLES: [&str; 8] = ["away", "back", "down", "in", "off", "on", "out", "up"];
/// What such a command orders is to speak; the verbs behind are what is spoken of.
const REPORTS: [&str; 5] = ["ask", "call", "explain", "show", "tell"];

pub(super) fn check(file: &File, report: &mut Report) {
    for marked in file.marks {
        let Mark::Command(command) = &marked.mark else {
            continue;
        };
        if let Some(second) = second_act(command) {
            let found = format!("a second order, {}", quoted(&second));
            let fault = file.found(marked.at, "command-two-acts", found, "one act");
            report.push(fault.help(
                "make two steps of it, or say how the act is done: `Pump slowly until the meter shows an open circuit`",
            ));
        }
    }
}

/// A verb that changes something, behind `and`, `then` or a comma, with what it is about.
fn second_act(command: &str) -> Option<String> {
    if REPORTS.contains(&verbs::first(command).as_str()) {
        return None;
    }
    let words: Vec<&str> = command.split_whitespace().collect();
    let bare = |word: &str| word.trim_matches(|c: char| !c.is_alphanumeric()).to_lowercase();
    (1..words.len().saturating_sub(1)).find_map(|at| {
        let before = words[at - 1];
        let joined = matches!(bare(before).as_str(), "and" | "then") || before.ends_with([',', ';']);
        let behind = words[at + 1..].iter().find(|word| !PARTICLES.contains(word));
        let is_about =
            behind.is_some_and(|about| ABOUT.contains(&bare(about).as_str()) || about.starts_with('{'));
        let second = joined && verbs::acts(words[at]) && is_about;
        second.then(|| words[at..].join(" "))
    })
}

#[cfg(test)]
mod tests {
    use super::second_act;

    #[test]
    fn two_orders_are_told_from_one() {
        let two = [
            ("Take the plug out and switch the pump on.", "switch the pump on."),
            ("Raise it to 1 bar, then shut the supply.", "shut the supply."),
            (
                "Start it, let it settle and read the gauge.",
                "let it settle and read the gauge.",
            ),
            ("Pull the fuse and keep it.", "keep it."),
            ("Look into it and wipe out every crumb.", "wipe out every crumb."),
            (
                "Open the tap and then close {card.a.b} again.",
                "close {card.a.b} again.",
            ),
        ];
        for (command, second) in two {
            assert_eq!(second_act(command).as_deref(), Some(second), "{command}");
        }
        let one = [
            "Press the trigger ten times and measure it pressed each time.",
            "Look at the seal and clamp of each hose.",
            "Choose a place within reach and clear of knees.",
            "Fit the switch, its hole drilled with the depth stop.",
            "Check the seal, clamp and the two plugs.",
            "Tell the owner how to open, carry and fill the bottle.",
            "Turn it.",
            "",
        ];
        for command in one {
            assert_eq!(second_act(command), None, "{command}");
        }
    }
}
