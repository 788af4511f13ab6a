//! Whole inputs, altered at random and always the same way.

/// How much longer than its seed an input is made.
const MOST_MORE: usize = 64 * 1024;
/// How far from an input's end every third change is made: there stands what a certificate's reader begins with.
const TAIL: usize = 4 * 1024;

/// Pseudo-random numbers (xorshift64*, from memory): the same ones in every run.
pub struct Dice(u64);

impl Dice {
    /// Those of one input alone, so that any of them can be made without the ones before (splitmix64, from memory).
    pub fn of(input: u64) -> Dice {
        let mut state = input.wrapping_add(1).wrapping_mul(0x9E37_79B9_7F4A_7C15);
        state = (state ^ (state >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        state = (state ^ (state >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        Dice((state ^ (state >> 31)) | 1)
    }

    fn roll(&mut self, sides: usize) -> usize {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        let rolled = self.0.wrapping_mul(0x2545_F491_4F6C_DD1D) >> 16;
        (rolled % sides.max(1) as u64) as usize
    }
}

/// Texts that mean something to one reader or another.
const WORDS: &[&str] = &[
    "",
    "0",
    "-1",
    "1e999",
    "1e-400",
    "9007199254740993",
    "18446744073709551616",
    "-0",
    ".5",
    "NaN",
    "inf",
    "\u{a0}",
    "\u{2212}",
    "\0",
    "\n",
    "\r\n",
    "\t",
    "\"",
    "\\",
    "\\u0000",
    "\\ud800",
    "{",
    "}",
    "[",
    "]",
    "[[[[[[[[",
    "{\"a\":",
    ",",
    ":",
    ": ",
    "- ",
    "&a ",
    "*a",
    "<<: ",
    "!!str ",
    "---\n",
    "|",
    ">",
    "#",
    "'",
    " bar",
    " psi",
    " \u{b0}C",
    " V",
    "%",
    "/",
    "//",
    "../",
    "..",
    "jobs/",
    "null",
    "true",
    "false",
    "\u{feff}",
    "=",
    ";",
    "\u{1f600}",
    "e",
    "E+",
    "1/0",
    "_",
    "obj",
    "endobj",
    "stream",
    "<<",
    ">>",
    " 0 R",
    "xref",
    "trailer",
    "startxref",
    "/Length 99999999999",
    "/Prev 0",
    "namespaces=\"*\"",
    "valid-after=\"",
    "99991231235959Z",
    "cert-authority",
    "ssh-ed25519 ",
    "AAAA",
];

/// A whole input, altered.
pub fn alter(seeds: &[Vec<u8>], dice: &mut Dice) -> Vec<u8> {
    let mut bytes = seeds[dice.roll(seeds.len())].clone();
    let most = bytes.len() + MOST_MORE;
    for _ in 0..=dice.roll(6) {
        let from = if dice.roll(3) == 0 {
            bytes.len().saturating_sub(TAIL)
        } else {
            0
        };
        let at = from + dice.roll(bytes.len() - from + 1);
        let end = (at + 1 + dice.roll(24)).min(bytes.len());
        match dice.roll(9) {
            0 if at < bytes.len() => bytes[at] ^= 1 << dice.roll(8),
            1 if at < bytes.len() => bytes[at] = dice.roll(256) as u8,
            2 if at < end => drop(bytes.drain(at..end)),
            3 if at < end => {
                // A piece that comes again and again shows who looks back over all of it each time.
                let times = [1, 1, 1, 2, 40, 400][dice.roll(6)];
                let piece = bytes[at..end].repeat(times);
                drop(bytes.splice(at..at, piece));
            }
            4 => bytes.truncate(at),
            5 => {
                let other = &seeds[dice.roll(seeds.len())];
                let from = dice.roll(other.len() + 1);
                let to = (from + dice.roll(200)).min(other.len());
                drop(bytes.splice(at..at, other[from..to].iter().copied()));
            }
            6 if at < end => {
                let word = WORDS[dice.roll(WORDS.len())].bytes();
                drop(bytes.splice(at..end, word));
            }
            7 => {
                let digits = bytes.iter_mut().skip(at).filter(|byte| byte.is_ascii_digit());
                digits
                    .take(3)
                    .for_each(|digit| *digit = b'0' + dice.roll(10) as u8);
            }
            _ => drop(bytes.splice(at..at, WORDS[dice.roll(WORDS.len())].bytes())),
        }
    }
    bytes.truncate(most);
    bytes
}
