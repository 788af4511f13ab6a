//! The verbs of commands: those that change something, as against those that only look at it.

/// Verbs by which a command changes something.
const ACTS: [&str; 103] = [
    "add",
    "apply",
    "attach",
    "bag",
    "bend",
    "bleed",
    "blow",
    "bolt",
    "bridge",
    "bring",
    "cap",
    "change",
    "charge",
    "clamp",
    "clean",
    "clear",
    "clip",
    "close",
    "coat",
    "connect",
    "cover",
    "crank",
    "crimp",
    "cut",
    "disconnect",
    "drain",
    "draw",
    "drill",
    "drive",
    "drop",
    "dry",
    "empty",
    "fasten",
    "feed",
    "fill",
    "fit",
    "fix",
    "hang",
    "hold",
    "insert",
    "insulate",
    "join",
    "keep",
    "label",
    "lay",
    "lead",
    "leave",
    "let",
    "lift",
    "lock",
    "loosen",
    "lower",
    "lubricate",
    "make",
    "mark",
    "mount",
    "move",
    "open",
    "paint",
    "part",
    "place",
    "plug",
    "pour",
    "press",
    "pull",
    "pump",
    "push",
    "put",
    "raise",
    "relieve",
    "remove",
    "replace",
    "rinse",
    "rotate",
    "route",
    "run",
    "screw",
    "seal",
    "set",
    "shut",
    "slide",
    "solder",
    "start",
    "stop",
    "strip",
    "switch",
    "take",
    "tap",
    "tape",
    "tie",
    "tighten",
    "torque",
    "turn",
    "undo",
    "unplug",
    "unscrew",
    "warm",
    "wash",
    "wind",
    "wipe",
    "wire",
    "work",
    "wrap",
];

/// Whether a word, in lower case, is a verb that changes something.
pub(super) fn acts(word: &str) -> bool {
    ACTS.binary_search(&word).is_ok()
}

/// The first word of a command, in lower case.
pub(super) fn first(command: &str) -> String {
    let letters = command.chars().take_while(|c| c.is_alphabetic());
    letters.flat_map(char::to_lowercase).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verbs_stand_in_their_order() {
        assert!(ACTS.is_sorted());
        assert!(acts("fit") && acts("wrap") && acts("add"));
        assert!(!acts("read") && !acts("measure") && !acts(""));
        assert_eq!(first("Fit the valve."), "fit");
    }
}
