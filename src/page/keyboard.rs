//! The keys on the screen: where the letters of a language lie, and which other forms each of them has.

/// A layout of the letters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Layout {
    /// By which the settings remember it.
    pub slug: &'static str,
    /// Its own name, in the language that it is for.
    pub name: &'static str,
    /// The tag of the language that it comes with; empty where it is chosen by hand alone.
    pub language: &'static str,
    /// The letters from left to right, in three rows from the top.
    pub rows: [&'static str; 3],
}

/// Every layout. The first one stands where a language has none of its own.
pub const LAYOUTS: [Layout; 6] = [
    layout(
        "english",
        "English",
        "en",
        ["qwertyuiop", "asdfghjkl-", "zxcvbnm"],
    ),
    layout(
        "german",
        "Deutsch",
        "de",
        ["qwertzuiopü", "asdfghjklöä", "yxcvbnmß"],
    ),
    layout(
        "french",
        "Français",
        "fr",
        ["azertyuiop", "qsdfghjklm", "wxcvbnéèàç"],
    ),
    layout(
        "spanish",
        "Español",
        "es",
        ["qwertyuiop", "asdfghjklñ", "zxcvbnm"],
    ),
    layout(
        "danish",
        "Dansk, norsk",
        "da",
        ["qwertyuiopå", "asdfghjklæø", "zxcvbnm"],
    ),
    layout(
        "swedish",
        "Svenska, suomi",
        "sv",
        ["qwertyuiopå", "asdfghjklöä", "zxcvbnm"],
    ),
];

const fn layout(
    slug: &'static str,
    name: &'static str,
    language: &'static str,
    rows: [&'static str; 3],
) -> Layout {
    Layout {
        slug,
        name,
        language,
        rows,
    }
}

/// Other forms of a letter, from the commonest in the languages of these layouts on.
const FORMS: [(char, &str); 16] = [
    ('a', "äàáâåæãą"),
    ('c', "çćč"),
    ('d', "ðď"),
    ('e', "éèêëęě"),
    ('g', "ğ"),
    ('i', "íìîïı"),
    ('l', "ł"),
    ('n', "ñńň"),
    ('o', "öòóôøœõő"),
    ('r', "ř"),
    ('s', "ßśšş"),
    ('t', "þťţ"),
    ('u', "üùúûůű"),
    ('y', "ýÿ"),
    ('z', "źżž"),
    ('-', "–_"),
];

impl Layout {
    /// The layout that was chosen, or else the one of the language.
    #[must_use]
    pub fn of(chosen: Option<&str>, language: &str) -> Layout {
        let by_slug = LAYOUTS.iter().find(|layout| chosen == Some(layout.slug));
        let by_language = || LAYOUTS.iter().find(|layout| layout.language == language);
        *by_slug.or_else(by_language).unwrap_or(&LAYOUTS[0])
    }

    /// The layout after this one; after the last comes the first.
    #[must_use]
    pub fn next(self) -> Layout {
        let place = LAYOUTS
            .iter()
            .position(|layout| *layout == self)
            .unwrap_or_default();
        LAYOUTS[(place + 1) % LAYOUTS.len()]
    }

    /// Whether this layout has a key of its own for a letter.
    fn has(self, letter: char) -> bool {
        self.rows.iter().any(|row| row.contains(letter))
    }

    /// The other forms of a letter that have no key of their own here.
    #[must_use]
    pub fn forms(self, letter: char) -> Vec<char> {
        let forms = FORMS.iter().find(|(of, _)| *of == letter);
        let forms = forms.map_or("", |(_, forms)| forms).chars();
        forms.filter(|form| !self.has(*form)).collect()
    }
}

/// Whether a list of a Linux machine's input devices (`/proc/bus/input/devices`) has a keyboard with letters. A
/// scanner says that it is a keyboard too; where its name tells, it does not count.
#[must_use]
pub fn has_keyboard(devices: &str) -> bool {
    devices.split("\n\n").any(is_keyboard)
}

/// The bits of the keys Q to P, A to L and Z to M in the kernel's `input-event-codes.h`.
const LETTERS: u64 = 0x3ff << 16 | 0x1ff << 30 | 0x7f << 44;

fn is_keyboard(device: &str) -> bool {
    let line = |start: &str| device.lines().find_map(|line| line.strip_prefix(start));
    let name = line("N: Name=").unwrap_or_default().to_lowercase();
    let scanner = ["scanner", "barcode", "bar code"]
        .iter()
        .any(|word| name.contains(word));
    // The words of the bitmap stand with the highest first, so the lowest keys are in the last.
    let keys = line("B: KEY=").and_then(|words| words.split_whitespace().last());
    let keys = keys
        .and_then(|word| u64::from_str_radix(word, 16).ok())
        .unwrap_or_default();
    !scanner && keys & LETTERS == LETTERS
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_layout_has_each_letter_once() {
        for layout in LAYOUTS {
            let keys: Vec<char> = layout.rows.iter().flat_map(|row| row.chars()).collect();
            for letter in 'a'..='z' {
                let count = keys.iter().filter(|key| **key == letter).count();
                assert_eq!(count, 1, "{letter} of {}", layout.slug);
            }
            let mut once = keys.clone();
            once.sort_unstable();
            once.dedup();
            assert_eq!(once.len(), keys.len(), "{}", layout.slug);
            // Twelve keys of 60 px and more fill a row; the third shares it with two wide ones.
            let long = layout.rows.map(|row| row.chars().count());
            assert!(
                long[0] <= 12 && long[1] <= 12 && long[2] <= 10,
                "{}: {long:?}",
                layout.slug
            );
        }
    }

    #[test]
    fn a_form_is_offered_where_it_has_no_key() {
        let forms = |slug: &str, letter| {
            Layout::of(Some(slug), "")
                .forms(letter)
                .iter()
                .collect::<String>()
        };
        assert!(forms("english", 'o').starts_with('ö'));
        assert!(!forms("german", 'o').contains('ö') && forms("german", 'o').contains('ø'));
        assert_eq!(forms("spanish", 'n'), "ńň");
        assert_eq!(forms("english", 'x'), "");
        // Every letter of a layout's own can be typed on every other one.
        for layout in LAYOUTS {
            for own in layout.rows.concat().chars().filter(|key| !key.is_ascii()) {
                let offered = |other: &Layout| {
                    other.has(own) || FORMS.iter().any(|(of, _)| other.forms(*of).contains(&own))
                };
                assert!(LAYOUTS.iter().all(offered), "{own}");
            }
        }
    }

    #[test]
    fn the_choice_goes_before_the_language_and_the_round_comes_back() {
        assert_eq!(Layout::of(None, "de").slug, "german");
        assert_eq!(Layout::of(Some("french"), "de").slug, "french");
        assert_eq!(Layout::of(Some("no such"), "it").slug, "english");
        let mut layout = LAYOUTS[0];
        for _ in 0..LAYOUTS.len() {
            layout = layout.next();
        }
        assert_eq!(layout, LAYOUTS[0]);
    }

    #[test]
    fn buttons_and_scanners_are_no_keyboards() {
        let device = |name: &str, keys: &str| format!("I: Bus=0003\nN: Name=\"{name}\"\nB: KEY={keys}\n");
        let full = "1000000000007 ff9f207ac14057ff febeffdfffefffff fffffffffffffffe";
        assert!(has_keyboard(&device("Example Keyboard", full)));
        assert!(!has_keyboard(&device("Power Button", "10000000000000 0")));
        assert!(!has_keyboard(&device("Example Barcode Scanner", full)));
        assert!(!has_keyboard(""));
        let both = device("Power Button", "10000000000000 0") + "\n" + &device("Example Keyboard", full);
        assert!(has_keyboard(&both));
    }
}
