//! What every page carries: the state of a job that proves nothing yet, the job's number, the hash, the page's number.

use super::brush::Brush;
use super::face::Faces;
use super::ink::Ink;
use super::pages::Frame;
use super::paint::{SHEET, artifact};
use super::sheet::WIDTH;
use super::text::{Line, Style, line};
use crate::page::certificate::Certificate;
use crate::say;
use crate::to_say;
use crate::words::Words;
use krilla::tagging::ArtifactType;

/// The left margin in points; the right one is as wide.
pub const LEFT: f32 = (SHEET.0 - WIDTH) / 2.0;

const TOP: f32 = 34.0;
const BANNER: f32 = 42.0;
const HEADER: f32 = 24.0;
const FOOTER: f32 = 790.0;

/// What stands in margins.
pub struct Furniture {
    banner: Option<(&'static str, &'static str)>,
    shop: String,
    job: String,
    hash: String,
    words: Words,
}

impl Furniture {
    pub fn new(page: &Certificate) -> Self {
        let hash: String = page.seals.final_hash.chars().take(16).collect();
        let digits: Vec<char> = hash.chars().collect();
        let groups: Vec<String> = digits.chunks(4).map(|group| group.iter().collect()).collect();
        Self {
            banner: banner(page),
            shop: page.shop.clone(),
            job: say!(page.words, "Job {number}", number = page.number),
            hash: groups.join(" "),
            words: page.words.clone(),
        }
    }

    /// Where rows may stand.
    pub fn frame(&self) -> Frame {
        let banner = if self.banner.is_some() { BANNER } else { 0.0 };
        Frame {
            top: TOP + HEADER + banner,
            bottom: FOOTER - 8.0,
        }
    }

    /// Draws it on the page with this number, counted from 0.
    pub fn draw(&self, brush: &mut Brush<'_, '_>, number: usize, of: usize) {
        if let Some((word, says)) = self.banner {
            artifact(brush, ArtifactType::Header, |brush| {
                draw_banner(brush, self.words.say(word), self.words.say(says))
            });
        }
        artifact(brush, ArtifactType::Header, |brush| self.header(brush, number));
        artifact(brush, ArtifactType::Footer, |brush| {
            self.footer(brush, number, of)
        });
    }

    fn header(&self, brush: &mut Brush<'_, '_>, number: usize) {
        let y = self.frame().top - HEADER;
        if number > 0 {
            self.names(brush, y);
        }
        brush.rect(Ink::Rule, LEFT, y + 13.0, WIDTH, 0.5);
        // The house's mark: a stripe across the line under the head.
        brush.stripe(Ink::Paint, LEFT + WIDTH * 0.5 - 16.0, y + 9.5, 32.0, 7.0);
    }

    /// Shop and job, which the first page has in its own lines.
    fn names(&self, brush: &mut Brush<'_, '_>, y: f32) {
        let job = line(brush.faces, Style::SOFT, &self.job);
        let shop = cut(brush.faces, &self.shop, WIDTH - job.width - 30.0);
        brush.line(&shop, LEFT, y);
        brush.line(&job, LEFT + WIDTH - job.width, y);
    }

    fn footer(&self, brush: &mut Brush<'_, '_>, number: usize, of: usize) {
        brush.rect(Ink::Rule, LEFT, FOOTER, WIDTH, 0.5);
        let y = FOOTER + 5.0;
        let job = cut(brush.faces, &self.job, 170.0);
        brush.line(&job, LEFT, y);
        let hash = if self.hash.is_empty() {
            self.words.say("no hash yet")
        } else {
            &self.hash
        };
        let hash = line(brush.faces, Style::SOFT, hash);
        brush.line(&hash, LEFT + (WIDTH - hash.width) / 2.0, y);
        let page = line(
            brush.faces,
            Style::SOFT,
            &say!(self.words, "Page {n} of {all}", n = number + 1, all = of),
        );
        brush.line(&page, LEFT + WIDTH - page.width, y);
    }
}

/// The word in large letters on every page of a job that proves nothing, or not yet.
fn banner(page: &Certificate) -> Option<(&'static str, &'static str)> {
    match (page.practice, page.closed) {
        (true, _) => Some((
            to_say!("PRACTICE"),
            to_say!("This run was for learning. It never counts as proof."),
        )),
        (false, false) => Some((
            to_say!("NOT CLOSED"),
            to_say!("The job is open: this sheet shows it only as far as it went."),
        )),
        (false, true) => None,
    }
}

fn draw_banner(brush: &mut Brush<'_, '_>, word: &str, says: &str) {
    let (y, height) = (TOP - 6.0, BANNER - 8.0);
    brush.frame(Ink::Text, LEFT, y, WIDTH, height, 2.0);
    let style = Style {
        size: 24.0,
        leading: height,
        ..Style::TITLE
    };
    let word = line(brush.faces, style, word);
    brush.line(&word, LEFT + 10.0, y);
    let says = line(
        brush.faces,
        Style {
            leading: height,
            ..Style::BODY
        },
        says,
    );
    brush.line(&says, LEFT + WIDTH - 10.0 - says.width, y);
}

/// One line of the text; what does not fit is marked as left out. It stands in full on the first page.
fn cut(faces: &Faces, text: &str, width: f32) -> Line {
    let whole = line(faces, Style::SOFT, text);
    if whole.width <= width {
        return whole;
    }
    let letters: Vec<char> = text.chars().collect();
    let fits = |count: usize| {
        let start: String = letters[..count].iter().collect();
        let cut = line(faces, Style::SOFT, &format!("{}…", start.trim_end()));
        (cut.width <= width).then_some(cut)
    };
    (0..letters.len().min(200)).rev().find_map(fits).unwrap_or(whole)
}
